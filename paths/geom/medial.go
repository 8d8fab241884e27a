package geom

import (
	"fmt"
	"math"
	"slices"
	"sync"
)

// MedialOptions shape a medial axis. The zero value is ready to use.
type MedialOptions struct {
	// Chord is the greatest distance in mm between an arc and the chords that
	// stand for it; 0 means DefaultChord. The chords lie on the inner side, so
	// that no clearance is overstated.
	Chord float64
	// Prune removes side branches that say less than this about the shape: a
	// branch goes when its erosion thickness, the length from its far end less
	// the clearance where it joins the rest, is at most Prune (mm). For a
	// corner it is how far the corner stands out of the disc at the joint.
	// 0 means DefaultPrune; a negative value keeps everything.
	//
	// The measure is from L. Liu, E. Chambers, D. Letscher and T. Ju, "Extended
	// grassfire transform on medial axes of 2D shapes" (2011).
	Prune float64
}

const (
	// DefaultChord is the cut tolerance: a toolpath may leave its true curve by
	// a micrometre.
	DefaultChord = 1e-3
	// DefaultPrune is five times DefaultChord: the corner between two chords of
	// an arc has an erosion thickness of about their sagitta and must go.
	DefaultPrune = 5 * DefaultChord
	// minChord keeps the number of chords within reason.
	minChord = 1e-5
	// maxChords bounds the chords of a region, some 20 GB of diagram.
	maxChords = 1 << 24
)

// Medial is the medial axis of a region: the centres of the discs inside it
// that touch its boundary at more than one place.
type Medial struct {
	// Branches are the maximal stretches between ends and forks, each from its
	// narrower end to its wider one, ordered by their nodes.
	Branches []MedialBranch
	// Nodes are the ends and forks, from left to right; a region whose axis is a single point
	// (a disc) has one node and no branch.
	Nodes []Disc

	region Region
	chord  float64
	inner  *diagram
	outer  func() (*diagram, error)
}

// MedialBranch is a chain of pieces between two nodes; a closed branch, as in a
// ring, has From == To.
type MedialBranch struct {
	From, To int // indices into Nodes

	d     *diagram
	edges []int32 // half-edges; each piece runs to the node of its half-edge
}

// Pieces returns the pieces of the branch from its first node to its last.
func (b MedialBranch) Pieces() []MedialPiece {
	out := make([]MedialPiece, len(b.edges))
	for i, h := range b.edges {
		out[i] = b.d.piece(h)
	}
	return out
}

// Length returns the length of the branch.
func (b MedialBranch) Length() float64 {
	sum := 0.0
	for _, h := range b.edges {
		sum += b.d.piece(h).Length()
	}
	return sum
}

// Discs returns discs along the branch, ends included, between which centre
// and clearance depart from straight lines by no more than tol (mm).
func (b MedialBranch) Discs(tol float64) []Disc {
	var dst []Disc
	for i, h := range b.edges {
		p := b.d.piece(h)
		if i == 0 {
			dst = append(dst, p.From)
		}
		dst = p.appendDiscs(dst, tol)
	}
	return dst
}

// MedialAxis returns the medial axis of a region with holes, from the Voronoi
// diagram of its edges and vertices, with arcs as chords (see MedialOptions).
// The region must be oriented as Region says; contours may touch in points.
// Vertices are rounded to a lattice of 2^-24 mm (0.06 nm) for regions up to
// 128 mm from the middle, twice that for 256 mm, and so on: below a nanometre
// for two metres.
//
// Errors: segments that are not finite or not closed; contours that cross,
// overlap or run the wrong way round (Resolve brings them in order); options
// that are out of range; more than 2^24 chords, or a region so large that the
// lattice is coarse beside the chord error (from a quarter of a kilometre).
func MedialAxis(r Region, o MedialOptions) (*Medial, error) {
	if o.Chord == 0 {
		o.Chord = DefaultChord
	}
	if o.Prune == 0 {
		o.Prune = DefaultPrune
	}
	if !(o.Chord >= minChord) || math.IsInf(o.Chord, 0) || math.IsNaN(o.Prune) {
		return nil, fmt.Errorf("medial axis: chord %g mm or prune %g mm out of range", o.Chord, o.Prune)
	}
	for i, c := range r {
		if e := checkChain(c, true); e != nil {
			e.Contour = i
			return nil, fmt.Errorf("medial axis: %w", e)
		}
	}
	if err := medialSize(r, o.Chord); err != nil {
		return nil, err
	}
	r = cloneContours(r) // the caller may change its own later
	inner, err := newDiagram(r, o.Chord, false)
	if err != nil {
		return nil, fmt.Errorf("medial axis: %w", err)
	}
	m := &Medial{region: r, chord: o.Chord, inner: inner}
	source := sync.OnceValue(func() *Index { return NewIndex(r) })
	if inner.chords {
		inner.source = source
	}
	m.outer = sync.OnceValues(func() (*diagram, error) {
		rev := make([]Contour, len(r))
		for i, c := range r {
			rev[i] = c.Reverse()
		}
		outer, err := newDiagram(rev, o.Chord, true)
		if err == nil && outer.chords {
			outer.source = source
		}
		return outer, err
	})
	if inner.v == nil {
		return m, nil
	}
	g := newMedialGraph(inner)
	g.prune(o.Prune)
	g.branches(m)
	return m, nil
}

func cloneContours(r Region) Region {
	out := make(Region, len(r))
	for i, c := range r {
		out[i] = slices.Clone(c)
	}
	return out
}

// medialSize refuses regions with too many chords or too large for the lattice.
func medialSize(r Region, chord float64) error {
	n := 0
	box := EmptyBox()
	for _, c := range r {
		box = box.Union(c.Bounds())
		for _, s := range c {
			if n += chordCount(s, chord); n < 0 || n > maxChords {
				return fmt.Errorf("medial axis: more than %d chords at a chord error of %g mm", maxChords, chord)
			}
		}
	}
	if half := latticeHalf(box, chord); latticeStepFor(half) > chord/4 {
		return fmt.Errorf("medial axis: a region %g mm across is too large for a chord error of %g mm", 2*half, chord)
	}
	return nil
}

// latticeHalf is the largest coordinate in mm that the sites of a region take,
// from the middle of its box: corners of tangents reach out a little.
func latticeHalf(box Box, chord float64) float64 {
	return math.Max(0, math.Max(box.Size().X, box.Size().Y)/2) + 4*chord
}

// latticeStepFor returns the pitch in mm of the lattice of sites: the largest
// power of two that keeps half within vReach, and no less than 2^-24.
func latticeStepFor(half float64) float64 {
	bits := math.Floor(math.Log2(vReach / half))
	return math.Ldexp(1, -int(math.Min(bits, maxLatticeBits)))
}
