package yield

import (
	"fmt"
	"io"
	"strings"
)

// Print writes the table for a person, a block for each variable. A star marks the
// job's own value; what is not proven is said below its block.
func (t *Table) Print(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s on a slab of %.0f mm2", t.Job, t.Part, t.SlabArea)
	if t.Currency != "" {
		fmt.Fprintf(&b, " that costs %.2f %s", t.SlabCost, t.Currency)
	}
	b.WriteString("\n")
	for _, rows := range t.blocks() {
		t.printBlock(&b, rows)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// blocks returns the rows by variable, in order.
func (t *Table) blocks() [][]Row {
	var out [][]Row
	for i, r := range t.Rows {
		if i == 0 || r.Variable != t.Rows[i-1].Variable {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], r)
	}
	return out
}

func (t *Table) printBlock(b *strings.Builder, rows []Row) {
	fmt.Fprintf(b, "\n%10s  %5s %5s %7s %9s %9s %8s %8s", rows[0].Variable, "parts", "bound", "in use", "waste", "kerf", "cut", "time")
	if t.Currency != "" {
		fmt.Fprintf(b, " %9s %9s", "all", "a part")
	}
	fmt.Fprintf(b, "\n%10s  %5s %5s %7s %9s %9s %8s %8s", "mm", "", "", "%", "mm2", "mm3", "m", "min")
	if t.Currency != "" {
		fmt.Fprintf(b, " %9s %9s", t.Currency, t.Currency)
	}
	b.WriteString("\n")
	var below []string
	for _, r := range rows {
		mark := " "
		if r.Given {
			mark = "*"
		}
		fmt.Fprintf(b, "%10.4g%s %5d %5d %7.1f %9.0f %9.0f %8.2f %8.1f", r.Value, mark, r.Parts, r.Bound,
			100*r.Share, r.WasteArea, r.Kerf, r.CutLength/1000, r.Time/60)
		if t.Currency != "" {
			if r.Proven && r.Parts > 0 {
				fmt.Fprintf(b, " %9.2f %9.2f", r.Cost, r.CostEach)
			} else {
				fmt.Fprintf(b, " %9s %9s", "-", "-")
			}
		}
		if !r.Proven {
			b.WriteString("  not proven")
			below = append(below, fmt.Sprintf("  %.4g: not proven: %s", r.Value, r.Reason))
		}
		if r.Note != "" {
			below = append(below, fmt.Sprintf("  %.4g: %s", r.Value, r.Note))
		}
		b.WriteString("\n")
	}
	for _, l := range below {
		b.WriteString(l + "\n")
	}
}
