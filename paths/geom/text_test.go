package geom

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestText(t *testing.T) {
	for text, want := range map[string]string{ // read, and written again
		"M 0 0 L 10 0 A 10 5 10 10 ccw":                    "M 0 0 L 10 0 A 10 5 10 10 ccw",
		" M\t1.50 -2\nL 3e2 .5 ":                           "M 1.5 -2 L 300 0.5",
		"M 5 0 A 0 0 5 0 cw":                               "M 5 0 A 0 0 5 0 cw",
		"M -0 0 L 0 -0":                                    "M 0 0 L 0 0",
		"M 0.1 0.30000000000000004 L 123456789.125 1e-300": "M 0.1 0.30000000000000004 L 1.23456789125e+08 1e-300",
	} {
		p, err := ParsePath(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, p.String())
	}
	for text, want := range map[string]string{
		"M 0 0 L 10 0 L 10 5 Z":                      "M 0 0 L 10 0 L 10 5 Z",
		"M 0 0 L 10 0 L 10 5 L 0 0 Z":                "M 0 0 L 10 0 L 10 5 Z",
		"M 5 0 A 0 0 5 0 ccw Z M 9 0 A 8 0 9 0 cw Z": "M 5 0 A 0 0 5 0 ccw Z M 9 0 A 8 0 9 0 cw Z",
		"M 1 0 A 0 0 -1 0 ccw Z":                     "M 1 0 A 0 0 -1 0 ccw Z",
		"":                                           "",
	} {
		r, err := ParseRegion(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, r.String())
	}
	assert.Equal(t, "M 0 0 L 1 2", Line(Pt(0, 0), Pt(1, 2)).String())
	assert.Equal(t, "", Path(nil).String())
	assert.Equal(t, "", Contour(nil).String())
}

func TestTextErrors(t *testing.T) {
	for text, want := range map[string]string{
		"L 1 2":                     `offset 0: want M before "L"`,
		"M 1":                       `offset 3: want a number, have ""`,
		"M 1 x":                     `offset 4: want a number, have "x"`,
		"M 0 0 L 1 NaN":             `offset 10: want a number, have "NaN"`,
		"M 0 0 L 1 inf":             `offset 10: want a number, have "inf"`,
		"M 0 0 L 1 1e999":           `offset 10: want a number, have "1e999"`,
		"M 0 0 Q 1 1":               `offset 6: want M, L, A or Z, have "Q"`,
		"M 0 0 A 1 1 2 2 left":      `offset 16: want ccw or cw, have "left"`,
		"M 0 0 A 1 1 2 2":           `offset 15: want ccw or cw, have ""`,
		"M 0 0 L 1 1 M 5 5 L 6 6":   "segment 1 at (5, 5): starts",
		"M 0 0 A 1 0 5 0 cw":        "segment 0 at (0, 0): arc ends lie 1 mm and 4 mm",
		"M 0 0 L 1 1 L 1 0 Z":       "want an open path: Z closes a contour",
		"":                          "want one path, have 0 chains",
		"M 3 4":                     "path has no segment",
		"M 0 0 L 1 1 Z M 5 5 L 6 6": "want one path, have 2 chains",
	} {
		_, err := ParsePath(text)
		assert.ErrorContains(t, err, want, text)
	}
	for text, want := range map[string]string{
		"M 0 0 L 1 1": "contour 0 is not closed: Z is missing",
		"M 0 0 Z":     "offset 6: contour has no segment",
		"Z":           `offset 0: want M before "Z"`,
		"M 0 0 L 1 0 L 0 1 Z M 0 0 L 1 0 L 1 2 A 1 1 1 1 cw Z": "contour 1: segment 2 at (1, 2): arc has no radius",
	} {
		_, err := ParseRegion(text)
		assert.ErrorContains(t, err, want, text)
	}
}

func TestTextRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := genRegion(t)
		got, err := ParseRegion(r.String())
		require.NoError(t, err)
		require.Equal(t, len(r), len(got))
		for i := range r {
			require.Equal(t, r[i], got[i])
		}
		s := genSeg(t, "s")
		p, err := ParsePath(s.String())
		require.NoError(t, err)
		require.Equal(t, s.String(), p.String())
	})
}

func FuzzParseRegion(f *testing.F) {
	f.Add("M 0 0 L 10 0 A 10 5 10 10 ccw Z")
	f.Add("M 5 0 A 0 0 5 0 ccw Z M 9 0 A 8 0 9 0 cw Z")
	f.Add("M 0 0 L 1 1 L 1 0")
	f.Add("M 1e300 -0 L 0x1p3 1_0 Z")
	f.Fuzz(func(t *testing.T, text string) {
		if p, err := ParsePath(text); err == nil {
			again, err := ParsePath(p.String())
			require.NoError(t, err)
			require.Equal(t, p.String(), again.String())
		}
		r, err := ParseRegion(text)
		if err != nil {
			return
		}
		again, err := ParseRegion(r.String())
		require.NoError(t, err)
		require.Equal(t, r.String(), again.String())
		// What is valid must be measurable without a panic, whatever its shape.
		r.Area()
		r.Centroid()
		_ = r.Validate()
		x := NewIndex(r)
		b := r.Bounds()
		require.Equal(t, r.Contains(b.Center()), x.Contains(b.Center()))
		x.Distance(Line(b.Min, b.Max))
		if len(r) > 0 && r.Perimeter() < 1e6 {
			Flatten(r[0], 1)
		}
	})
}
