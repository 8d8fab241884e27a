package geom

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
)

// The lattice is where topology is decided. Every vertex of an arrangement has
// whole-number coordinates, so that the sign of an orientation is exact; the
// float64 place that a vertex came from is kept beside it and is what results
// are made of.
const (
	// finestStep and coarsestStep bound the pitch of the lattice in mm: 0.23 pm and
	// 0.06 nm. Lines within a step of each other become one, so the area of a
	// region is uncertain by a step times its perimeter: at the finest that is
	// less than a 1e-9th for all but slivers. Finer still, and what was computed
	// twice, by ways that differ in rounding, would come apart into slivers. The
	// coarsest is well under Tol. Both are powers of two so that scaling is exact.
	finestStep   = 1.0 / (1 << 32)
	coarsestStep = 1.0 / (1 << 24)
	// stepUlps is the pitch in units of the last place of the largest coordinate:
	// between the bounds it is far above the rounding of what is computed from
	// coordinates. The finest serves parts up to half a metre from the origin.
	stepUlps = 1 << 11
	// latticeReach is the largest coordinate in mm that the lattice takes. Its
	// vertices stay below 2^60 steps, so products of differences fit 128 bits.
	latticeReach = 1 << 36
	// joinTol is the largest gap in mm between consecutive segments of a contour
	// that is closed silently; wider gaps are an error.
	joinTol = 10 * Tol
)

// ipt is a lattice vertex in steps.
type ipt struct{ x, y int64 }

// less orders vertices by x, then y.
func (p ipt) less(q ipt) bool { return p.x < q.x || p.x == q.x && p.y < q.y }

// circle is a circle that arcs of the arrangement lie on.
type circle struct {
	c Point
	r float64
}

// curve is a directed carrier: a circle or an input line.
type curve struct {
	circ int32 // index of the circle, -1 for a line
	line int32 // index of the input line, -1 for an arc
	turn Turn
}

// none is the curve that is not there.
var none = curve{-1, -1, Straight}

// chord is an edge of the arrangement: a straight lattice segment from v0 to v1
// (v0 before v1 in x, then y), standing either for itself or for the piece of
// circle circ that bulges from it by sag. w is how often the contours of each
// group run along it from v0 to v1, less how often they run back.
type chord struct {
	v0, v1 int32
	curve
	w     [2]int32
	more  int32 // number of the set of all curves that it stands for, 0 for the one
	flip  bool  // the curves of the set run from v1 to v0
	dirty bool
	sag   float64 // mm, 0 for a line
	apex  Point   // where the end tangents of an arc meet; A for a line
	box   Box     // holds chord and apex, with a margin of two steps
}

// lattice is an arrangement under construction.
type lattice struct {
	step  float64 // pitch in mm, a power of two
	scale float64 // 1/step
	// See flatSteps, reachSteps and apartSteps; in mm.
	flat, reach, apart float64

	pts     []ipt
	pos     []Point
	slots   []int32 // open-addressing table of vertex numbers plus one
	circles []circle
	byKey   map[[3]int64]int32
	lines   []Seg
	sets    [][]curve // the curves of chords that stand for more than one
	edges   []chord
	cuts    []cut
	swap    []chord
}

// stepFor returns the pitch in mm for coordinates up to span.
func stepFor(span float64) float64 {
	_, e := math.Frexp(span)
	return math.Min(math.Max(math.Ldexp(stepUlps, e-53), finestStep), coarsestStep)
}

// newLattice returns an empty lattice for about n segments whose coordinates, those
// of centres included, are no larger than span.
func newLattice(n int, span float64) *lattice {
	size := 64
	for size < 4*n {
		size *= 2
	}
	step := stepFor(span)
	return &lattice{
		step: step, scale: 1 / step, flat: flatSteps * step, reach: reachSteps * step, apart: apartSteps * step,
		pts: make([]ipt, 0, 2*n), pos: make([]Point, 0, 2*n), slots: make([]int32, size),
		edges: make([]chord, 0, 2*n), sets: make([][]curve, 1),
	}
}

func (l *lattice) slot(p ipt) int {
	h := uint64(p.x)*0x9e3779b97f4a7c15 ^ bits.RotateLeft64(uint64(p.y)*0xc2b2ae3d27d4eb4f, 32)
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	h ^= h >> 32
	mask := len(l.slots) - 1
	i := int(h) & mask
	for l.slots[i] != 0 && l.pts[l.slots[i]-1] != p {
		i = (i + 1) & mask
	}
	return i
}

// vertex returns the number of the lattice vertex nearest to p. The first place
// that lands on a vertex is the one that it keeps.
func (l *lattice) vertex(p Point) int32 {
	return l.place(ipt{int64(math.Round(p.X * l.scale)), int64(math.Round(p.Y * l.scale))}, p)
}

func (l *lattice) place(q ipt, p Point) int32 {
	i := l.slot(q)
	if v := l.slots[i]; v != 0 {
		return v - 1
	}
	if 2*(len(l.pts)+1) > len(l.slots) {
		l.slots = make([]int32, 2*len(l.slots))
		for v := range l.pts {
			l.slots[l.slot(l.pts[v])] = int32(v + 1)
		}
		i = l.slot(q)
	}
	l.pts = append(l.pts, q)
	l.pos = append(l.pos, p)
	l.slots[i] = int32(len(l.pts))
	return int32(len(l.pts) - 1)
}

// circleOf returns the number of the circle about c of radius r. Circles that
// agree to a lattice step or two are one circle, so that arcs which overlap are
// cut at the same places.
func (l *lattice) circleOf(c Point, r float64) int32 {
	// The cells of the table are two steps wide; what lies within an eighth of
	// a cell's border is looked up on both sides of it.
	const border = 1. / 8
	var cells [3][2]int64
	for i, v := range [3]float64{c.X, c.Y, r} {
		v *= l.scale / 2
		k := math.Round(v)
		cells[i] = [2]int64{int64(k), int64(k)}
		if d := v - k; math.Abs(d) > 0.5-border {
			cells[i][1] += int64(math.Copysign(1, d))
		}
	}
	if l.byKey == nil {
		l.byKey = make(map[[3]int64]int32)
	}
	for n := range 8 {
		key := [3]int64{cells[0][n&1], cells[1][n>>1&1], cells[2][n>>2]}
		if i, ok := l.byKey[key]; ok {
			return i
		}
		if n == 0 && cells[0][0] == cells[0][1] && cells[1][0] == cells[1][1] && cells[2][0] == cells[2][1] {
			break
		}
	}
	i := int32(len(l.circles))
	l.circles = append(l.circles, circle{c, r})
	l.byKey[[3]int64{cells[0][0], cells[1][0], cells[2][0]}] = i
	return i
}

// checkPlaces refuses a segment that the lattice cannot hold.
func checkPlaces(s Seg) error {
	pts := [...]Point{s.A, s.B, s.C}
	if s.Turn == Straight {
		pts[2] = s.A // the centre means nothing
	}
	for _, p := range pts {
		if !p.Finite() {
			return errors.New("coordinate is not a finite number")
		}
		if math.Abs(p.X) > latticeReach || math.Abs(p.Y) > latticeReach {
			return fmt.Errorf("coordinate beyond %g mm", float64(latticeReach))
		}
	}
	if s.Turn < CW || s.Turn > CCW {
		return fmt.Errorf("unknown turn %d", s.Turn)
	}
	return nil
}

// checkSeg refuses a segment of a closed contour that the lattice cannot hold or
// that the next does not join.
func checkSeg(s, next Seg, contour, seg int) error {
	if err := checkPlaces(s); err != nil {
		return fmt.Errorf("contour %d, segment %d: %w", contour, seg, err)
	}
	if gap := s.B.Dist(next.A); gap > joinTol {
		return fmt.Errorf("contour %d is open after segment %d: a gap of %.3g mm", contour, seg, gap)
	}
	return nil
}

// add enters a closed contour for group 0 or 1; number is for messages.
func (l *lattice) add(c Contour, group, number int) error {
	if len(c) == 0 {
		return nil
	}
	for i, s := range c {
		if err := checkSeg(s, c[(i+1)%len(c)], number, i); err != nil {
			return err
		}
	}
	first := l.vertex(c[0].A)
	at := first
	for i, s := range c {
		to := first
		if i+1 < len(c) {
			to = l.vertex(c[i+1].A)
		}
		l.addSeg(s, at, to, group)
		at = to
	}
	return nil
}

// addSeg enters one segment between two vertices. Arcs are cut at multiples of
// an eighth of a turn, so that each piece is monotone in x and y and all arcs of
// one circle are cut at the same places.
func (l *lattice) addSeg(s Seg, from, to int32, group int) {
	if s.Turn == Straight {
		if from != to {
			l.lines = append(l.lines, s)
			l.push(from, to, -1, int32(len(l.lines)-1), Straight, group)
		}
		return
	}
	ra, rb := s.A.Sub(s.C), s.B.Sub(s.C)
	r := (ra.Len() + rb.Len()) / 2
	if r == 0 {
		if from != to {
			l.lines = append(l.lines, Line(s.A, s.B))
			l.push(from, to, -1, int32(len(l.lines)-1), Straight, group)
		}
		return
	}
	circ := l.circleOf(s.C, r)
	o := l.circles[circ]
	sweep := s.Sweep()
	a0 := ra.Angle()
	at := from
	const eighth = math.Pi / 4
	step := int(s.Turn)
	k := int(math.Floor(a0/eighth)) + 1
	if step < 0 {
		k = int(math.Ceil(a0/eighth)) - 1
	}
	for ; math.Abs(float64(k)*eighth-a0) < math.Abs(sweep); k += step {
		v := l.vertex(o.c.Add(eighthPoint(k).Mul(o.r)))
		l.push(at, v, circ, -1, s.Turn, group)
		at = v
	}
	l.push(at, to, circ, -1, s.Turn, group)
}

// eighthPoint returns the point of the unit circle at k eighths of a turn.
func eighthPoint(k int) Point {
	const h = math.Sqrt2 / 2
	return [8]Point{{1, 0}, {h, h}, {0, 1}, {-h, h}, {-1, 0}, {-h, -h}, {0, -1}, {h, -h}}[((k%8)+8)%8]
}

// push appends the chord of one piece that group runs along from a to b.
func (l *lattice) push(a, b, circ, line int32, turn Turn, group int) {
	if a == b {
		return
	}
	e := chord{v0: a, v1: b, curve: curve{circ, line, turn}}
	e.w[group] = 1
	l.edges = append(l.edges, l.finish(e))
}

// finish orders the ends of a chord and fills in what follows from them.
func (l *lattice) finish(e chord) chord {
	if l.pts[e.v1].less(l.pts[e.v0]) {
		e.v0, e.v1 = e.v1, e.v0
		e.turn = -e.turn
		e.flip = !e.flip
		e.w[0], e.w[1] = -e.w[0], -e.w[1]
	}
	e.dirty = true
	a, b := l.pos[e.v0], l.pos[e.v1]
	e.sag, e.apex = 0, a
	if e.circ >= 0 {
		r := l.circles[e.circ].r
		half := a.Dist(b) / 2
		d := b.Sub(a)
		if half < r {
			c := math.Sqrt((r - half) * (r + half))
			e.sag = half * half / (r + c)
			// The centre lies to the left of a counter-clockwise piece, so it
			// bulges to the right of its chord.
			e.apex = a.Lerp(b, 0.5).Sub(d.Left().Mul(float64(e.turn) * half / c / 2))
		} else {
			// The ends moved apart by a step beyond the diameter.
			e.sag = r
			e.apex = a.Lerp(b, 0.5).Sub(d.Left().Mul(float64(e.turn)))
		}
	}
	e.box = EmptyBox().AddPoint(a).AddPoint(b).AddPoint(e.apex).Grow(2 * l.step)
	return e
}

// wide is a signed 128-bit number.
type wide struct {
	hi int64
	lo uint64
}

func mulWide(a, b int64) wide {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	h := int64(hi)
	if a < 0 {
		h -= b
	}
	if b < 0 {
		h -= a
	}
	return wide{h, lo}
}

func (w wide) sub(v wide) wide {
	lo, borrow := bits.Sub64(w.lo, v.lo, 0)
	hi, _ := bits.Sub64(uint64(w.hi), uint64(v.hi), borrow)
	return wide{int64(hi), lo}
}

func (w wide) sign() int {
	switch {
	case w.hi < 0:
		return -1
	case w.hi > 0 || w.lo > 0:
		return 1
	}
	return 0
}

func (w wide) float() float64 {
	if w.hi < 0 {
		n := wide{}.sub(w)
		return -(float64(uint64(n.hi))*0x1p64 + float64(n.lo))
	}
	return float64(w.hi)*0x1p64 + float64(w.lo)
}

// cross returns (b-a) x (c-a) in square steps, exactly.
func cross(a, b, c ipt) wide {
	return mulWide(b.x-a.x, c.y-a.y).sub(mulWide(b.y-a.y, c.x-a.x))
}

// orient returns the exact sign of (b-a) x (c-a): 1 when c lies to the left of
// the line from a to b, -1 to the right, 0 on it.
func orient(a, b, c ipt) int {
	p := float64(b.x-a.x) * float64(c.y-a.y)
	q := float64(b.y-a.y) * float64(c.x-a.x)
	// Each factor and each product is rounded once: 6 roundings of 2^-53.
	const bound = 8 * 0x1p-53
	d := p - q
	if e := bound * (math.Abs(p) + math.Abs(q)); d > e {
		return 1
	} else if d < -e {
		return -1
	}
	return cross(a, b, c).sign()
}

// between reports whether c, known to lie on the line through a and b, lies
// strictly between them.
func between(a, b, c ipt) bool {
	if c == a || c == b {
		return false
	}
	return min(a.x, b.x) <= c.x && c.x <= max(a.x, b.x) && min(a.y, b.y) <= c.y && c.y <= max(a.y, b.y)
}
