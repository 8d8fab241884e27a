package job

import (
	"fmt"
	"math"
	"strconv"
)

// Cost is what things cost, in a currency that is only a word here.
type Cost struct {
	Currency string
	Slab     float64 // the piece of stock
	Hour     float64 // of the machine, with whoever minds it
	Part     float64 // what every part costs after the mill: turning, fitting
}

// maxMoney bounds amounts; no workshop's slab costs more.
const maxMoney = 1e9

// cost reads what the stock, the machine's hour and a part cost.
func (r *reader) cost(n node) *Cost {
	m := r.mapping(n, "cost")
	if m == nil {
		return nil
	}
	defer m.done()
	return &Cost{
		Currency: m.text("currency", "EUR"),
		Slab:     m.quantity("slab", "85", nil, parseMoney),
		Hour:     m.quantity("hour", "42", ptr(0.0), parseMoney),
		Part:     m.quantity("part", "3.50", ptr(0.0), parseMoney),
	}
}

func parseMoney(s string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || v < 0 || v > maxMoney {
		return 0, fmt.Errorf("amount %q has to be a plain number from 0 to %g", s, float64(maxMoney))
	}
	return v, nil
}
