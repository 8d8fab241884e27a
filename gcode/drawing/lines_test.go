package drawing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

func straight(x0, y0, x1, y1, z float64) move {
	return move{a: geom.Pt(x0, y0), b: geom.Pt(x1, y1), z: z, level: true}
}

func TestPathData(t *testing.T) {
	quarter := move{a: geom.Pt(1, 0), b: geom.Pt(0, 1), turn: geom.CCW, sweep: math.Pi / 2}
	most := move{a: geom.Pt(1, 0), b: geom.Pt(0, 1), turn: geom.CW, sweep: 1.5 * math.Pi}
	full := move{a: geom.Pt(3, 2), b: geom.Pt(3, 2), c: geom.Pt(2, 2), turn: geom.CCW, sweep: 2 * math.Pi}
	for _, c := range []struct {
		name  string
		moves []move
		want  string
	}{
		{"line", []move{straight(0, 0, 1, 2, 0)}, "M0 0 1 -2"},
		{"joined", []move{straight(0, 0, 1, 0, 0), straight(1, 0, 3, 0, 0)}, "M0 0 3 0"},
		{"corner", []move{straight(0, 0, 1, 0, 0), straight(1, 0, 1, 1, 0)}, "M0 0 1 0 1 -1"},
		{"back", []move{straight(0, 0, 2, 0, 0), straight(2, 0, 1, 0, 0)}, "M0 0 2 0 1 0"},
		{"apart", []move{straight(0, 0, 1, 0, 0), straight(2, 0, 3, 0, 0)}, "M0 0 1 0M2 0 3 0"},
		{"thousandths", []move{straight(0, 0, 1.23456, -0.0001, 0)}, "M0 0 1.235 0"},
		{"quarter", []move{quarter}, "M1 0A1 1 0 0 0 0 -1"},
		{"three quarters clockwise", []move{most}, "M1 0A1 1 0 1 1 0 -1"},
		{"circle", []move{full}, "M3 -2A1 1 0 0 0 1 -2 1 1 0 0 0 3 -2"},
		{"line, arc, line", []move{straight(1, -2, 1, 0, 0), quarter, straight(0, 1, -2, 1, 0)}, "M1 2 1 0A1 1 0 0 0 0 -1L-2 -1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var d pathData
			for _, m := range c.moves {
				d.add(m)
			}
			assert.Equal(t, c.want, d.String())
		})
	}
}

// A polyline that bends a little at each point is never straightened by more
// than half the last digit.
func TestMergingKeepsTheShape(t *testing.T) {
	var d pathData
	pen := geom.Pt(5, 0)
	for i := 1; i <= 3000; i++ {
		to := geom.Polar(5, float64(i)*0.001)
		d.add(move{a: pen, b: to})
		for _, q := range d.held {
			dir := d.tip().Sub(d.pen).Unit()
			assert.LessOrEqual(t, math.Abs(dir.Cross(q.Sub(d.pen))), resolution/2)
		}
		pen = to
	}
	assert.Less(t, len(d.String()), 3000*6, "most points are left out")
}

func TestMovesAreHeldOnce(t *testing.T) {
	var l moves
	l.add(straight(0, 0, 1, 0, -1))
	l.add(straight(1, 0, 0, 0, -2)) // the other way, deeper
	l.add(straight(0, 0, 1, 0, -1.5))
	l.add(move{a: geom.Pt(1, 0), b: geom.Pt(1, 0), turn: geom.CCW, sweep: 2 * math.Pi, z: -1})
	l.add(move{a: geom.Pt(0, 1), b: geom.Pt(0, 1), turn: geom.CW, sweep: 2 * math.Pi, z: -3}) // the same circle
	l.add(move{a: geom.Pt(1, 0), b: geom.Pt(1, 0), tool: 2, turn: geom.CCW, sweep: 2 * math.Pi, z: -1})
	assert.Len(t, l.list, 3)
	assert.Equal(t, []float64{-2, -3, -1}, []float64{l.list[0].z, l.list[1].z, l.list[2].z})
	assert.InDelta(t, -1, l.bounds().Min.X, 1e-9)
}

func TestVisible(t *testing.T) {
	list := []move{
		straight(0, 0, 10, 0, -1), // under the two next
		straight(0, 0, 6, 0, -2),
		straight(4, 0, 10, 0, -3),
		straight(0, 0, 10, 1, -1), // crosses them only
		straight(0, 5, 10, 5, -1), // alone
	}
	got := visible(list, 1)
	assert.Equal(t, []move{list[1], list[2], list[3], list[4]}, got)
}

func TestBands(t *testing.T) {
	at := func(depths ...float64) []move {
		var out []move
		for i, d := range depths {
			out = append(out, straight(0, float64(i), 1, float64(i), -d))
		}
		return out
	}
	sloping := func(d float64) move { m := straight(0, 0, 1, 0, -d); m.level = false; return m }
	label := func(bs []band) (out []string) {
		for _, b := range bs {
			out = append(out, b.label())
		}
		return out
	}
	for _, c := range []struct {
		name string
		list []move
		want []string
	}{
		{"nothing", nil, nil},
		{"above the stock", at(-1), nil},
		{"one", at(0.12), []string{"0.12 deep"}},
		{"four", at(0.4, 1.6, 0.55, 1.1), []string{"0.4 deep", "0.55 deep", "1.1 deep", "1.6 deep"}},
		{"near ones share", at(0.1, 0.11, 0.12, 1, 2, 3), []string{"0.1 to 0.12 deep", "1 deep", "2 deep", "3 deep"}},
		{"a ramp adds none", append(at(1), sloping(0.4)), []string{"1 deep"}},
		{"a deeper ramp does", append(at(1), sloping(1.4)), []string{"1 deep", "1.4 deep"}},
		{"only sloping", []move{sloping(0.4), sloping(2)}, []string{"0.5 deep", "1 deep", "1.5 deep", "2 deep"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			bs := bands(0, c.list)
			assert.Equal(t, c.want, label(bs))
			if len(bs) > 0 {
				assert.Equal(t, bandCount-1, bs[len(bs)-1].style, "the deepest is the heaviest")
			}
		})
	}
}

// Upright arcs seen from above: closed form.
func TestUprightArcs(t *testing.T) {
	// A half circle in the ZX plane, radius 5 about (0, 3, 0), dipping to Z -5:
	// counter-clockwise leads from Z to X, so from X -5 by Z -5 to X 5 it turns
	// counter-clockwise.
	ev := &interp.Event{Kind: interp.Arc, Plane: interp.ZX, Turn: geom.CCW, Sweep: math.Pi,
		From: geom.Pt3(-5, 3, 0), To: geom.Pt3(5, 3, 0), Centre: geom.Pt3(0, 3, 0)}
	low, right := 0.0, 0.0
	for _, m := range plan(ev) {
		low, right = math.Min(low, m.z), math.Max(right, m.b.X)
		assert.InDelta(t, 3, m.b.Y, 1e-12)
	}
	assert.InDelta(t, 5, right, 1e-12)
	assert.InDelta(t, 5, math.Abs(low)+math.Abs(upright(ev, 0.5).Z)-math.Abs(low), 1e-12)

	ev = &interp.Event{Kind: interp.Arc, Plane: interp.YZ, Turn: geom.CW, Sweep: math.Pi / 2,
		From: geom.Pt3(1, 0, 2), To: geom.Pt3(4, 2, 0), Centre: geom.Pt3(1, 0, 0)}
	mid := upright(ev, 0.5)
	assert.InDelta(t, 2.5, mid.X, 1e-12)
	assert.InDelta(t, math.Sqrt2, mid.Y, 1e-12)
	assert.InDelta(t, math.Sqrt2, mid.Z, 1e-12)
}

func TestDimensionLevels(t *testing.T) {
	d := func(x0, x1 float64) dimension {
		return dimension{a: geom.Pt(x0, 0), b: geom.Pt(x1, 0), text: "12"}
	}
	ds := []dimension{d(0, 20), d(30, 50), d(15, 40), d(0, 50)}
	assert.Equal(t, 3, levels(ds, 1))
	assert.Equal(t, []int{0, 0, 1, 2}, []int{ds[0].level, ds[1].level, ds[2].level, ds[3].level})
	narrow := d(5, 6)
	assert.False(t, narrow.fits(1))
	lo, hi := narrow.span(1)
	assert.Less(t, lo, 5.0)
	assert.Greater(t, hi, 8.0)
}

func TestWrapped(t *testing.T) {
	rows := wrapped([]statement{{"Job", "one two three four", false}, {"X", "a<b", true}, {"Y", "", false}}, 7, 1)
	assert.Equal(t, []statement{{"Job", "one two", false}, {"", "three four", false}, {"X", "a&lt;b", true}, {"Y", "", false}}, rows)
	long := wrapped([]statement{{"Job", string(make([]byte, 4000)), false}}, 8, 1)
	assert.Len(t, long, wrapRows)
	assert.Contains(t, long[wrapRows-1].text, "…")
}
