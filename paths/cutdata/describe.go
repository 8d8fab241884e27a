package cutdata

import (
	"fmt"
	"slices"
	"strings"

	"proofcut/paths/setup"
)

// SubstrateOf returns what a tool is made of. A tool that does not say counts as
// high-speed steel, the weaker and softer of the two; known is false then.
func SubstrateOf(t setup.Tool) (s Substrate, known bool) {
	switch t.Substrate {
	case setup.Carbide:
		return Carbide, true
	case setup.CoatedCarbide:
		return Coated, true
	case setup.HighSpeedSteel:
		return HSS, true
	}
	return HSS, false
}

// Describe returns the material of a stock or backing: what it is said to be
// like, or else what its description names. A laminate takes the worst of what is
// named. A hardness makes it cut harder where it exceeds what is known of the
// named materials, see Hardened; without a name it takes the worst of all metals
// that are not clearly harder, see OfHardness. The error says what is not known
// and lists what is.
func Describe(description string, like setup.Like) (Material, error) {
	var m Material
	var err error
	switch {
	case len(like.Names) > 0:
		var layers []Material
		for _, n := range like.Names {
			l, err := Lookup(n)
			if err != nil {
				return Material{}, err
			}
			layers = append(layers, l)
		}
		m, err = Laminate(layers...)
	case like.Hardness > 0:
		return OfHardness(like.Hardness)
	case strings.TrimSpace(description) == "":
		err = fmt.Errorf("no material is named: use one of %s", strings.Join(known(), ", "))
	default:
		if m, err = Recognise(description); err != nil {
			err = fmt.Errorf("%w: use one of %s", err, strings.Join(known(), ", "))
		}
	}
	if err != nil || like.Hardness == 0 {
		return m, err
	}
	return Hardened(m, like.Hardness)
}

// known returns the names of all materials.
func known() []string {
	all, err := table()
	if err != nil {
		return nil
	}
	var out []string
	for _, m := range all {
		out = append(out, m.Name)
	}
	return out
}

// Hardened returns a material at a Brinell hardness beyond what is known of it:
// specific force grows, cutting speeds and chips shrink in proportion (estimate;
// within one group of metals force grows slower than hardness). A softer one stays
// as it is, since softer metal may cling and cut no easier. The error is for a
// hardness that is not positive and a material that has none.
func Hardened(m Material, brinell float64) (Material, error) {
	if !finitePositive(brinell) {
		return Material{}, fmt.Errorf("the hardness is %g HB; it has to be more than 0", brinell)
	}
	hb, ok := m.Value(Hardness)
	if !ok {
		return Material{}, fmt.Errorf("%s has no Brinell hardness: leave the hardness out", m.Name)
	}
	k := brinell / hb.High
	if k <= 1 {
		return m, nil
	}
	m = m.clone()
	for i := range m.Laws {
		m.Laws[i].KC11 *= k
		m.Laws[i].Mark = max(m.Laws[i].Mark, Estimate)
	}
	for _, q := range []Quantity{SpeedHSS, SpeedCarbide, SpeedCoated, SpeedDrill, SpeedTap, ChipPercent, DrillFeed} {
		for i := range m.Values[q] {
			v := &m.Values[q][i]
			v.Low, v.High, v.Mark = v.Low/k, v.High/k, max(v.Mark, Estimate)
		}
	}
	m.Values[Hardness] = []Value{{Low: brinell, High: brinell, Mark: Estimate, Applied: true, Note: "as stated"}}
	m.Name = fmt.Sprintf("%s of %.4g HB", m.Name, brinell)
	return m, nil
}

// harder is by how much the lowest hardness of a metal may exceed that of a strange
// alloy for it still to be like it: the spread of hardness tests and grades
// (common practice, no source).
const harder = 1.25

// OfHardness returns what is to be reckoned with for a metal of which only its
// Brinell hardness is known: the worst of all metals in the table that are not
// clearly harder, made harder where it exceeds them all. The error is for a
// hardness that is not positive.
func OfHardness(brinell float64) (Material, error) {
	if !finitePositive(brinell) {
		return Material{}, fmt.Errorf("the hardness is %g HB; it has to be more than 0", brinell)
	}
	all, err := table()
	if err != nil {
		return Material{}, err
	}
	var like []Material
	soft := slices.MinFunc(all, func(a, b Material) int {
		// Materials without a hardness are no metals.
		x, okX := a.Value(Hardness)
		y, okY := b.Value(Hardness)
		switch {
		case okX && okY:
			return int(x.Low*1000) - int(y.Low*1000)
		case okX:
			return -1
		case okY:
			return 1
		}
		return 0
	})
	for _, m := range all {
		if hb, ok := m.Value(Hardness); ok && (hb.Low <= brinell*harder || m.ID == soft.ID) {
			like = append(like, m)
		}
	}
	m, err := Laminate(like...)
	if err != nil {
		return Material{}, err
	}
	if m, err = Hardened(m, brinell); err != nil {
		return Material{}, err
	}
	m.ID, m.Name, m.ISO, m.Notes = "metal", fmt.Sprintf("a metal of %.4g HB", brinell), "", nil
	return m, nil
}
