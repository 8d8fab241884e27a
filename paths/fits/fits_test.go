package fits

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const um = 1e-3

func limits(t *testing.T, class string, size float64) Limits {
	t.Helper()
	c, err := ParseClass(class)
	require.NoError(t, err)
	l, err := c.Limits(size)
	require.NoError(t, err)
	return l
}

// TestShaftTable holds limits against the shaft limits of JIS B 0401:1999 (extract
// in a trade handbook), which equal ISO 286-2; upper and lower deviation in um.
func TestShaftTable(t *testing.T) {
	classes := []string{"g6", "h6", "k6", "n6", "p6", "s6", "H7"}
	rows := []struct {
		to     float64
		limits [7][2]float64
	}{
		{3, [7][2]float64{{-2, -8}, {0, -6}, {6, 0}, {10, 4}, {12, 6}, {20, 14}, {10, 0}}},
		{6, [7][2]float64{{-4, -12}, {0, -8}, {9, 1}, {16, 8}, {20, 12}, {27, 19}, {12, 0}}},
		{10, [7][2]float64{{-5, -14}, {0, -9}, {10, 1}, {19, 10}, {24, 15}, {32, 23}, {15, 0}}},
		{18, [7][2]float64{{-6, -17}, {0, -11}, {12, 1}, {23, 12}, {29, 18}, {39, 28}, {18, 0}}},
		{30, [7][2]float64{{-7, -20}, {0, -13}, {15, 2}, {28, 15}, {35, 22}, {48, 35}, {21, 0}}},
		{50, [7][2]float64{{-9, -25}, {0, -16}, {18, 2}, {33, 17}, {42, 26}, {59, 43}, {25, 0}}},
	}
	over := 0.0
	for _, r := range rows {
		for i, class := range classes {
			for _, size := range []float64{math.Nextafter(over, math.Inf(1)), (over + r.to) / 2, r.to} {
				l := limits(t, class, size)
				assert.InDelta(t, r.limits[i][0]*um, l.Max-size, 1e-9, "%s at %g", class, size)
				assert.InDelta(t, r.limits[i][1]*um, l.Min-size, 1e-9, "%s at %g", class, size)
				assert.True(t, l.Confirmed)
			}
		}
		over = r.to
	}
}

// TestWorkedFits holds fits against limits worked out from the published tables
// (DIN ISO 286 grades and JIS B 0401:1999 deviations).
func TestWorkedFits(t *testing.T) {
	for _, c := range []struct {
		size            float64
		fit             string
		least, greatest float64 // um
		kind            string
	}{
		{25, "H7/g6", 7, 41, "clearance fit"},
		{25, "H7/h6", 0, 34, "clearance fit"},
		{50, "H7/g6", 9, 50, "clearance fit"},
		{50, "H7/p6", -42, -1, "interference fit"},
		{6, "H7/k6", -9, 11, "transition fit"},
		{10, "H7/n6", -19, 5, "transition fit"},
		{8, "H7/p6", -24, 0, "interference fit"},
		{20, "H7/s6", -48, -14, "interference fit"},
	} {
		f, err := ParseFit(c.fit, c.size)
		require.NoError(t, err)
		least, greatest := f.Clearance()
		assert.InDelta(t, c.least*um, least, 1e-9, "%g %s", c.size, c.fit)
		assert.InDelta(t, c.greatest*um, greatest, 1e-9, "%g %s", c.size, c.fit)
		assert.Equal(t, c.kind, f.Kind(), "%g %s", c.size, c.fit)
		assert.Equal(t, c.fit, f.String())
	}
}

// TestGradesFollowTheRule holds the grade table against the published rule for
// IT5 to IT11 (ISO 286-1, quoted from memory): the standard rounds by hand, which
// moves no figure by more than a tenth or 1 um, in the first range by a sixth.
func TestGradesFollowTheRule(t *testing.T) {
	steps := []float64{7, 10, 16, 25, 40, 64, 100}
	for _, r := range grades {
		d := math.Sqrt(max(r.over, 1) * r.to) // the first range counts from 1 mm
		i := 0.45*math.Cbrt(d) + 0.001*d
		byHand := 0.1
		if r.over == 0 {
			byHand = 1. / 6
		}
		for k, n := range steps {
			got := r.um[fmt.Sprintf("it%d", k+5)]
			assert.InDelta(t, n*i, got, max(1, byHand*n*i), "IT%d to %g mm", k+5, r.to)
		}
		assert.Less(t, r.um["it4"], r.um["it5"])
		assert.InDelta(t, r.um["it5"]/math.Sqrt(2), r.um["it4"], 1.5, "IT4 to %g mm lies a step below IT5", r.to)
	}
}

// TestDeviationsFollowTheFormulas holds each fundamental deviation against the
// formula of ISO 286-1 (quoted from memory) within its rounding by hand. The main
// ranges decide D; r and s use the sub-ranges and so their neighbours. The first
// range is left out: the standard keeps its figures below the formulas.
func TestDeviationsFollowTheFormulas(t *testing.T) {
	for _, r := range deviations[1:] {
		g := grades.of(r.to)
		d := math.Sqrt(max(g.over, 1) * g.to)
		formulas := map[string]float64{
			"d": -16 * math.Pow(d, 0.44), "e": -11 * math.Pow(d, 0.41), "f": -5.5 * math.Pow(d, 0.41),
			"g": -2.5 * math.Pow(d, 0.34), "n": 5 * math.Pow(d, 0.34), "m": g.um["it7"] - g.um["it6"],
			"k": 0.6 * math.Cbrt(d), "h": 0,
		}
		for letter, want := range formulas {
			assert.InDelta(t, want, r.um[letter], max(1.1, 0.06*math.Abs(want)), "%s to %g mm", letter, r.to)
		}
		p := r.um["p"] - g.um["it7"]
		assert.True(t, p >= -5 && p <= 5, "p to %g mm is IT7 and a few um: %g", r.to, p)
		own := math.Sqrt(max(r.over, 1) * r.to)
		s := g.um["it8"] + 2.5
		if r.to > 50 {
			s = g.um["it7"] + 0.4*own
		}
		assert.InDelta(t, s, r.um["s"], max(2.1, 0.04*s), "s to %g mm", r.to)
		assert.InDelta(t, math.Sqrt(r.um["p"]*r.um["s"]), r.um["r"], max(1.1, 0.04*r.um["r"]), "r to %g mm", r.to)
	}
}

// TestHoles has holes worked out by hand from the standard's rules.
func TestHoles(t *testing.T) {
	for _, c := range []struct {
		class  string
		size   float64
		lo, hi float64
	}{
		{"F8", 12, 16, 43}, {"G7", 12, 6, 24}, {"K7", 12, -12, 6}, {"K8", 12, -19, 8},
		{"N7", 12, -23, -5}, {"P7", 12, -29, -11}, {"N9", 12, -43, 0}, {"JS7", 12, -9, 9},
		{"P7", 2, -16, -6}, {"H11", 40, 0, 160}, {"P9", 12, -61, -18},
	} {
		l := limits(t, c.class, c.size)
		assert.InDelta(t, c.lo*um, l.Min-c.size, 1e-9, "%g %s", c.size, c.class)
		assert.InDelta(t, c.hi*um, l.Max-c.size, 1e-9, "%g %s", c.size, c.class)
	}
}

// TestHoleAndShaftBasis draws sizes: a fit and its mirror on the other basis have
// the same clearances, which is what the standard's special rule is for.
func TestHoleAndShaftBasis(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.Float64Range(3.001, MaxSize).Draw(t, "size")
		letter := rapid.SampledFrom([]string{"d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s"}).Draw(t, "letter")
		hole := Class{Letter: "h", Hole: true, Grade: 7}
		shaft := Class{Letter: letter, Grade: 6}
		mirror := Class{Letter: letter, Hole: true, Grade: 7}
		basis := Class{Letter: "h", Grade: 6}
		a, err := ParseFit(hole.String()+"/"+shaft.String(), size)
		require.NoError(t, err)
		b, err := ParseFit(mirror.String()+"/"+basis.String(), size)
		require.NoError(t, err)
		if letter == "js" {
			return // each is centred on the zero line: the fits differ by design
		}
		al, ah := a.Clearance()
		bl, bh := b.Clearance()
		assert.InDelta(t, al, bl, 1e-9)
		assert.InDelta(t, ah, bh, 1e-9)
	})
}

func TestRefusals(t *testing.T) {
	for in, want := range map[string]string{
		"H7":      "hole's class, a stroke",
		"p6/H7":   "the hole's class (capitals) comes first",
		"H7/Js6":  "mixes capitals",
		"H7/zz6":  "no figures for the deviation",
		"H3/p6":   "no figures for grade 3",
		"H7/":     "not a tolerance class",
		"H7/p6/7": "not a tolerance class",
		"/p6":     "not a tolerance class",
	} {
		_, err := ParseFit(in, 12.7)
		require.Error(t, err, in)
		assert.Contains(t, err.Error(), want, in)
	}
	for _, size := range []float64{0, -1, 501, math.NaN(), math.Inf(1)} {
		_, err := ParseFit("H7/p6", size)
		assert.ErrorContains(t, err, "nominal size")
	}
	_, err := ParseFit("K9/h6", 12)
	assert.ErrorContains(t, err, "no figures for K9")
}

func TestMeasuredBore(t *testing.T) {
	f, err := ParseFit("H7/p6", 12.7)
	require.NoError(t, err)
	least, greatest := f.Clearance()
	m, err := f.Measured(12.704)
	require.NoError(t, err)
	ml, mg := m.Clearance()
	assert.Greater(t, ml, least)
	assert.Less(t, mg, greatest)
	assert.InDelta(t, f.Shaft.Width(), m.Shaft.Width(), 1e-12)
	_, err = f.Measured(12.73)
	assert.ErrorContains(t, err, "outside H7: 12.7000 to 12.7180 mm")
}

func TestTurn(t *testing.T) {
	f, err := ParseFit("H7/p6", 12.7)
	require.NoError(t, err)
	turn, err := Turn(f.Shaft, 0.127, 0.02)
	require.NoError(t, err)
	assert.InDelta(t, 12.7235, turn.Aim, 1e-9)
	assert.InDelta(t, 12.8505, turn.Cut, 1e-9)
	least, greatest := turn.PerSide()
	assert.InDelta(t, (12.8305-12.729)/2, least, 1e-9)
	assert.InDelta(t, (12.8705-12.718)/2, greatest, 1e-9)
	for _, bad := range [][2]float64{{0, 0.01}, {-0.1, 0}, {math.NaN(), 0}, {0.1, math.Inf(1)}, {0.02, 0.02}} {
		_, err := Turn(f.Shaft, bad[0], bad[1])
		assert.Error(t, err)
	}
}

func FuzzParseFit(f *testing.F) {
	f.Add("H7/p6", 12.7)
	f.Add("K9/h6", 2.0)
	f.Fuzz(func(t *testing.T, s string, size float64) {
		fit, err := ParseFit(s, size)
		if err != nil {
			return
		}
		least, greatest := fit.Clearance()
		if !(least <= greatest) || fit.Kind() == "" {
			t.Fatalf("%q at %g: %+v", s, size, fit)
		}
	})
}

func ExampleParseFit() {
	f, _ := ParseFit("H7/p6", 12.7)
	least, greatest := f.Clearance()
	fmt.Printf("bore %.3f to %.3f mm, disc %.3f to %.3f mm\n", f.Hole.Min, f.Hole.Max, f.Shaft.Min, f.Shaft.Max)
	fmt.Printf("%s, %.3f to %.3f mm\n", f.Kind(), least, greatest)
	// Output:
	// bore 12.700 to 12.718 mm, disc 12.718 to 12.729 mm
	// interference fit, -0.029 to 0.000 mm
}
