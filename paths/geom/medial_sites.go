package geom

import (
	"errors"
	"fmt"
	"math"
)

// medialElem is what a site of the diagram stands for: a whole segment of the
// source, or the vertex where a segment starts.
type medialElem struct {
	ref    Ref // contour and segment
	vertex bool
	shared bool // a vertex where the source passes more than once
	seg    *Seg // the segment; for a vertex only A counts
}

// diagram is the Voronoi diagram of one side of a set of contours: the side on
// their left.
type diagram struct {
	v      *voronoi
	step   float64 // mm per lattice step
	center Point   // mm of lattice point (0, 0)
	elems  []medialElem
	ofSeg  []int32 // element of each chord
	ofPt   []int32 // element of each point
	inside []bool  // per node
	chords bool    // whether any element is an arc
	// source gives the index of the contours: chords may hide an arc that is nearer
	// than those they stand for. It is nil where there are none.
	source func() *Index
}

// siteSet collects points and chords on the lattice.
type siteSet struct {
	d      *diagram
	px, py []float64
	segs   [][2]int32
	table  []int32 // open addressing, index + 1
}

// maxLatticeBits limits the pitch to 2^-24 mm, 0.06 nm.
const maxLatticeBits = 24

// newDiagram builds the diagram of contours whose arcs are replaced by chords
// within chord of them on the left side, so that no clearance is overstated:
// inscribed for arcs that turn left, circumscribed for arcs that turn right.
// With outside the contours are those of a region reversed. The diagram keeps
// the contours.
func newDiagram(contours []Contour, chord float64, outside bool) (*diagram, error) {
	d, set := newSites(contours, chord)
	for i, c := range contours {
		set.contour(i, c, chord, nil)
	}
	err := d.build(set, outside)
	if err == nil {
		return d, nil
	}
	var cross errCross
	switch {
	case errors.As(err, &cross):
		err = cross.where(set)
	case errors.Is(err, errVoronoi):
		err = errors.New("contours cross, touch or overlap")
	}
	polys := make([]Contour, len(contours))
	_, draft := newSites(contours, chord)
	for i, c := range contours {
		draft.contour(i, c, chord, &polys[i])
	}
	if wrong, fault := crossed(polys, chord, outside); fault != nil {
		return nil, fault
	} else if wrong {
		return nil, fmt.Errorf("%w; use Resolve first", err)
	}
	// Chords of curves that touch or nearly touch can cross though the curves
	// do not, and those of a sliver can turn it over. The polygons are resolved, to what lies on the left of all of them;
	// again, where rounding the new vertices to the lattice made sides cross.
	for range resolveRounds {
		clean, fault := leftOfAll(polys, outside)
		if fault != nil {
			return nil, fault
		}
		e, again := newSites(contours, chord)
		e.elems, e.chords = d.elems, d.chords
		again.polygons(clean, set)
		if err = e.build(again, outside); err == nil {
			return e, nil
		}
		for _, c := range clean {
			for k := range c {
				c[k].A, c[k].B = d.mm(set.round(c[k].A)), d.mm(set.round(c[k].B))
			}
		}
		polys = clean
	}
	return nil, fmt.Errorf("contours cross within the resolution of the lattice: %w", err)
}

// resolveRounds bounds the attempts to resolve polygons whose rounding makes
// them cross: rounding moves a vertex by less than a step and each round
// leaves fewer crossings, in practice none after the second.
const resolveRounds = 5

// leftOfAll resolves polygons to what lies on the left of all of them; with
// outside they run the other way round.
func leftOfAll(polys []Contour, outside bool) (Region, error) {
	clean, err := arrange(polys, nil, func(w windings) bool {
		if outside {
			return w[0] < 0
		}
		return w[0] > 0
	})
	if outside {
		for i, c := range clean {
			clean[i] = c.Reverse()
		}
	}
	return clean, err
}

// crossTol is how large an overlap may be, as a multiple of chord error times
// its perimeter, for chords to account for it: curves that touch have chords
// that overlap by no more than two errors, over half the perimeter each.
const crossTol = 2

// crossed reports whether polygons run the wrong way round somewhere, or
// overlap by more than chords of curves that do not.
func crossed(polys []Contour, chord float64, outside bool) (bool, error) {
	sign := int32(1)
	if outside {
		sign = -1
	}
	wrong, err := arrange(polys, nil, func(w windings) bool { return w[0] != 0 && w[0] != sign })
	for _, c := range wrong {
		if c.Area() > crossTol*chord*(c.Length()+chord) {
			return true, err
		}
	}
	return false, err
}

func (e errCross) where(s *siteSet) error {
	q := s.segs[e.s]
	ref := s.d.elems[s.d.ofSeg[e.s]].ref
	a, b := s.d.mm(s.px[q[0]], s.py[q[0]]), s.d.mm(s.px[q[1]], s.py[q[1]])
	m := a.Lerp(b, 0.5)
	return fmt.Errorf("contour %d, segment %d near (%g, %g) crosses, touches or overlaps another", ref.Contour, ref.Seg, m.X, m.Y)
}

// newSites prepares the lattice for the contours.
func newSites(contours []Contour, chord float64) (*diagram, *siteSet) {
	box := EmptyBox()
	segs, chords := 0, 0
	for _, c := range contours {
		box = box.Union(c.Bounds())
		segs += len(c)
		for _, g := range c {
			switch g.Turn {
			case CW:
				chords += tangentCount(g, chord) + 1
			default:
				chords += chordCount(g, chord)
			}
		}
	}
	d := &diagram{center: box.Center(), elems: make([]medialElem, 0, 2*segs)}
	d.ofSeg, d.ofPt = make([]int32, 0, chords), make([]int32, 0, chords)
	d.step = latticeStepFor(latticeHalf(box, chord))
	// With the origin on a lattice point, points in the fallback round alike.
	d.center.X = math.Round(d.center.X/d.step) * d.step
	d.center.Y = math.Round(d.center.Y/d.step) * d.step
	return d, newSiteSet(d, chords)
}

// errOriented means that contours have the inside on the wrong side.
var errOriented = errors.New("an outer contour runs clockwise or a hole counter-clockwise")

// build makes the diagram of the sites. With outside what is far away lies on
// the left of the contours.
func (d *diagram) build(set *siteSet, outside bool) error {
	if len(set.segs) == 0 {
		return nil
	}
	v, err := newVoronoi(set.px, set.py, set.segs, 1)
	if err != nil {
		return err
	}
	d.v = v
	if err := d.classify(); err != nil {
		return err
	}
	for t := range d.inside {
		if d.inside[t] != outside && v.framed(int32(t)) {
			return errOriented
		}
	}
	d.sharpen()
	return nil
}

// polygons adds resolved polygons. Sides and vertices that came through
// unchanged keep the elements they had in old; the others stand for themselves.
func (s *siteSet) polygons(polys []Contour, old *siteSet) {
	// A chord from a to b is known, and with -1 for either end the element that
	// the other end leaves or reaches: collinear chords of one arc may come
	// through as one.
	known := make(map[[2]int32]int32, 3*len(old.segs))
	for i, q := range old.segs {
		e := old.d.ofSeg[i]
		known[q], known[[2]int32{q[0], -1}], known[[2]int32{-1, q[1]}] = e, e, e
	}
	loose := func(vertex bool, g Seg) int32 {
		s.d.elems = append(s.d.elems, medialElem{ref: Ref{-1, -1}, vertex: vertex, seg: &g})
		return int32(len(s.d.elems) - 1)
	}
	site := func(p Point) (now, before int32) {
		before = old.find(p)
		if before >= 0 {
			return s.point(p, old.d.ofPt[before]), before
		}
		if now = s.find(p); now < 0 {
			now = s.point(p, loose(true, Line(p, p)))
		}
		return now, -1
	}
	for _, c := range polys {
		for _, g := range c {
			a, wasA := site(g.A)
			b, wasB := site(g.B)
			if a == b {
				continue
			}
			e, ok := known[[2]int32{wasA, wasB}]
			if !ok || wasA < 0 || wasB < 0 {
				f, okA := known[[2]int32{wasA, -1}]
				e, ok = known[[2]int32{-1, wasB}]
				ok = ok && okA && e == f && wasA >= 0 && wasB >= 0
			}
			if !ok {
				e = loose(false, g)
			}
			s.segs = append(s.segs, [2]int32{a, b})
			s.d.ofSeg = append(s.d.ofSeg, e)
		}
	}
}

func newSiteSet(d *diagram, n int) *siteSet {
	size := 64
	for size < 2*n {
		size *= 2
	}
	return &siteSet{
		d: d, table: make([]int32, size),
		px: make([]float64, 0, n+3), py: make([]float64, 0, n+3), segs: make([][2]int32, 0, n),
	}
}

// find returns the site at p, -1 where there is none.
func (s *siteSet) find(p Point) int32 { return s.table[s.slot(s.round(p))] - 1 }

func (s *siteSet) round(p Point) (x, y float64) {
	return math.Round((p.X - s.d.center.X) / s.d.step), math.Round((p.Y - s.d.center.Y) / s.d.step)
}

// point returns the site at p, new with element e unless it is there.
func (s *siteSet) point(p Point, e int32) int32 {
	x, y := s.round(p)
	if 2*len(s.px) >= len(s.table) {
		s.rehash()
	}
	k := s.slot(x, y)
	if s.table[k] == 0 {
		s.px, s.py = append(s.px, x), append(s.py, y)
		s.d.ofPt = append(s.d.ofPt, e)
		s.table[k] = int32(len(s.px))
	} else if f := s.d.ofPt[s.table[k]-1]; f != e {
		s.d.elems[f].shared = true
	}
	return s.table[k] - 1
}

func (s *siteSet) slot(x, y float64) int {
	h := uint64(int64(x))*0x9e3779b97f4a7c15 ^ uint64(int64(y))*0xc2b2ae3d27d4eb4f
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	k := int(h>>20) & (len(s.table) - 1)
	for {
		i := s.table[k]
		if i == 0 || s.px[i-1] == x && s.py[i-1] == y {
			return k
		}
		k = (k + 1) & (len(s.table) - 1)
	}
}

func (s *siteSet) rehash() {
	s.table = make([]int32, 2*len(s.table))
	for i := range s.px {
		s.table[s.slot(s.px[i], s.py[i])] = int32(i + 1)
	}
}

// widestTangent bounds half the angle, in radians, between the tangents of an
// arc that is small beside the chord error: their corner then reaches out by a
// seventh of the radius at most.
const widestTangent = 0.5

// tangentCount returns how many corners the tangents about an arc that turns
// right need to keep within chord (mm) of it: those at half a step h from the
// arc's points reach out by r/cos(h) - r.
func tangentCount(s Seg, chord float64) int {
	_, r := s.band()
	x := chord / r
	half := math.Min(widestTangent, math.Atan(math.Sqrt(x*(2+x))))
	return max(1, int(math.Ceil(math.Abs(s.Sweep())/(2*half)*(1-1e-12)))) // no more for a rounding
}

// contour adds the chords of a contour, to poly as well where that is not nil.
func (s *siteSet) contour(number int, c Contour, chord float64, poly *Contour) {
	base := int32(len(s.d.elems))
	for k := range c {
		s.d.elems = append(s.d.elems,
			medialElem{ref: Ref{number, k}, vertex: true, seg: &c[k]},
			medialElem{ref: Ref{number, k}, seg: &c[k]})
	}
	if len(c) == 0 {
		return
	}
	first := s.point(c[0].A, base)
	at, last := first, c[0].A
	add := func(p Point, vertex, elem int32) {
		q := first
		if vertex >= 0 {
			q = s.point(p, vertex)
		} else {
			p = c[0].A
		}
		if q != at {
			s.segs = append(s.segs, [2]int32{at, q})
			s.d.ofSeg = append(s.d.ofSeg, elem)
			if poly != nil {
				*poly = append(*poly, Line(last, p))
			}
			at, last = q, p
		}
	}
	for k, g := range c {
		arc := base + 2*int32(k) + 1
		if g.IsArc() {
			s.d.chords = true
			if g.Turn == CCW {
				n := chordCount(g, chord)
				for j := 1; j < n; j++ {
					add(g.At(float64(j)/float64(n)), arc, arc)
				}
			} else {
				// Corners of the tangents: further out by 1/cos of half a step.
				n := tangentCount(g, chord)
				grow := 1 / math.Cos(math.Abs(g.Sweep())/float64(2*n))
				for j := 0; j < n; j++ {
					p := g.At((float64(j) + 0.5) / float64(n))
					add(g.C.Add(p.Sub(g.C).Mul(grow)), arc, arc)
				}
			}
		}
		if k+1 < len(c) {
			add(g.B, arc+1, arc)
		} else {
			add(g.B, -1, arc)
		}
	}
}

// classify finds the nodes on the left of the contours.
func (d *diagram) classify() error {
	v := d.v
	d.inside = make([]bool, len(v.geo))
	// Most nodes touch a segment and know their side; the others have it from
	// those they are joined to by other edges than normals.
	state := make([]int8, len(v.geo))
	for h := range v.he {
		if s := v.he[h].side; s != 0 {
			t := h / 3
			if state[t] == -s {
				return errOriented
			}
			state[t] = s
		}
	}
	var queue []int32
	for h := range v.he {
		f := &v.he[h]
		if f.twin < 0 || f.normal {
			continue
		}
		switch s, u := state[h/3], f.twin/3; {
		case s == 0 || s == state[u]:
		case state[u] != 0:
			return errOriented
		default:
			state[u] = s
			queue = append(queue[:0], u)
			for len(queue) > 0 {
				t := queue[len(queue)-1]
				queue = queue[:len(queue)-1]
				for _, g := range v.he[3*t : 3*t+3] {
					if g.twin >= 0 && !g.normal && state[g.twin/3] == 0 {
						state[g.twin/3] = s
						queue = append(queue, g.twin/3)
					}
				}
			}
		}
	}
	for t, s := range state {
		d.inside[t] = s > 0
	}
	return nil
}

// framed reports whether the node touches the frame.
func (v *voronoi) framed(t int32) bool {
	n := v.points()
	for h := 3 * t; h < 3*t+3; h++ {
		if s := v.he[h].site; s >= n && int(s) < len(v.px) {
			return true
		}
	}
	return false
}

// nodeError is the error of a node, in lattice steps, above which it is
// computed again in double-double.
const nodeError = 1.0 / (1 << 12)

// sharpen computes the nodes inside again that float64 leaves in doubt.
func (d *diagram) sharpen() {
	v := d.v
	for t := range v.geo {
		g := &v.geo[t]
		if !d.inside[t] || 2*float64(g.e) < nodeError {
			continue
		}
		k := kernel[ddBall, fieldDD]{}.node(v.corners(int32(t)))
		if k.ux.e+k.uy.e+k.r.e < nodeError {
			*g = vgeo{k.ox, k.oy, k.ux.h, k.uy.h, k.r.h, bound32(math.Max(math.Max(k.ux.e, k.uy.e), k.r.e)), 0}
			continue
		}
		b := kernel[bigBall, fieldBig]{}.node(v.corners(int32(t)))
		ux, _ := b.ux.f.Float64()
		uy, _ := b.uy.f.Float64()
		r, _ := b.r.f.Float64()
		*g = vgeo{b.ox, b.oy, ux, uy, r, bound32(math.Max(math.Max(b.ux.e, b.uy.e), b.r.e)), 0}
	}
}

// node returns the disc of a node in mm.
func (d *diagram) node(t int32) Disc {
	g := &d.v.geo[t]
	return Disc{d.mm(g.ox+g.ux, g.oy+g.uy), g.r * d.step}
}

// clearance returns the radius of the disc of a node.
func (d *diagram) clearance(t int32) float64 { return d.v.geo[t].r * d.step }

// mm converts lattice coordinates.
func (d *diagram) mm(x, y float64) Point {
	return Point{d.center.X + x*d.step, d.center.Y + y*d.step}
}
