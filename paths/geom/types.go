package geom

// Tol is the geometric tolerance in millimetres: two computed points nearer
// than this are the same point. It is a nanometre, a thousandth of what any
// control resolves and a million times the rounding of a float64 at 1 m.
const Tol = 1e-6

// Turn is the sense of a segment.
type Turn int8

// The three senses of a segment.
const (
	Straight Turn = 0  // a straight line
	CCW      Turn = 1  // counter-clockwise arc, seen from +Z
	CW       Turn = -1 // clockwise arc
)

// Seg is a directed segment: a straight line from A to B, or the circular arc
// from A to B about C. An arc with A == B is a full circle. A and B lie at the
// same distance from C within Tol; C means nothing while Turn is Straight.
type Seg struct {
	A, B Point
	C    Point
	Turn Turn
}

// Line returns the straight segment from a to b.
func Line(a, b Point) Seg { return Seg{A: a, B: b} }

// Arc returns the arc from a to b about c in the sense t (CCW or CW).
func Arc(a, b, c Point, t Turn) Seg { return Seg{A: a, B: b, C: c, Turn: t} }

// Path is an open chain of segments; each starts where the one before ends.
type Path []Seg

// Contour is a closed chain of segments: the last ends where the first starts.
type Contour []Seg

// Region is a set of points bounded by contours that neither cross nor overlap:
// outer contours run counter-clockwise, holes clockwise, so the inside lies to
// the left of every segment. The empty region has no contour. Input that does
// not keep these rules is brought into shape by Resolve.
type Region []Contour
