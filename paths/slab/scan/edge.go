package scan

import (
	"math"
	"sort"

	"proofcut/paths/geom"
)

// The model of an edge: along the normal the light goes from the piece's to the
// bed's as the integral of a normal distribution, which is what a lens and a
// sensor make of a step. What is fitted is where, how wide, and both levels.
const (
	// reach is how far to each side of the border light is read, in pixels. Blur
	// and the error of the first border are together below half of it.
	reach = 4.0
	// stride is the distance of readings along the normal, in pixels.
	stride   = 0.5
	readings = int(2*reach/stride) + 1
	// plateau is how many readings at each end give a side's colour to begin with.
	plateau = 4
	// farthest is how far from the first border an edge is believed, in pixels.
	farthest = 2.5
	// faintest is the least contrast of an edge, of the median round the border.
	faintest = 0.2
	// poorest is the greatest root mean square error of a fit, of its contrast.
	poorest = 0.15
	// clean is the error below which a fit is not tried on fewer readings, and
	// better the part of the error that makes one of fewer readings the better fit.
	clean, better = 0.03, 0.7
	// Widths of an edge, standard deviations in pixels: from a pixel's own
	// (1/sqrt(12)) to a picture out of focus.
	sharpest, softest = 0.28, 2.0
	// smooth is half the number of neighbours that make a first border of the
	// sides of pixels, and slope half of those that its direction is taken from.
	smooth, slope = 3, 4
	// advance is the least way in pixels from one edge point to the next along
	// the border: points that go back at a corner are left out.
	advance = 0.2
)

// edgePoint is one place of the border.
type edgePoint struct {
	at    geom.Point // pixels
	out   geom.Point // unit normal, away from the piece
	width float64
	clear bool // an edge was found
}

// border is a loop to a part of a pixel.
type border struct {
	points []geom.Point // pixels, in the order of the loop
	// seen is the share of places where an edge was found, blind the longest
	// stretch without, in pixels.
	seen, blind float64
	blindAt     geom.Point
}

// fitBorder returns the places of the grey-level edge along a loop.
func fitBorder(s sampler, l loop) border {
	first := softened(l)
	points := fitAll(s, first, nil)
	// Again from there: the directions are better now, and the width of the edge is
	// that of the whole border, which leaves less to each fit.
	var widths []float64
	for _, p := range points {
		if p.clear {
			widths = append(widths, p.width)
		}
	}
	if len(widths) == 0 {
		return border{blind: float64(len(first))}
	}
	sort.Float64s(widths)
	width := widths[len(widths)/2]
	second := make([]geom.Point, len(points))
	for i, p := range points {
		second[i] = p.at
	}
	points = fitAll(s, relaxed(second), &width)
	return gather(points)
}

// softened returns the middles of a loop's sides, each moved to the binomially
// weighted mean of its neighbours.
func softened(l loop) []geom.Point {
	n := len(l.at)
	mid := make([]geom.Point, n)
	for i, a := range l.at {
		b := l.at[(i+1)%n]
		mid[i] = geom.Pt(float64(a.x+b.x)/2, float64(a.y+b.y)/2)
	}
	return relaxedBy(mid, smooth)
}

// relaxed smooths what noise is left in fitted points, over three of them.
func relaxed(pts []geom.Point) []geom.Point { return relaxedBy(pts, 1) }

func relaxedBy(pts []geom.Point, k int) []geom.Point {
	weight := make([]float64, 2*k+1) // a row of Pascal's triangle over its sum
	v := 1.0
	for i := range weight {
		weight[i] = v / math.Exp2(float64(2*k))
		v = v * float64(2*k-i) / float64(i+1)
	}
	n := len(pts)
	out := make([]geom.Point, n)
	for i := range pts {
		for j, w := range weight {
			out[i] = out[i].Add(pts[((i+j-k)%n+n)%n].Mul(w))
		}
	}
	return out
}

// fitAll fits the edge at every point of a closed chain; of the given width, or
// of its own where that is nil.
func fitAll(s sampler, pts []geom.Point, width *float64) []edgePoint {
	n := len(pts)
	out := make([]edgePoint, n)
	profiles := make([]profile, n)
	contrasts := make([]float64, n)
	for i, p := range pts {
		along := pts[(i+slope)%n].Sub(pts[((i-slope)%n+n)%n]).Unit()
		// The set pixels are to the right as seen with Y down: the way out is to the
		// left there, which is (y, -x).
		out[i] = edgePoint{at: p, out: geom.Pt(along.Y, -along.X)}
		profiles[i] = readProfile(s, p, out[i].out)
		contrasts[i] = profiles[i].contrast()
	}
	sorted := append([]float64{}, contrasts...)
	sort.Float64s(sorted)
	least := faintest * sorted[n/2]
	for i := range out {
		if contrasts[i] < least || contrasts[i] == 0 || out[i].out == (geom.Point{}) {
			continue
		}
		if t, w, ok := profiles[i].fit(width); ok {
			out[i].at, out[i].width, out[i].clear = out[i].at.Add(out[i].out.Mul(t)), w, true
		}
	}
	return out
}

// profile is the light along a normal, from the piece to the bed: the mean of
// three normals a pixel apart.
type profile struct {
	c [readings]rgb
}

func readProfile(s sampler, p, out geom.Point) profile {
	var f profile
	along := out.Left()
	for i := range f.c {
		q := p.Add(out.Mul(float64(i)*stride - reach))
		for side := -1.0; side <= 1; side++ {
			a := q.Add(along.Mul(side))
			f.c[i] = f.c[i].add(s.at(a.X, a.Y).times(1.0 / 3))
		}
	}
	return f
}

// sides returns the colours of piece and bed at the ends of the readings
// from..to-1.
func (f *profile) sides(from, to int) (piece, bed rgb) {
	for i := range plateau {
		piece, bed = piece.add(f.c[from+i].times(1.0/plateau)), bed.add(f.c[to-1-i].times(1.0/plateau))
	}
	return piece, bed
}

// contrast is the distance between the colours of the sides.
func (f *profile) contrast() float64 {
	piece, bed := f.sides(0, readings)
	d := bed.sub(piece)
	return math.Sqrt(d.dot(d))
}

// windows are the readings that an edge is fitted to: all, and where something
// else lies near the edge (a seam of the laminate, a shadow) those nearer to it.
var windows = [][2]int{{0, readings}, {near, readings}, {0, readings - near}, {near, readings - near}}

// near is how many readings the narrow side of a window leaves out.
const near = 3

// fit returns where along the normal the edge is, in pixels from its middle, and
// its width; of the given width, or of its own where that is nil.
func (f *profile) fit(width *float64) (at, w float64, ok bool) {
	least := poorest
	for _, window := range windows {
		t, own, rms, good := f.fitWindow(window[0], window[1], width)
		if good && rms < least {
			at, w, ok, least = t, own, true, rms*better
			if rms < clean {
				break
			}
		}
	}
	return at, w, ok
}

// fitWindow fits the readings from..to-1 by least squares (Gauss-Newton) on
// place, levels and, where width is nil, width. The light is projected on the line
// between the colours of the window's ends: each place has border values of its
// own, whatever the piece is laminated of. rms is relative to the contrast.
func (f *profile) fitWindow(from, to int, width *float64) (at, w, rms float64, ok bool) {
	piece, bed := f.sides(from, to)
	d := bed.sub(piece)
	l2 := d.dot(d)
	if l2 == 0 {
		return 0, 0, 0, false
	}
	var v [readings]float64
	for i := from; i < to; i++ {
		v[i] = f.c[i].sub(piece).dot(d) / l2
	}
	low, step := 0.0, 1.0
	w = 0.7
	unknowns := 4
	if width != nil {
		w, unknowns = *width, 3
	}
	at = crossing(v[from:to], float64(from)*stride-reach)
	for range 20 {
		var a [4][5]float64 // normal equations
		for i := from; i < to; i++ {
			z := (float64(i)*stride - reach - at) / w
			phi := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
			area := math.Erfc(-z/math.Sqrt2) / 2
			g := [4]float64{1, area, -step * phi / w, -step * phi * z / w}
			r := v[i] - low - step*area
			for j := range unknowns {
				for k := range unknowns {
					a[j][k] += g[j] * g[k]
				}
				a[j][4] += g[j] * r
			}
		}
		d, good := solve(a, unknowns)
		if !good {
			return 0, 0, 0, false
		}
		low, step = low+d[0], step+d[1]
		move := math.Max(-0.5, math.Min(0.5, d[2]))
		at += move
		was := w
		w = math.Max(sharpest, math.Min(softest, w+math.Max(-0.3, math.Min(0.3, d[3]))))
		if math.Abs(at) > farthest {
			return 0, 0, 0, false
		}
		if math.Abs(move) < 1e-4 && math.Abs(w-was) < 1e-3 {
			break
		}
	}
	if step < 0.5 || step > 2 {
		return 0, 0, 0, false
	}
	var sum float64
	for i := from; i < to; i++ {
		z := (float64(i)*stride - reach - at) / w
		r := v[i] - low - step*math.Erfc(-z/math.Sqrt2)/2
		sum += r * r
	}
	return at, w, math.Sqrt(sum/float64(to-from)) / step, true
}

// crossing returns where readings pass the middle between their ends, nearest to
// the first border; start is the place of the first.
func crossing(v []float64, start float64) float64 {
	best := math.Inf(1)
	for i := range len(v) - 1 {
		a, b := v[i]-0.5, v[i+1]-0.5
		if a < 0 && b >= 0 {
			if at := start + (float64(i)+a/(a-b))*stride; math.Abs(at) < math.Abs(best) {
				best = at
			}
		}
	}
	if math.IsInf(best, 0) {
		return 0
	}
	return best
}

// solve returns the solution of n linear equations by elimination with pivots.
func solve(a [4][5]float64, n int) (x [4]float64, ok bool) {
	for i := range n {
		p := i
		for j := i + 1; j < n; j++ {
			if math.Abs(a[j][i]) > math.Abs(a[p][i]) {
				p = j
			}
		}
		a[i], a[p] = a[p], a[i]
		if math.Abs(a[i][i]) < 1e-9 {
			return x, false
		}
		for j := i + 1; j < n; j++ {
			q := a[j][i] / a[i][i]
			for k := i; k < 5; k++ {
				a[j][k] -= q * a[i][k]
			}
		}
	}
	for i := n - 1; i >= 0; i-- {
		x[i] = a[i][4]
		for j := i + 1; j < n; j++ {
			x[i] -= a[i][j] * x[j]
		}
		x[i] /= a[i][i]
	}
	return x, true
}

// gather keeps the places with an edge, those that go forward along the border.
func gather(points []edgePoint) border {
	var b border
	n := len(points)
	clear := 0
	var gap float64
	start := 0
	for start < n && !points[start].clear {
		start++
	}
	last := points[start%n].at
	for k := range n + 1 { // once round, back to the first
		p := points[(start+k)%n]
		if !p.clear {
			continue
		}
		if k < n {
			clear++
		}
		step := p.at.Sub(last)
		along := p.out.Left() // the way the loop goes
		if k > 0 && step.Dot(along) < advance && k < n {
			continue
		}
		if gap = step.Len(); gap > b.blind {
			b.blind, b.blindAt = gap, last.Lerp(p.at, 0.5)
		}
		if k < n {
			b.points = append(b.points, p.at)
		}
		last = p.at
	}
	b.seen = float64(clear) / float64(n)
	return b
}
