package scan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
)

// maskOf reads a drawing: # is set.
func maskOf(rows ...string) *mask {
	m := newMask(len(rows[0]), len(rows))
	for y, row := range rows {
		for x, c := range row {
			m.on[y*m.w+x] = c == '#'
		}
	}
	return m
}

// TestGrow holds the disc dilation against the definition, pixel by pixel.
func TestGrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 24).Draw(t, "w"), rapid.IntRange(1, 24).Draw(t, "h")
		m := newMask(w, h)
		share := rapid.IntRange(1, 40).Draw(t, "share")
		for i := range m.on {
			m.on[i] = rapid.IntRange(0, share).Draw(t, "on") == 0
		}
		state := rapid.Bool().Draw(t, "state")
		r := rapid.Float64Range(1, 7).Draw(t, "r")
		got := m.grow(state, r)
		for y := range h {
			for x := range w {
				want := false
				for j := range h {
					for i := range w {
						d := float64((i-x)*(i-x) + (j-y)*(j-y))
						want = want || m.on[j*w+i] == state && d <= r*r
					}
				}
				require.Equal(t, want, got.on[y*w+x], "(%d, %d)", x, y)
			}
		}
	})
}

// TestLoops checks that loops of any mask enclose its pixels and no others.
func TestLoops(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 14).Draw(t, "w"), rapid.IntRange(1, 14).Draw(t, "h")
		m := newMask(w, h)
		set := 0
		for i := range m.on {
			if m.on[i] = rapid.Bool().Draw(t, "on"); m.on[i] {
				set++
			}
		}
		loops := m.loops()
		area := 0.0
		for _, l := range loops {
			area += l.area
			require.Equal(t, l.area < 0, l.hole)
			for i, c := range l.at {
				d := l.at[(i+1)%len(l.at)]
				require.Equal(t, 1, (c.x-d.x)*(c.x-d.x)+(c.y-d.y)*(c.y-d.y))
			}
		}
		require.Equal(t, float64(set), area)
		for y := range h {
			for x := range w {
				wind := 0
				for _, l := range loops {
					for i, c := range l.at { // a ray to the right crosses upright sides
						d := l.at[(i+1)%len(l.at)]
						if c.x == d.x && c.x > x && min(c.y, d.y) == y {
							wind += d.y - c.y
						}
					}
				}
				require.Equal(t, m.on[y*w+x], wind == 1, "(%d, %d) %d", x, y, wind)
			}
		}
	})
}

func TestTidy(t *testing.T) {
	// A hair on the right, a speck above it, a pinhole.
	m := maskOf(
		"........................",
		"........................",
		"........................",
		"........................",
		"....#########...........",
		"....#########.....#.....",
		"....####.####...........",
		"....#########...........",
		"....################....",
		"....#########...........",
		"....#########...........",
		"........................",
		"........................",
		"........................",
		"........................",
	)
	clean, gone := m.tidy(true, 1.5)
	clean, more := clean.tidy(false, 1.5)
	want := maskOf(
		"........................",
		"........................",
		"........................",
		"........................",
		"....#########...........",
		"....#########...........",
		"....#########...........",
		"....#########...........",
		"....#########...........",
		"....#########...........",
		"....#########...........",
		"........................",
		"........................",
		"........................",
		"........................",
	)
	assert.Equal(t, want.on, clean.on)
	assert.Len(t, gone, 2)
	require.Len(t, more, 1)
	assert.True(t, more[0].dark)
	// The corners of a piece stay, whichever way it is turned.
	turned := newMask(80, 80)
	p := geom.RegularPolygon(geom.Pt(40, 40), 30, 3, 0.3)
	for i := range turned.on {
		turned.on[i] = p.Winding(geom.Pt(float64(i%80)+0.5, float64(i/80)+0.5)) != 0
	}
	same, gone := turned.tidy(true, 3)
	assert.Empty(t, gone)
	assert.Equal(t, turned.on, same.on)
}

// TestOtsu checks the threshold against the definition: no other division has a
// greater variance between its sides.
func TestOtsu(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var h histogram
		h.width = 1
		for range rapid.IntRange(2, 30).Draw(t, "n") {
			h.count[rapid.IntRange(0, levels-1).Draw(t, "class")] += float64(rapid.IntRange(1, 50).Draw(t, "count"))
		}
		between := func(class int) float64 {
			n0, m0, _ := h.moments(0, class)
			n1, m1, _ := h.moments(class, levels)
			return n0 * n1 * (m0 - m1) * (m0 - m1)
		}
		got := between(h.divide(0, levels).class)
		for i := 1; i < levels; i++ {
			require.LessOrEqual(t, between(i), got*(1+1e-9))
		}
	})
}

// TestCircleFit holds the fit against gonum's own minimiser of the same sum.
func TestCircleFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		c, r := geom.Pt(num("x", -50, 50), num("y", -50, 50)), num("r", 1, 20)
		sweep := num("sweep", 2, 6.2)
		var pts []geom.Point
		for i := range 40 {
			a := sweep * float64(i) / 39
			pts = append(pts, c.Add(geom.Pt(math.Cos(a), math.Sin(a)).Mul(r+num("noise", -0.02, 0.02)*r)))
		}
		f, ok := fitCircle(pts)
		require.True(t, ok)
		sum := func(x []float64) float64 {
			s := 0.0
			for _, p := range pts {
				d := p.Dist(geom.Pt(x[0], x[1])) - x[2]
				s += d * d
			}
			return s
		}
		best, err := optimize.Minimize(optimize.Problem{Func: sum}, []float64{c.X, c.Y, r}, nil, &optimize.NelderMead{})
		require.NoError(t, err)
		require.LessOrEqual(t, sum([]float64{f.C.X, f.C.Y, f.R}), best.F*(1+1e-6)+1e-12)
	})
}

// TestHomography checks that the map takes the four points to the four others,
// straight lines to straight lines, and back.
func TestHomography(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		to := [4]geom.Point{{X: 0, Y: 0}, {X: 0, Y: 50}, {X: 50, Y: 50}, {X: 50, Y: 0}}
		var from [4]geom.Point
		for i, p := range to {
			from[i] = geom.Pt(1000+8*p.X+num("x", -60, 60), 2000-8*p.Y+num("y", -60, 60))
		}
		h, err := throughCorners(from, to)
		require.NoError(t, err)
		back, ok := h.inverse()
		require.True(t, ok)
		for i := range from {
			require.LessOrEqual(t, h.apply(from[i]).Dist(to[i]), 1e-8)
			require.LessOrEqual(t, back.apply(to[i]).Dist(from[i]), 1e-6)
		}
		a, b := geom.Pt(num("ax", 0, 50), num("ay", 0, 50)), geom.Pt(num("bx", 0, 50), num("by", 0, 50))
		p, q, m := back.apply(a), back.apply(b), back.apply(a.Lerp(b, 0.3))
		require.LessOrEqual(t, math.Abs(q.Sub(p).Cross(m.Sub(p))), 1e-6*(1+q.Sub(p).Len()*q.Sub(p).Len()))
	})
	p := geom.Pt(1, 1)
	_, err := throughCorners([4]geom.Point{p, p, p, p}, [4]geom.Point{{X: 0, Y: 0}, {X: 0, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 0}})
	assert.Error(t, err)
}

// TestEdgeFit fits profiles of known place, width and levels.
func TestEdgeFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		at, width, low, step := num("at", -2, 2), num("width", 0.35, 1.4), num("low", -0.05, 0.05), num("step", 0.9, 1.1)
		var f profile
		for i := range f.c {
			z := (float64(i)*stride - reach - at) / width
			f.c[i] = rgb{0.2, 0.3, 0.4}.add(rgb{0.1, 0.3, 0.2}.times(low + step*math.Erfc(-z/math.Sqrt2)/2))
		}
		got, w, ok := f.fit(nil)
		require.True(t, ok)
		require.InDelta(t, at, got, 1e-3)
		require.InDelta(t, width, w, 1e-2)
		got, _, ok = f.fit(&width)
		require.True(t, ok)
		require.InDelta(t, at, got, 1e-3)
	})
	for _, flat := range []profile{{}, {c: [readings]rgb{8: {1, 1, 1}}}} {
		_, _, ok := flat.fit(nil)
		assert.False(t, ok)
	}
}

// TestSolve holds the small solver against gonum's.
func TestSolve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var a [4][5]float64
		m, b := mat.NewDense(4, 4, nil), mat.NewVecDense(4, nil)
		for i := range 4 {
			for j := range 5 {
				a[i][j] = rapid.Float64Range(-1, 1).Draw(t, "a")
				if i == j {
					a[i][j] += 4
				}
				if j < 4 {
					m.Set(i, j, a[i][j])
				}
			}
			b.SetVec(i, a[i][4])
		}
		x, ok := solve(a, 4)
		require.True(t, ok)
		var want mat.VecDense
		require.NoError(t, want.SolveVec(m, b))
		for i := range 4 {
			require.InDelta(t, want.AtVec(i), x[i], 1e-9)
		}
	})
}
