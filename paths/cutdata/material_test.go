package cutdata

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTableIsWhole(t *testing.T) {
	all, err := All()
	require.NoError(t, err)
	require.Len(t, all, 31)
	names := map[string]string{}
	for _, m := range all {
		assert.Greater(t, m.SpecificForce(0.05), 0.0, m.ID)
		for _, q := range []Quantity{Density, SpeedCarbide, ChipPercent} {
			v, ok := m.Value(q)
			assert.True(t, ok && v.High > 0, "%s of %s", q, m.ID)
		}
		for _, n := range m.names() {
			assert.True(t, names[n] == "" || names[n] == m.ID, "%q names %s and %s", n, names[n], m.ID)
			names[n] = m.ID
		}
		for _, l := range m.Laws {
			assert.True(t, (l.Mark == Confirmed) == (l.Source != ""), "a confirmed law, and no other, names its source: %s", m.ID)
		}
		for q, list := range m.Values {
			for _, v := range list {
				assert.True(t, (v.Mark == Confirmed) == (v.Source != ""), "a confirmed value, and no other, names its source: %s of %s", q, m.ID)
			}
		}
	}
}

// TestEnergies compares the table's specific force with cutting energies of other
// books; J/mm3 times 1000 is N/mm2. The chips are the common ones of those books'
// large cutters (from memory), 0.2 mm in milling and 0.25 mm for sharp single
// edges, within the range of the force laws.
func TestEnergies(t *testing.T) {
	for _, c := range []struct {
		id, source        string
		chip, energy, tol float64
	}{
		{"al-6061", "CAR p192, milling", 0.2, 0.9, 0.4},
		{"brass", "CAR p192, milling", 0.2, 1.6, 0.4},
		{"grey-iron", "CAR p192, milling", 0.2, 1.9, 0.4},
		{"mild-steel", "CAR p192, milling", 0.2, 2.7, 0.4},
		{"mild-steel", "MH p1147, plain carbon steel 120 to 140 HB", 0.25, 1.88, 0.1},
		{"c45", "MH p1147, plain carbon steel 180 to 200 HB", 0.25, 2.24, 0.1},
	} {
		m, err := Lookup(c.id)
		require.NoError(t, err)
		assert.InEpsilon(t, c.energy*1000, m.SpecificForce(c.chip), c.tol, "%s: %s", c.id, c.source)
	}
}

func TestLookup(t *testing.T) {
	for name, id := range map[string]string{
		"brass": "brass", "Nickel Silver": "nickel-silver", "6061": "al-6061", "aluminum": "al-6061",
		"TITANIUM": "ti-6al-4v", "FR4": "fr4", "copper Cu-ETP": "copper",
	} {
		m, err := Lookup(name)
		require.NoError(t, err, name)
		assert.Equal(t, id, m.ID, name)
	}
	for name, hint := range map[string]string{
		"bras": `did you mean "brass"?`, "nikel silver": `did you mean "nickel silver"?`,
		"cheese": "use one of al-6061, al-7075", "": "use one of",
	} {
		_, err := Lookup(name)
		assert.ErrorContains(t, err, hint, name)
	}
}

func TestLookupGivesACopy(t *testing.T) {
	m, err := Lookup("brass")
	require.NoError(t, err)
	m.Laws[0].KC11 = 1
	m.Values[ChipPercent][0].High = 99
	again, err := Lookup("brass")
	require.NoError(t, err)
	assert.Equal(t, 700.0, again.Laws[0].KC11)
	assert.Equal(t, 1.5, again.Values[ChipPercent][0].High)
}

func TestRecognise(t *testing.T) {
	for text, id := range map[string]string{
		"yellow brass": "brass",
		"laminated copper and nickel silver, glued to the plate": "copper+nickel-silver",
		"nickel silver":         "nickel-silver",
		"sterling silver sheet": "silver",
		"beryllium copper":      "c17200",
		"aluminium plate":       "al-6061",
		"brass on brass":        "brass",
	} {
		m, err := Recognise(text)
		require.NoError(t, err, text)
		assert.Equal(t, id, m.ID, text)
	}
	_, err := Recognise("something brassy")
	assert.ErrorContains(t, err, "no known material")
}

// TestLaminateIsWorst: no layer alone is worse than the stack in any respect.
func TestLaminateIsWorst(t *testing.T) {
	all, err := All()
	require.NoError(t, err)
	for _, a := range all {
		for _, b := range all {
			lam, err := Laminate(a, b)
			require.NoError(t, err)
			for _, layer := range []Material{a, b} {
				for _, h := range []float64{0.001, 0.01, 0.1, 1} {
					assert.GreaterOrEqual(t, lam.SpecificForce(h), layer.SpecificForce(h))
				}
				for _, q := range []Quantity{SpeedHSS, SpeedCarbide, SpeedCoated, ChipPercent, DrillFeed} {
					if v, ok := layer.Value(q); ok {
						w, ok := lam.Value(q)
						require.True(t, ok)
						assert.LessOrEqual(t, w.High, v.High, "%s of %s", q, lam.ID)
					}
				}
			}
		}
	}
	_, err = Laminate()
	assert.Error(t, err)
}

func TestTablesRefuseNonsense(t *testing.T) {
	head := []byte("id,name,also,iso,gummy,note\nx,x,,N,no,\n")
	force := []byte("material,kc11,mc,mark,mc_mark,source,use,note\nx,100,0.2,memory,memory,,applied,\n")
	row := func(s string) []byte { return []byte("material,quantity,low,high,mark,source,use,note\n" + s + "\n") }
	good := "x,hb,1,2,memory,,applied,"
	_, err := readTables(head, force, row(good))
	require.NoError(t, err)
	for bad, want := range map[string]string{
		"y,hb,1,2,memory,,applied,":     `material "y" is not known`,
		"x,weight,1,2,memory,,applied,": `quantity "weight" is not known`,
		"x,hb,2,1,memory,,applied,":     "is not a range",
		"x,hb,NaN,1,memory,,applied,":   "is not a range",
		"x,hb,1,+Inf,memory,,applied,":  "is not a range",
		"x,hb,1,2,hearsay,,applied,":    `mark "hearsay" is not known`,
		good + "\n" + good:              "applied value already",
		"x,hb,1,2,memory,,applied":      "wrong number of fields",
	} {
		_, err := readTables(head, force, row(bad))
		assert.ErrorContains(t, err, want, bad)
	}
	_, err = readTables(head, []byte("material,kc11,mc,mark,mc_mark,source,use,note\nx,-1,0.2,memory,memory,,applied,\n"), row(good))
	assert.ErrorContains(t, err, "not a positive number")
	_, err = readTables(append(head, "x,x,,N,no,\n"...), force, row(good))
	assert.ErrorContains(t, err, "twice")
}

func TestSpecificForceOutsideItsDomain(t *testing.T) {
	m, err := Lookup("brass")
	require.NoError(t, err)
	for _, h := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		assert.True(t, math.IsNaN(m.SpecificForce(h)), h)
	}
	assert.True(t, math.IsNaN(Material{}.SpecificForce(0.1)))
}

func TestTitaniumTakesTheWorseEdition(t *testing.T) {
	m, err := Lookup("titanium-2")
	require.NoError(t, err)
	assert.InDelta(t, SpecificForce(1700, 0.23, 0.02), m.SpecificForce(0.02), 1e-9)
}
