package geom

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestValidateSaysWhatAndWhere(t *testing.T) {
	nan := math.NaN()
	square := Rect(Pt(0, 0), Pt(10, 10), 0)
	at := func(c Contour, p Point) Contour { return c.Transform(Translate(p)) }
	for _, c := range []struct {
		name         string
		err          error
		contour, seg int
		text         string
	}{
		{"NaN", Path{Line(Pt(0, 0), Pt(1, 0)), Line(Pt(1, 0), Pt(nan, 0))}.Validate(), -1, 1, "segment 1 at (1, 0): coordinate is not a finite number"},
		{"Inf centre", Path{Arc(Pt(0, 0), Pt(1, 0), Pt(math.Inf(1), 0), CW)}.Validate(), -1, 0, "not a finite number"},
		{"too far", Path{Line(Pt(0, 0), Pt(1e13, 0))}.Validate(), -1, 0, "beyond 1e+12 mm"},
		{"gap", Path{Line(Pt(0, 0), Pt(1, 0)), Line(Pt(1, 0.5), Pt(2, 0))}.Validate(), -1, 1, "starts 0.5 mm from the end of the segment before"},
		{"turn", Path{{Turn: 3}}.Validate(), -1, 0, "turn 3 is none of"},
		{"radius 0", Path{Arc(Pt(1, 1), Pt(1, 1), Pt(1, 1), CCW)}.Validate(), -1, 0, "arc has no radius"},
		{"off the circle", Path{Arc(Pt(1, 0), Pt(0, 2), Pt(0, 0), CCW)}.Validate(), -1, 0, "1 mm and 2 mm from the centre"},
		{"almost a circle", Path{Arc(Pt(5, 0), Pt(5, -1e-9), Pt(0, 0), CCW)}.Validate(), -1, 0, "a full circle ends exactly where it starts"},
		{"empty contour", Contour{}.Validate(), -1, -1, "no segment"},
		{"open contour", Contour(square[:3]).Validate(), -1, 2, "ends 10 mm from the start of the contour: not closed"},
		{"empty contour in region", Region{square, nil}.Validate(), 1, -1, "contour 1: contour has no segment"},
		{"clockwise outer", Region{square.Reverse()}.Validate(), 0, 0, "an outer contour must run counter-clockwise"},
		{"counter-clockwise hole", Region{square, Circle(Pt(5, 5), 2)}.Validate(), 1, 0, "a hole must run clockwise"},
		{"crossing contours", Region{square, at(square, Pt(5, 5))}.Validate(), 0, 1, "crosses segment 0 of contour 1 at (10, 5)"},
		{"along a side", Region{square, Polygon(Pt(10, 0), Pt(10, 10), Pt(0, 20), Pt(-9, 10), Pt(0, 10), Pt(0, 0))}.Validate(), 0, 0, "runs along segment 5 of contour 1"},
		{"the same twice", Region{square, square}.Validate(), 0, 0, "runs along segment 0 of contour 1"},
		{"figure of eight", Region{Polygon(Pt(0, 0), Pt(10, 10), Pt(10, 0), Pt(0, 10))}.Validate(), 0, 0, "crosses segment 2 of contour 0 at (5, 5)"},
		{"nested outer", Region{square, Circle(Pt(5, 5), 2).Reverse(), Circle(Pt(5, 5), 1).Reverse()}.Validate(), 2, 0, "winding number"},
		{"hole outside", Region{square, Circle(Pt(25, 5), 2).Reverse()}.Validate(), 1, 0, "an outer contour must run"},
		{"crossing at corners only", Region{square, Circle(Pt(10, 10), 10)}.Validate(), 0, 1, "winding number 2 to its left and 1 to its right"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Error(t, c.err)
			assert.Contains(t, c.err.Error(), c.text)
			var e *InvalidError
			require.True(t, errors.As(c.err, &e))
			assert.Equal(t, c.contour, e.Contour)
			assert.Equal(t, c.seg, e.Seg)
		})
	}
}

// bulging returns a half disc whose arc has its middle at angle a.
func bulging(c Point, r, a float64) Contour {
	p, q := c.Add(Polar(r, a-math.Pi/2)), c.Add(Polar(r, a+math.Pi/2))
	return Contour{Arc(p, q, c, CCW), Line(q, p)}
}

// lens returns the lens from a to b between arcs of radius r.
func lens(a, b Point, r float64) Contour {
	h := b.Sub(a).Unit().Left().Mul(math.Sqrt(r*r - a.Dist(b)*a.Dist(b)/4))
	m := a.Lerp(b, 0.5)
	return Contour{Arc(a, b, m.Add(h), CCW), Arc(b, a, m.Sub(h), CCW)}
}

func TestValidateAccepts(t *testing.T) {
	square := Rect(Pt(0, 0), Pt(10, 10), 0)
	for name, r := range map[string]Region{
		"empty":                     nil,
		"square":                    {square},
		"touching at a corner":      {square, square.Transform(Translate(Pt(10, 10)))},
		"touching at a point":       {square, Circle(Pt(15, 5), 5)},
		"hole touching from inside": {square, Circle(Pt(5, 5), 5).Reverse()},
		"circles touching":          {Circle(Pt(0, 0), 3), Circle(Pt(5, 0), 2)},
		"circles of one radius":     {Circle(Pt(0, 0), 5), Circle(Polar(10, 0.3), 5), Circle(Polar(10, 1.4), 5)},
		"arcs of one radius":        {bulging(Pt(0, 0), 63, 0.4), bulging(Polar(126, 0.4), 63, 0.4+math.Pi)},
		"lens of huge arcs":         {lens(Pt(-22, -43), Pt(31, 17), 1e6)},
		"hole touching the rim":     {Circle(Pt(0, 0), 3), Circle(Pt(1, 0), 2).Reverse()},
		"repeated point":            {append(Contour{Line(Pt(0, 0), Pt(0, 0))}, square...)},
		"gap below Tol":             {append(Contour{Line(Pt(0, 0), Pt(10, Tol/2))}, square[1:]...)},
		"island":                    RegionOf(Circle(Pt(0, 0), 9), Circle(Pt(0, 0), 6), Circle(Pt(0, 0), 3)),
		"tiny":                      {Circle(Pt(3, 4), 1e-6)},
		"huge":                      {Circle(Pt(3, 4), 1e6)},
	} {
		assert.NoError(t, r.Validate(), name)
	}
	assert.NoError(t, Path(nil).Validate())
	// The centre of a straight segment means nothing.
	assert.NoError(t, Path{{B: Pt(1, 0), C: Pt(math.NaN(), 0)}}.Validate())
}
