package cutdata

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// Lookup finds a material by its id or one of its names, in any case. The error
// for an unknown name says which known one is nearest.
func Lookup(name string) (Material, error) {
	all, err := table()
	if err != nil {
		return Material{}, err
	}
	want := fold(name)
	nearest, least := "", len(want)/3+1
	for _, m := range all {
		for _, n := range m.names() {
			if n == want {
				return m.clone(), nil
			}
			if len(n)-len(want) >= least || len(want)-len(n) >= least {
				continue // no need to count: the lengths alone differ by more
			}
			if d := distance(n, want); d < least {
				nearest, least = n, d
			}
		}
	}
	if nearest != "" {
		return Material{}, fmt.Errorf("material %q is not known: did you mean %q?", name, nearest)
	}
	ids := make([]string, len(all))
	for i, m := range all {
		ids[i] = m.ID
	}
	return Material{}, fmt.Errorf("material %q is not known: use one of %s", name, strings.Join(ids, ", "))
}

// Recognise finds the materials named in a free description such as "laminated
// copper and nickel silver, glued to the plate", and returns them as a laminate.
// A longer name wins over a shorter one inside it: nickel silver is no silver.
// It is an error when the description names none.
func Recognise(description string) (Material, error) {
	all, err := table()
	if err != nil {
		return Material{}, err
	}
	type named struct {
		name string
		m    Material
	}
	var names []named
	for _, m := range all {
		for _, n := range m.names() {
			names = append(names, named{n, m})
		}
	}
	slices.SortStableFunc(names, func(a, b named) int { return len(b.name) - len(a.name) })
	text := " " + fold(description) + " "
	var found []Material
	for _, n := range names {
		word := " " + n.name + " "
		if !strings.Contains(text, word) {
			continue
		}
		// The mark keeps the words on both sides from joining to a new name.
		text = strings.ReplaceAll(text, word, " | ")
		if !slices.ContainsFunc(found, func(m Material) bool { return m.ID == n.m.ID }) {
			found = append(found, n.m)
		}
	}
	if len(found) == 0 {
		return Material{}, fmt.Errorf("no known material is named in %q", description)
	}
	slices.SortStableFunc(found, func(a, b Material) int { return strings.Compare(a.ID, b.ID) })
	return Laminate(found...)
}

// Laminate returns a stack of layers as the worst of them in every respect: at
// each chip thickness the greatest specific force, and for each quantity the
// range from the lowest of the low ends to the lowest of the high ones, so that
// no layer's limit is passed. Density and hardness take the greatest high end.
// A limit that one layer lacks is taken from the others and says so; a tool that
// one layer forbids is forbidden.
func Laminate(layers ...Material) (Material, error) {
	if len(layers) == 0 {
		return Material{}, fmt.Errorf("a laminate needs a layer")
	}
	out := layers[0].clone()
	for _, l := range layers[1:] {
		if l.ID == out.ID {
			continue
		}
		for _, q := range quantities {
			a, okA := out.Value(q)
			b, okB := l.Value(q)
			switch {
			case okA && okB:
				out.Values[q] = []Value{worse(q, a, b)}
			case okA || okB:
				known, missing := a, l.Name
				if okB {
					known, missing = b, out.Name
				}
				known.Note = strings.TrimPrefix(known.Note+"; not known for "+missing, "; ")
				out.Values[q] = []Value{known}
			}
		}
		out.ID += "+" + l.ID
		out.Name += " with " + l.Name
		out.Also = nil
		if out.ISO != l.ISO {
			out.ISO = ""
		}
		out.Gummy = out.Gummy || l.Gummy
		out.Notes = append(out.Notes, l.Notes...)
		out.Laws = append(out.Laws, l.Laws...)
	}
	return out, nil
}

// worse joins the values of two layers and keeps the weaker mark.
func worse(q Quantity, a, b Value) Value {
	v := Value{Low: min(a.Low, b.Low), High: min(a.High, b.High), Mark: max(a.Mark, b.Mark), Applied: true, Note: "worst of the layers"}
	switch q {
	case Hardness, Density, TapForce:
		v.High = max(a.High, b.High)
	}
	if a.Source != b.Source {
		v.Source = strings.Trim(a.Source+"; "+b.Source, "; ")
	} else {
		v.Source = a.Source
	}
	return v
}

// names returns what the material answers to, folded.
func (m Material) names() []string {
	out := []string{fold(m.ID), fold(m.Name)}
	for _, n := range m.Also {
		out = append(out, fold(n))
	}
	return out
}

// fold makes names comparable: lower case, words of letters and digits with one
// space between.
func fold(s string) string {
	words := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return strings.Join(words, " ")
}

// distance counts the letters to insert, delete or replace between two names
// (Levenshtein, 1966).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		diagonal := row[0]
		row[0] = i + 1
		for j := range y {
			cost := diagonal
			if x[i] != y[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}
