package geom

import (
	"fmt"
	"math"
)

// Join says how an offset goes round a corner that points towards its side.
type Join uint8

// The joins.
const (
	RoundJoin Join = iota // an arc about the corner: every point at the distance
	MiterJoin             // the sides prolonged to where they meet, within the limit
)

// OffsetOptions say how an offset is shaped. The zero value gives round joins
// and round caps: the exact set of points at a distance.
type OffsetOptions struct {
	// Join is the shape at corners that point outward (d > 0) or inward (d < 0).
	Join Join
	// MiterLimit is the greatest distance of a mitred corner from its source as
	// a multiple of the offset distance; sharper corners are cut off with a
	// round join. 0 means 4.
	MiterLimit float64
}

const defaultMiterLimit = 4

func (o OffsetOptions) check() (OffsetOptions, error) {
	if o.Join > MiterJoin {
		return o, fmt.Errorf("unknown join %d", o.Join)
	}
	if o.MiterLimit == 0 {
		o.MiterLimit = defaultMiterLimit
	}
	if !(o.MiterLimit >= 1) || math.IsInf(o.MiterLimit, 0) {
		return o, fmt.Errorf("mitre limit %g is not a number of at least 1", o.MiterLimit)
	}
	return o, nil
}

// Offset returns the region grown by d (mm) where d > 0: all points within d of
// it; and shrunk by -d where d < 0: its points no nearer than -d to its
// boundary. With round joins the boundary is exact but for rounding: lines stay
// lines, the offset of an arc is an arc about the same centre, and that of a
// corner an arc about the corner. With mitres it holds more at growing and less
// at shrinking. Parts and holes that vanish, split or merge do so.
//
// No point of the boundary lies nearer to that of r than |d| less a nanometre,
// and every point farther than |d| by a micrometre is on its far side: contours
// that are curves in dense chords are fitted with arcs within a part of that
// first, all others are offset as they are. Corners of the boundary lie within a
// micrometre of the true ones as well.
//
// r must keep the rules of Region; Resolve brings other contours into shape.
// Errors: those of Resolve, a distance that is not finite, options out of range.
func Offset(r Region, d float64, o OffsetOptions) (Region, error) {
	out, err := Offsets(r, []float64{d}, o)
	if err != nil {
		return nil, err
	}
	return out[0], nil
}

// OffsetPath returns all points within d > 0 (mm) of the paths: what a disc of
// radius d sweeps as it runs along them. Ends are round; a path of no length
// gives a disc. Errors: as for Offset, and a path that is not connected.
func OffsetPath(paths []Path, d float64, o OffsetOptions) (Region, error) {
	o, err := o.check()
	if err != nil {
		return nil, err
	}
	if !(d > 0) || d > latticeReach {
		return nil, fmt.Errorf("offset distance %g mm is not above 0", d)
	}
	for i, p := range paths {
		for j, s := range p {
			if err := checkPlaces(s); err != nil {
				return nil, fmt.Errorf("path %d, segment %d: %w", i, j, err)
			}
			if j > 0 && p[j-1].B.Dist(s.A) > joinTol {
				return nil, fmt.Errorf("path %d is not connected before segment %d: a gap of %.3g mm", i, j, p[j-1].B.Dist(s.A))
			}
		}
	}
	l := newPathLevels(paths, o)
	defer l.free()
	return l.at(d)
}

// rawOffset builds the curve at distance d to the right of the contours and
// resolves it. The curve is the boundary of the union of the contours' faces
// and, for each segment, the strip swept by a normal of length d, and for each
// corner that opens to the right, the wedge between the normals; where strips
// overlap at a corner the curve passes through the corner itself, so that each
// strip is whole. All of these run counter-clockwise, hence their windings add
// up and none is negative: the union is where the sum, counted from the
// contours' own, is positive.
func rawOffset(contours []Contour, d float64, o OffsetOptions, inside func(int32) bool) (Region, error) {
	raw := make([]Contour, 0, len(contours))
	for _, c := range contours {
		raw = append(raw, rawContour(c, d, o))
	}
	out, err := arrange(raw, nil, func(w windings) bool { return inside(w[0]) })
	if err != nil {
		return nil, err
	}
	// Where an offset is about to vanish rounding may leave slivers.
	return dropSlivers(out), nil
}

func rawContour(c Contour, d float64, o OffsetOptions) Contour {
	segs := make([]Seg, 0, len(c))
	for _, s := range c {
		if s.A != s.B || s.IsArc() {
			segs = append(segs, s)
		}
	}
	if len(segs) == 0 {
		if len(c) == 0 {
			return nil
		}
		return Circle(c[0].A, d) // a single point
	}
	out := make(Contour, 0, 3*len(segs))
	link := func(p Point) {
		if n := len(out); n > 0 && out[n-1].B != p {
			out = append(out, Line(out[n-1].B, p))
		}
	}
	last := len(segs) - 1
	before, short := shortCorner(segs[last], segs[0], d)
	for i, s := range segs {
		next := segs[(i+1)%len(segs)]
		a, b := rightOf(s, 0, d), rightOf(s, 1, d)
		if short {
			a = before
		}
		before, short = shortCorner(s, next, d)
		if short {
			b = before
		}
		if s.Turn == CW && s.Radius() <= d {
			// The centre is within reach: the strip ends there.
			link(a)
			link(s.C)
			link(b)
			if len(out) == 0 {
				out = append(out, Line(a, s.C), Line(s.C, b))
			}
		} else {
			link(a)
			s.A, s.B = a, b
			out = append(out, s)
		}
		if !short {
			out = joinCorner(out, segs[i], next, d, o)
		}
	}
	link(out[0].A)
	return out
}

// shortCorner returns where the offsets of two lines cross at a corner that turns
// to the right so little that each keeps half its length. Beyond the bisector of the
// corner the strip of each lies in that of the other, so the curve may go that way
// instead of through the corner. Through the corners of a curve in short chords it
// would run to and fro, with about as many overlaps for each as chords are in d.
func shortCorner(s, next Seg, d float64) (Point, bool) {
	if s.IsArc() || next.IsArc() {
		return Point{}, false
	}
	t, u := s.Tangent(1), next.Tangent(0)
	k, c := t.Cross(u), 1+t.Dot(u)
	// d times the tangent of half the turn is what each offset loses. Beyond a right
	// angle that is no small turn, and of half a turn c would be all rounding.
	if !(k < 0 && c > 1) || !(-k*d <= c*math.Min(s.Length(), next.Length())/2) {
		return Point{}, false
	}
	m := t.Left().Add(u.Left()).Mul(-d / c)
	return next.A.Add(m), true
}

// rightOf returns the point at distance d to the right of the start (t = 0) or
// end (t = 1) of a segment.
func rightOf(s Seg, t, d float64) Point {
	p := s.A
	if t == 1 {
		p = s.B
	}
	if s.Turn == Straight {
		return p.Sub(s.B.Sub(s.A).Unit().Left().Mul(d))
	}
	// The centre is to the left of a counter-clockwise arc.
	return p.Add(p.Sub(s.C).Unit().Mul(d * float64(s.Turn)))
}

// joinCorner appends what links the offset of s to that of next.
func joinCorner(out Contour, s, next Seg, d float64, o OffsetOptions) Contour {
	p := next.A
	a, b := rightOf(s, 1, d), rightOf(next, 0, d)
	if a.Dist(b) <= coarsestStep {
		return out
	}
	t, u := s.Tangent(1), next.Tangent(0)
	k, ahead := t.Cross(u), t.Dot(u) > 0
	// At a cusp the sign of k is worth nothing. The arc is right on either side of it:
	// all points within d of the corner belong to the offset.
	if ahead && k <= 0 || k < -flatTurn {
		return append(out, Line(a, p), Line(p, b))
	}
	if o.Join == MiterJoin {
		// The mitre is 1/cos of half the turn from the corner.
		if h := (1 + t.Dot(u)) / 2; h > 0 && 1 <= h*o.MiterLimit*o.MiterLimit {
			m := a.Sub(p).Add(b.Sub(p))
			tip := p.Add(m.Mul(d / math.Sqrt(h) / m.Len()))
			return append(out, Line(a, tip), Line(tip, b))
		}
	}
	return append(out, Arc(a, b, p, CCW))
}
