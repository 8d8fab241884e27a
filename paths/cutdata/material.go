package cutdata

import (
	"bytes"
	_ "embed" // the tables
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Material is what is cut. Get one from Lookup, Recognise, Laminate or All.
type Material struct {
	ID, Name string
	Also     []string // other names
	ISO      string   // letter of ISO 513, empty for wood
	Gummy    bool     // chips cling: peck half as deep
	Notes    []string // hazards and advice

	Laws   []Law                // of specific force; the greatest applied one rules
	Values map[Quantity][]Value // in the order of the table, the applied one first
}

// Law is a Kienzle law of specific cutting force, kc = KC11 h^-MC.
type Law struct {
	KC11    float64 // N/mm2, the force on a chip 1 mm wide and 1 mm thick
	MC      float64
	Mark    Trust // of KC11
	MCMark  Trust
	Source  string
	Applied bool
	Note    string
}

// Value returns the applied value of a quantity, false when none is known.
func (m Material) Value(q Quantity) (Value, bool) {
	for _, v := range m.Values[q] {
		if v.Applied {
			return v, true
		}
	}
	return Value{}, false
}

// SpecificForce returns kc in N/mm2 for a chip h mm thick: the greatest of the
// applied laws, without the size effect; NaN when h is not positive or no law
// is known.
func (m Material) SpecificForce(h float64) float64 {
	most := math.NaN()
	for _, l := range m.Laws {
		if l.Applied {
			if k := SpecificForce(l.KC11, l.MC, h); !(k <= most) {
				most = k
			}
		}
	}
	return most
}

// All returns the materials of the table in its order. The caller may change
// what it gets.
func All() ([]Material, error) {
	ms, err := table()
	if err != nil {
		return nil, err
	}
	out := make([]Material, len(ms))
	for i, m := range ms {
		out[i] = m.clone()
	}
	return out, nil
}

func (m Material) clone() Material {
	m.Also, m.Notes, m.Laws = slices.Clone(m.Also), slices.Clone(m.Notes), slices.Clone(m.Laws)
	values := make(map[Quantity][]Value, len(m.Values))
	for q, v := range m.Values {
		values[q] = slices.Clone(v)
	}
	m.Values = values
	return m
}

//go:embed data/materials.csv
var materialsCSV []byte

//go:embed data/force.csv
var forceCSV []byte

//go:embed data/values.csv
var valuesCSV []byte

// table reads the embedded tables once.
var table = sync.OnceValues(func() ([]Material, error) { return readTables(materialsCSV, forceCSV, valuesCSV) })

func readTables(materials, force, values []byte) ([]Material, error) {
	var all []Material
	at := map[string]int{}
	err := eachRow("materials", materials, 6, func(f []string) error {
		if _, twice := at[f[0]]; twice {
			return fmt.Errorf("%q is there twice", f[0])
		}
		m := Material{ID: f[0], Name: f[1], ISO: f[3], Gummy: f[4] == "yes", Values: map[Quantity][]Value{}}
		if f[2] != "" {
			m.Also = strings.Split(f[2], ";")
		}
		if f[5] != "" {
			m.Notes = []string{f[5]}
		}
		at[f[0]] = len(all)
		all = append(all, m)
		return nil
	})
	if err != nil {
		return nil, err
	}
	find := func(id string) (*Material, error) {
		if i, ok := at[id]; ok {
			return &all[i], nil
		}
		return nil, fmt.Errorf("material %q is not known", id)
	}
	err = eachRow("force", force, 8, func(f []string) error {
		m, err := find(f[0])
		if err != nil {
			return err
		}
		l, err := readLaw(f)
		m.Laws = append(m.Laws, l)
		return err
	})
	if err != nil {
		return nil, err
	}
	err = eachRow("values", values, 8, func(f []string) error {
		m, err := find(f[0])
		if err != nil {
			return err
		}
		q := Quantity(f[1])
		if !slices.Contains(quantities, q) {
			return fmt.Errorf("quantity %q is not known", f[1])
		}
		v, err := readValue(f)
		if err == nil && v.Applied && len(m.Values[q]) > 0 {
			err = fmt.Errorf("%s of %s has an applied value already", q, m.ID)
		}
		m.Values[q] = append(m.Values[q], v)
		return err
	})
	if err != nil {
		return nil, err
	}
	return all, nil
}

func readLaw(f []string) (l Law, err error) {
	l = Law{Source: f[5], Applied: f[6] == "applied", Note: f[7]}
	if l.KC11, err = positive(f[1]); err != nil {
		return l, err
	}
	if l.MC, err = strconv.ParseFloat(f[2], 64); err != nil || !(l.MC >= 0 && l.MC < 1) {
		return l, fmt.Errorf("exponent %q is not between 0 and 1", f[2])
	}
	if l.Mark, err = parseTrust(f[3]); err != nil {
		return l, err
	}
	l.MCMark, err = parseTrust(f[4])
	return l, err
}

func readValue(f []string) (v Value, err error) {
	v = Value{Source: f[5], Applied: f[6] == "applied", Note: f[7]}
	low, err1 := strconv.ParseFloat(f[2], 64)
	high, err2 := strconv.ParseFloat(f[3], 64)
	if err1 != nil || err2 != nil || !(low >= 0 && high >= low) || math.IsInf(high, 0) {
		return v, fmt.Errorf("%q to %q is not a range", f[2], f[3])
	}
	v.Low, v.High = low, high
	v.Mark, err = parseTrust(f[4])
	return v, err
}

func positive(s string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a positive number", s)
	}
	return v, nil
}

// eachRow calls do for every row of a table after its heading.
func eachRow(name string, data []byte, fields int, do func([]string) error) error {
	r := csv.NewReader(bytes.NewReader(data))
	r.Comment, r.FieldsPerRecord = '#', fields
	rows, err := r.ReadAll()
	if err != nil {
		return fmt.Errorf("table %s: %w", name, err)
	}
	for i := 1; i < len(rows); i++ {
		if err := do(rows[i]); err != nil {
			return fmt.Errorf("table %s, row %d: %w", name, i, err)
		}
	}
	return nil
}
