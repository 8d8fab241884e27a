package geom

import "fmt"

// What happens when segments meet elsewhere than at common ends.

// errCross is returned when two segment sites meet elsewhere than at a common end.
type errCross struct{ s, t int32 }

func (e errCross) Error() string {
	return fmt.Sprintf("geom: voronoi diagram: segments %d and %d cross", e.s, e.t)
}

// mend sees to segment i where it meets the sites of v.cycle. It reports
// whether that is all there is to do for now: a segment cut at a point has been
// inserted, one that calls for a repair waits for it. The cut is at a point p of
// the lattice with 0 < w.d < d.d for w = p-a and d = b-a, and |d x w| <= |d|: in
// whole numbers then |w|^2 <= ((d.d-1)^2 + d.d)/d.d < d.d, so that both parts are
// shorter than the whole, and cutting ends.
func (v *voronoi) mend(i int32) (done bool, err error) {
	p, fixed, err := v.meeting(i)
	if p < 0 {
		return fixed, err
	}
	s := v.segs[i]
	v.segs = append(v.segs, v.between(p, s.b, s.src))
	v.segs[i] = v.between(s.a, p, s.src)
	return true, v.addSegment(i)
}

// meeting looks among the sites of v.cycle for what segment i meets. It returns
// a point to cut it at, or -1, and whether it noted a repair instead.
func (v *voronoi) meeting(i int32) (point int32, fixed bool, err error) {
	s := &v.segs[i]
	for _, h := range v.cycle {
		if p := v.he[h].site; int(p) < len(v.px) && p != s.a && p != s.b && onOpen(s, v.px[p], v.py[p]) {
			return p, false, nil
		}
	}
	for _, h := range v.cycle {
		t := v.segment(v.he[h].site)
		if t == nil || !meets(s, t) {
			continue
		}
		k := v.he[h].site - int32(len(v.px))
		if s.a == t.b && s.b == t.a {
			v.repairs = append(v.repairs, vrepair{cut: -1, drop: i, with: k})
			return -1, true, nil
		}
		for _, p := range [2]int32{t.a, t.b} {
			if onOpen(s, v.px[p], v.py[p]) {
				return p, false, nil
			}
		}
		for _, p := range [2]int32{t.a, t.b} {
			if p != s.a && p != s.b && v.grazes(s, p) {
				return p, false, nil
			}
		}
		for _, p := range [2]int32{s.a, s.b} {
			if p != t.a && p != t.b && v.grazes(t, p) {
				v.repairs = append(v.repairs, vrepair{cut: k, at: p})
				return -1, true, nil
			}
		}
		return -1, false, errCross{s.src, t.src}
	}
	return -1, false, nil
}

// grazes reports whether point p lies beside segment s, within a lattice step.
func (v *voronoi) grazes(s *vseg, p int32) bool {
	wx, wy := v.px[p]-s.ax, v.py[p]-s.ay
	ll := s.dx*s.dx + s.dy*s.dy
	along := s.dx*wx + s.dy*wy
	across := cross64(s.dx, s.dy, wx, wy)
	return along > 0 && along < ll && across*across <= ll
}

// onOpen reports whether (x, y) lies on the open segment.
func onOpen(s *vseg, x, y float64) bool {
	wx, wy := x-s.ax, y-s.ay
	return cross64(s.dx, s.dy, wx, wy) == 0 && cross64(s.dx, s.dy, -wy, wx) > 0 &&
		cross64(s.dx, s.dy, s.dx-wx, s.dy-wy) == 0 && cross64(s.dx, s.dy, wy-s.dy, s.dx-wx) > 0
}

// meets reports whether the segments have a point in common other than a
// common end.
func meets(s, t *vseg) bool {
	bx, by := s.ax+s.dx, s.ay+s.dy
	cx, cy := t.ax, t.ay
	ex, ey := t.ax+t.dx, t.ay+t.dy
	o1 := cross64(s.dx, s.dy, cx-s.ax, cy-s.ay)
	o2 := cross64(s.dx, s.dy, ex-s.ax, ey-s.ay)
	if o1 > 0 && o2 > 0 || o1 < 0 && o2 < 0 {
		return false
	}
	o3 := cross64(t.dx, t.dy, s.ax-cx, s.ay-cy)
	o4 := cross64(t.dx, t.dy, bx-cx, by-cy)
	if (o1 > 0 && o2 < 0 || o1 < 0 && o2 > 0) && (o3 > 0 && o4 < 0 || o3 < 0 && o4 > 0) {
		return true
	}
	if o1 == 0 && onOpen(s, cx, cy) || o2 == 0 && onOpen(s, ex, ey) ||
		o3 == 0 && onOpen(t, s.ax, s.ay) || o4 == 0 && onOpen(t, bx, by) {
		return true
	}
	return s.a == t.a && s.b == t.b || s.a == t.b && s.b == t.a
}

// vrepair is a change of the segments that a segment calls for which could not
// be inserted: to cut one at a point, or to drop two that cancel.
type vrepair struct{ cut, at, drop, with int32 }

// repair applies the repairs.
func (v *voronoi) repair() {
	gone := make([]bool, len(v.segs))
	for _, r := range v.repairs {
		if r.cut < 0 {
			if !gone[r.drop] && !gone[r.with] {
				gone[r.drop], gone[r.with] = true, true
			}
			continue
		}
		if s := v.segs[r.cut]; !gone[r.cut] && s.a != r.at && s.b != r.at {
			v.segs[r.cut] = v.between(s.a, r.at, s.src)
			v.segs = append(v.segs, v.between(r.at, s.b, s.src))
			gone = append(gone, false)
		}
	}
	kept := v.segs[:0]
	for i, s := range v.segs {
		if !gone[i] {
			kept = append(kept, s)
		}
	}
	v.segs, v.repairs = kept, v.repairs[:0]
}
