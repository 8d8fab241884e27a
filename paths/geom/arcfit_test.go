package geom

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// farthestOnLine returns the greatest distance of any point of the straight
// segment l from s, in closed form. Along l the distance to a point or a line is
// convex, and so is the distance from a centre: its excess over the radius is
// greatest at an end or least at the foot of the centre. Where l passes from one
// nearest feature to another, at the rays through the arc's ends, it is cut.
func farthestOnLine(l, s Seg) float64 {
	d := math.Max(s.Distance(l.A), s.Distance(l.B))
	if s.Turn == Straight {
		return d
	}
	u := l.B.Sub(l.A)
	at := func(t float64) {
		if t > 0 && t < 1 {
			d = math.Max(d, s.Distance(l.At(t)))
		}
	}
	at(u.Dot(s.C.Sub(l.A)) / u.Dot(u))
	for _, e := range [2]Point{s.A, s.B} {
		ray := e.Sub(s.C)
		at(s.C.Sub(l.A).Cross(ray) / u.Cross(ray))
	}
	return d
}

// farthestOnArc returns the greatest distance of any point of the arc s from the
// straight segment l, in closed form: it lies at an end of s, where the normal of
// l meets the arc, where an end of l is seen from the centre or from behind it,
// or where the nearest feature of l changes, on the normals through its ends.
func farthestOnArc(s, l Seg) float64 {
	d := math.Max(l.Distance(s.A), l.Distance(s.B))
	r := s.Radius()
	try := func(v Point) {
		if v != (Point{}) && s.spans(v) {
			d = math.Max(d, l.Distance(s.C.Add(v.Unit().Mul(r))))
		}
	}
	u := l.B.Sub(l.A)
	n := u.Left()
	try(n)
	try(n.Mul(-1))
	for _, e := range [2]Point{l.A, l.B} {
		try(e.Sub(s.C))
		try(s.C.Sub(e))
		pts, k := lineCircle(Line(e.Sub(n.Mul(1e3*r/n.Len())), e.Add(n.Mul(1e3*r/n.Len()))), s)
		for _, p := range pts[:k] {
			try(p.Sub(s.C))
		}
	}
	return d
}

// facing returns the greatest distance between the part of the piece that faces
// the chord l and the chord, measured from both. A chord must not run
// against its piece.
func facing(t require.TestingT, l, piece Seg) float64 {
	if piece.Turn == Straight {
		u := piece.B.Sub(piece.A)
		from, to := u.Dot(l.A.Sub(piece.A))/u.Dot(u), u.Dot(l.B.Sub(piece.A))/u.Dot(u)
		require.True(t, -1e-9 <= from && from <= to+1e-9 && to <= 1+1e-9, "%v runs against %v", l, piece)
		part := Line(piece.At(from), piece.At(to))
		return math.Max(math.Max(l.Distance(part.A), l.Distance(part.B)), farthestOnLine(l, part))
	}
	onto := func(p Point) Point {
		switch p {
		case piece.A, piece.B:
			return p
		}
		return piece.C.Add(p.Sub(piece.C).Unit().Mul(piece.Radius()))
	}
	part := Arc(onto(l.A), onto(l.B), piece.C, piece.Turn)
	if math.Abs(part.Sweep()) > 2*math.Pi-1e-9 { // a chord along a ray: rounding took one end past the other
		part = Line(part.A, part.B)
		return math.Max(farthestOnLine(l, part), l.Distance(part.A))
	}
	require.Less(t, math.Abs(part.Sweep()), math.Pi, "%v runs against %v", l, piece)
	return math.Max(farthestOnLine(l, part), farthestOnArc(part, l))
}

// checkFit measures the bound of FitArcs: each chord against the part of the
// piece that it faces, both ways and in closed form. The parts follow each other
// from the start of the piece to its end, so nothing of it is left out. It
// returns the greatest distance.
func checkFit(t require.TestingT, pts []Point, closed bool, tol float64, fit Path) float64 {
	var poly Path
	for i, p := range pts {
		if i+1 < len(pts) || closed {
			if q := pts[(i+1)%len(pts)]; p != q {
				poly = append(poly, Line(p, q))
			}
		}
	}
	require.NoError(t, fit.Validate())
	worst := 0.0
	if len(fit) == 1 && fit[0].IsCircle() {
		sweep := 0.0
		for _, l := range poly {
			worst = math.Max(worst, facing(t, l, fit[0]))
			a, b := l.A.Sub(fit[0].C), l.B.Sub(fit[0].C)
			sweep += math.Atan2(a.Cross(b), a.Dot(b))
		}
		require.InDelta(t, fit[0].Sweep(), sweep, 1e-9)
		require.LessOrEqual(t, worst, tol*(1+1e-9)+1e-12)
		return worst
	}
	start := 0
	for poly[start].A != fit[0].A {
		start++
	}
	k, sweep := 0, 0.0
	for i := range poly {
		l := poly[(start+i)%len(poly)]
		piece := fit[k]
		worst = math.Max(worst, facing(t, l, piece))
		if piece.IsArc() {
			a, b := l.A.Sub(piece.C), l.B.Sub(piece.C)
			sweep += math.Atan2(a.Cross(b), a.Dot(b))
		}
		if l.B == piece.B && (i+1 == len(poly) || k+1 < len(fit)) && math.Abs(sweep-piece.Sweep()) < 1e-6 {
			k, sweep = k+1, 0
		}
	}
	require.Equal(t, len(fit), k, "pieces end at points, in order, and sweep what their chords sweep")
	require.LessOrEqual(t, worst, tol*(1+1e-9)+1e-12)
	return worst
}

// blob is a smooth closed curve about 100 mm across, by n points.
func blob(n int) []Point {
	pts := make([]Point, n)
	for i := range pts {
		a := 2 * math.Pi * float64(i) / float64(n)
		r := 42 + 5*math.Sin(3*a+0.4) + 2.5*math.Sin(7*a+1.3) + 0.8*math.Sin(19*a)
		pts[i] = Polar(r, a)
	}
	return pts
}

func TestFitArcsFindsTheArcs(t *testing.T) {
	for _, c := range []struct {
		name string
		c    Contour
		segs int
	}{
		{"circle", Circle(Pt(3, 4), 5), 1},
		{"clockwise circle", Circle(Pt(3, 4), 5).Reverse(), 1},
		{"slot", Slot(Pt(0, 0), Pt(30, 10), 8), 4},
		{"rounded rectangle", Rect(Pt(0, 0), Pt(40, 20), 3), 8},
		{"rectangle", Rect(Pt(0, 0), Pt(40, 20), 0), 4},
		{"hexagon", RegularPolygon(Pt(0, 0), 10, 6, 0.1), 6},
		{"three quarters and a corner", Contour{Arc(Pt(5, 0), Pt(0, -5), Pt(0, 0), CCW), Line(Pt(0, -5), Pt(5, -5)), Line(Pt(5, -5), Pt(5, 0))}, 3},
	} {
		for _, chord := range []float64{1e-5, 1e-4, 1e-3} {
			for _, clockwise := range []bool{false, true} {
				t.Run(fmt.Sprintf("%s %g %v", c.name, chord, clockwise), func(t *testing.T) {
					src := c.c
					if clockwise {
						src = src.Reverse()
					}
					pts := Flatten(src, chord)
					pts = pts[:len(pts)-1]
					fit := FitArcs(pts, true, 2*chord)
					checkFit(t, pts, true, 2*chord, fit)
					assert.Len(t, fit, c.segs)
					assert.InEpsilon(t, src.Area(), Contour(fit).Area(), 10*chord)
				})
			}
		}
	}
}

func TestFitArcsKeepsCorners(t *testing.T) {
	// A zigzag: no vertex may go.
	pts := []Point{{0, 0}, {5, 5}, {10, 0}, {15, 5}, {15, 0}}
	assert.Equal(t, Polyline(pts...), FitArcs(pts, false, 0.01))
	// A notch of 0.02 mm goes under 0.05 mm and stays under 0.002 mm.
	notch := []Point{{0, 0}, {5, 0}, {5.5, 0.02}, {6, 0}, {10, 0}}
	assert.Len(t, FitArcs(notch, false, 0.05), 1)
	assert.Len(t, FitArcs(notch, false, 0.002), 4)
	// A line that runs back on itself is not a line.
	back := []Point{{0, 0}, {5, 0}, {3, 0}, {10, 0}}
	assert.Len(t, FitArcs(back, false, 0.05), 3)
}

func TestFitArcsRefuses(t *testing.T) {
	p := []Point{{0, 0}, {1, 0}, {2, 1}}
	for name, fit := range map[string]Path{
		"one point":  FitArcs(p[:1], false, 1),
		"repeated":   FitArcs([]Point{{1, 1}, {1, 1}}, true, 1),
		"none":       FitArcs(nil, true, 1),
		"negative":   FitArcs(p, false, -1),
		"NaN tol":    FitArcs(p, false, math.NaN()),
		"NaN point":  FitArcs([]Point{{0, 0}, {math.NaN(), 0}, {2, 1}}, false, 1),
		"infinitely": FitArcs([]Point{{0, 0}, {math.Inf(1), 0}, {2, 1}}, false, 1),
	} {
		assert.Nil(t, fit, name)
	}
	assert.Equal(t, Polyline(p...), FitArcs(p, false, 0))
	assert.Len(t, FitArcs([]Point{{0, 0}, {1, 0}}, true, 0.1), 2)
}

func TestFitArcsBlob(t *testing.T) {
	for _, c := range []struct {
		n    int
		tol  float64
		most int // pieces
	}{{1000, 0.02, 80}, {10000, 0.002, 160}, {100000, 0.0001, 420}} {
		pts := blob(c.n)
		fit := FitArcs(pts, true, c.tol)
		checkFit(t, pts, true, c.tol, fit)
		assert.LessOrEqual(t, len(fit), c.most)
		t.Logf("%d points at %g mm: %d pieces", c.n, c.tol, len(fit))
	}
}

// A curve that winds twice about a point is not a circle.
func TestFitArcsCountsTurns(t *testing.T) {
	var once, twice []Point
	for i := 0; i < 200; i++ {
		once = append(once, Polar(5, 2*math.Pi*float64(i)/200))
		twice = append(twice, Polar(5, 4*math.Pi*(float64(i)+0.5)/200))
	}
	assert.Len(t, FitArcs(once, true, 0.01), 1)
	fit := FitArcs(twice, true, 0.01)
	checkFit(t, twice, true, 0.01, fit)
	assert.InDelta(t, 20*math.Pi, fit.Length(), 0.1)
}

// What arcFits lets pass is measured, on arcs that nobody fitted.
func TestArcFitsIsTheBound(t *testing.T) {
	passed := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(0.5, 20).Draw(t, "r")
		sweep := rapid.Float64Range(0.1, 6).Draw(t, "sweep")
		turn := rapid.SampledFrom([]Turn{CCW, CW}).Draw(t, "turn")
		tol := rapid.SampledFrom([]float64{0.001, 0.1}).Draw(t, "tol")
		n := rapid.IntRange(2, 40).Draw(t, "n")
		at := func(i float64, d float64) Point { return Polar(r+d, float64(turn)*sweep*i/float64(n)) }
		pts := []Point{at(0, 0)}
		for i := 1; i < n; i++ {
			pts = append(pts, at(float64(i)+rapid.Float64Range(-1, 1).Draw(t, "along"), rapid.Float64Range(-1.2, 1.2).Draw(t, "off")*tol))
		}
		pts = append(pts, at(float64(n), 0))
		s := Arc(pts[0], pts[n], Pt(0, 0), turn)
		if arcFits(pts, s, tol) {
			passed++
			checkFit(t, pts, false, tol, Path{s})
		}
	})
	assert.Positive(t, passed)
	// Each of these is 1 % beyond the bound, or not the arc's way.
	const r, tol = 10.0, 0.01
	arc := func(pts ...Point) bool {
		return arcFits(pts, Arc(pts[0], pts[len(pts)-1], Pt(0, 0), CCW), tol)
	}
	even := func(off func(i int) float64) (pts []Point) {
		for i := 0; i <= 100; i++ {
			pts = append(pts, Polar(r+off(i), float64(i)/50))
		}
		return pts
	}
	bump := func(k int, d float64) []Point {
		return even(func(i int) float64 {
			if i == k {
				return d
			}
			return 0
		})
	}
	assert.True(t, arc(even(func(int) float64 { return 0 })...))
	assert.True(t, arc(bump(50, 0.99*tol)...))
	assert.True(t, arc(bump(50, -0.99*tol)...))
	assert.False(t, arc(bump(50, 1.01*tol)...))
	assert.False(t, arc(bump(50, -1.01*tol)...))
	assert.False(t, arc(bump(1, 1.01*tol)...))
	assert.False(t, arc(bump(99, -1.01*tol)...))
	// A chord whose sagitta is the tolerance spans 2 acos(1 - tol/r).
	w := 2 * math.Acos(1-tol/r)
	assert.True(t, arc(Polar(r, 0), Polar(r, 0.99*w), Polar(r, 1.98*w)))
	assert.False(t, arc(Polar(r, 0), Polar(r, 1.01*w), Polar(r, 2.02*w)))
	back := even(func(int) float64 { return 0 })
	back[50], back[51] = back[51], back[50]
	assert.False(t, arc(back...), "runs back")
	over := append(even(func(int) float64 { return 0 }), Polar(r, 2.02), Polar(r, 2.01))
	assert.False(t, arc(over...), "overshoots its end")
}

// genPolyline draws a polyline of one of several kinds, and a tolerance.
func genPolyline(t *rapid.T) (pts []Point, tol float64) {
	rng := rand.New(rand.NewSource(rapid.Int64().Draw(t, "seed")))
	n := rapid.IntRange(2, 300).Draw(t, "n")
	noise := rapid.SampledFrom([]float64{0, 1e-6, 1e-3, 0.02}).Draw(t, "noise")
	tol = rapid.SampledFrom([]float64{1e-4, 1e-3, 0.01, 0.05}).Draw(t, "tol")
	kind := rapid.IntRange(0, 4).Draw(t, "kind")
	at, dir := Pt(0, 0), 0.0
	bend := 0.0
	for i := 0; i < n; i++ {
		var p Point
		switch kind {
		case 0: // spiral
			p = Polar(1+0.02*float64(i), 0.1*float64(i))
		case 1: // clothoid
			a := float64(i) / 20
			dir += a / 20
			at = at.Add(Polar(0.1, dir))
			p = at
		case 2: // lines and arcs and corners at random
			if rng.Intn(20) == 0 {
				bend = rng.NormFloat64() * 0.1
			}
			if rng.Intn(20) == 0 {
				bend = 0
			}
			if rng.Intn(40) == 0 {
				dir += rng.Float64() * 6
			}
			dir += bend
			at = at.Add(Polar(0.05+0.2*rng.Float64(), dir))
			p = at
		case 3: // several times round a circle
			p = Polar(3, 0.3*float64(i))
		case 4: // random walk
			at = at.Add(Pt(rng.NormFloat64(), rng.NormFloat64()).Mul(0.05))
			p = at
		}
		pts = append(pts, p.Add(Pt(rng.NormFloat64(), rng.NormFloat64()).Mul(noise)))
	}
	return pts, tol
}

func TestFitArcsBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts, tol := genPolyline(t)
		closed := rapid.Bool().Draw(t, "closed")
		fit := FitArcs(pts, closed, tol)
		if fit == nil {
			return
		}
		checkFit(t, pts, closed, tol, fit)
		require.LessOrEqual(t, len(fit), len(pts))
		require.Equal(t, fit, FitArcs(pts, closed, tol))
	})
}

// fewestPieces is the least number of pieces, from the fewest to each point.
func fewestPieces(f *fitter) int {
	n := len(f.pts)
	best := make([]int, n)
	for j := 1; j < n; j++ {
		best[j] = n
		for i := range j {
			if best[i]+1 < best[j] {
				if _, ok := f.piece(i, j, n); ok {
					best[j] = best[i] + 1
				}
			}
		}
	}
	return best[n-1]
}

func TestFitArcsIsFewest(t *testing.T) {
	fewer := 0
	rapid.Check(t, func(t *rapid.T) {
		pts, tol := genPolyline(t)
		if len(pts) > 100 {
			pts = pts[:100]
		}
		fit := FitArcs(pts, false, tol)
		if fit == nil {
			return
		}
		f := &fitter{tol: tol}
		longest := f.fit(pts, false)
		require.Len(t, fit, fewestPieces(f))
		fewer += len(longest) - len(fit)
		// A closed one has no more than one piece over that from any point.
		ring := FitArcs(pts, true, tol)
		for k := range min(len(pts), 3) {
			open := append(append(append([]Point{}, pts[k:]...), pts[:k]...), pts[k])
			require.LessOrEqual(t, len(ring), len(FitArcs(open, false, tol))+1)
		}
	})
	require.Positive(t, fewer, "the longest pieces are not always the fewest")
}

func BenchmarkFitArcs(b *testing.B) {
	for _, n := range []int{1000, 10000, 100000} {
		for _, tol := range []float64{1e-3, 1e-4} {
			pts := blob(n)
			b.Run(fmt.Sprintf("blob/n=%d/tol=%g", n, tol), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					FitArcs(pts, true, tol)
				}
				b.ReportMetric(float64(len(FitArcs(pts, true, tol))), "pieces")
			})
		}
	}
}
