package geom

// Turning a walk along a level of the diagram into true lines and arcs.

const (
	// exactTol is how far a joint of an offset may be from the distance asked
	// for, by the rounding of source and lattice.
	exactTol = Tol / 2
)

// levelRun is a stretch of a level line that belongs to one element.
type levelRun struct {
	elem       int32
	from, n    int // pieces from .. from+n-1 of the walk, round the end
	exact      bool
	start, end Point
}

// elem returns the element of a site.
func (d *diagram) elem(site int32) int32 {
	if s := d.v.segment(site); s != nil {
		return d.ofSeg[s.src]
	}
	return d.ofPt[site]
}

// levelContour makes a contour of a closed walk.
func (d *diagram) levelContour(walk *levelWalk, dist, chord float64) Contour {
	n := len(walk.pieces)
	pts := make([]Point, n)
	for i := range walk.pieces {
		pts[i] = d.crossing(walk.pieces[i].from, dist)
	}
	runs := d.runs(walk)
	if len(runs) == 1 {
		e := d.elems[runs[0].elem]
		if r, ok := levelRadius(e, dist); ok && r > 0 && e.seg.IsCircle() {
			p := e.seg.C.Add(e.seg.A.Sub(e.seg.C).Unit().Mul(r))
			if c := Arc(p, p, e.seg.C, e.seg.Turn); d.keeps(c, dist) {
				return Contour{c}
			}
		}
		runs[0].exact = false
	}
	d.join(runs, walk, pts, dist, chord)
	out := make(Contour, 0, len(runs))
	for i := range runs {
		r := &runs[i]
		if r.exact {
			if s := levelSeg(d.elems[r.elem], r.start, r.end, dist); s.A != s.B {
				out = append(out, s)
			}
			continue
		}
		out = append(out, d.chordRun(r, walk, pts, dist)...)
	}
	return closeUp(out)
}

// runs groups the pieces of a walk by element. Pieces about vertices that
// have no place of their own are there by rounding only and are passed over.
func (d *diagram) runs(walk *levelWalk) []levelRun {
	n := len(walk.pieces)
	first := 0
	for i := 1; i < n; i++ {
		if d.elem(walk.pieces[i].site) != d.elem(walk.pieces[i-1].site) {
			first = i
			break
		}
	}
	count := 1
	for i := 1; i < n; i++ {
		if d.elem(walk.pieces[i].site) != d.elem(walk.pieces[i-1].site) {
			count++
		}
	}
	runs := make([]levelRun, 0, count)
	for i := 0; i < n; i++ {
		k := (first + i) % n
		e := d.elem(walk.pieces[k].site)
		if len(runs) > 0 && runs[len(runs)-1].elem == e {
			runs[len(runs)-1].n++
			continue
		}
		runs = append(runs, levelRun{elem: e, from: k, n: 1, exact: true})
	}
	kept := runs[:0]
	for i, r := range runs {
		if len(kept) > 0 && kept[len(kept)-1].elem == r.elem {
			p := &kept[len(kept)-1]
			p.n = (r.from+r.n-p.from+n-1)%n + 1
			continue
		}
		if d.elems[r.elem].vertex && (len(kept) > 0 || i+1 < len(runs)) && d.smooth(r.elem) {
			continue
		}
		kept = append(kept, r)
	}
	if k := len(kept) - 1; k > 0 && kept[0].elem == kept[k].elem {
		p := &kept[k]
		p.n = (kept[0].from+kept[0].n-p.from+n-1)%n + 1
		kept = kept[1:]
	}
	return kept
}

// smoothTurn is the turn at a vertex, in radians, that counts as none: over a
// level of 1 m it makes less than Tol.
const smoothTurn = Tol / 1000

// smooth reports whether the source at a vertex goes straight on or turns left,
// so that no point on its left is nearest to the vertex.
func (d *diagram) smooth(vertex int32) bool {
	if e := &d.elems[vertex]; e.shared || e.ref.Contour < 0 {
		return false
	}
	a, b := d.elems[d.before(vertex)].seg.Tangent(1), d.elems[vertex].seg.Tangent(0)
	return a.Cross(b) > -smoothTurn && a.Dot(b) > 0
}

// levelRadius returns the radius of the level of an element that is an arc or
// a vertex.
func levelRadius(e medialElem, dist float64) (float64, bool) {
	switch {
	case e.vertex:
		return dist, true
	case e.seg.Turn == CCW:
		return e.seg.Radius() - dist, true
	case e.seg.Turn == CW:
		return e.seg.Radius() + dist, true
	}
	return 0, false
}

// before returns the segment element that ends at a vertex element.
func (d *diagram) before(vertex int32) int32 {
	e := d.elems[vertex]
	if e.ref.Seg > 0 {
		return vertex - 1
	}
	for k := vertex; ; k += 2 {
		if int(k)+2 >= len(d.elems) || d.elems[k+2].ref.Contour != e.ref.Contour {
			return k + 1
		}
	}
}
