package drawing

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

// move is one motion seen from above.
type move struct {
	a, b, c geom.Point
	turn    geom.Turn
	sweep   float64 // of an arc, positive
	z       float64 // lowest height on it
	level   bool    // all of it at that height
	tool    int
}

// circle reports whether the move is a full turn.
func (m move) circle() bool { return m.turn != geom.Straight && m.sweep > 2*math.Pi-1e-6 }

// upright reports whether the move is only up or down.
func (m move) upright() bool { return m.turn == geom.Straight && m.a.Dist(m.b) < resolution }

// bounds returns the box round the move.
func (m move) bounds() geom.Box { return m.seg().Bounds() }

// seg returns the move as a segment.
func (m move) seg() geom.Seg {
	if m.turn == geom.Straight {
		return geom.Line(m.a, m.b)
	}
	if m.circle() {
		return geom.Arc(m.a, m.a, m.c, m.turn)
	}
	return geom.Arc(m.a, m.b, m.c, m.turn)
}

// chords is into how many chords an upright arc is divided; seen from above it
// is a straight line whose turning points only have to be near enough to see.
const chords = 24

// plan returns what a motion at feed looks like from above.
func plan(ev *interp.Event) []move {
	low := math.Min(ev.From.Z, ev.To.Z)
	level := math.Abs(ev.From.Z-ev.To.Z) < resolution/2
	if ev.Kind != interp.Arc {
		return []move{{a: ev.From.XY(), b: ev.To.XY(), z: low, level: level}}
	}
	if ev.Plane == interp.XY {
		return []move{{a: ev.From.XY(), b: ev.To.XY(), c: ev.Centre.XY(), turn: ev.Turn, sweep: ev.Sweep, z: low, level: level}}
	}
	var out []move
	pen := ev.From
	for i := 1; i <= chords; i++ {
		to := upright(ev, float64(i)/chords)
		out = append(out, move{a: pen.XY(), b: to.XY(), z: math.Min(pen.Z, to.Z)})
		pen = to
	}
	return out
}

// upright returns the point at fraction t of an arc in the ZX or YZ plane. In
// the ZX plane the first axis is Z and the second X, so that counter-clockwise
// leads from Z to X.
func upright(ev *interp.Event, t float64) geom.Point3 {
	if t >= 1 {
		return ev.To
	}
	flat := func(p geom.Point3) geom.Point {
		if ev.Plane == interp.ZX {
			return geom.Pt(p.Z, p.X)
		}
		return geom.Pt(p.Y, p.Z)
	}
	c := flat(ev.Centre)
	r := flat(ev.From).Sub(c)
	angle := r.Angle() + t*ev.Sweep*float64(ev.Turn)
	p := c.Add(geom.Polar(r.Len(), angle))
	if ev.Plane == interp.ZX {
		return geom.Pt3(p.Y, ev.From.Y+t*(ev.To.Y-ev.From.Y), p.X)
	}
	return geom.Pt3(ev.From.X+t*(ev.To.X-ev.From.X), p.X, p.Y)
}

// moves is a list in which a motion that runs again where one ran before, as
// depth passes do, is held once with its lowest height.
type moves struct {
	list []move
	seen map[key]int
	box  geom.Box
}

// key is a motion rounded to what a drawing shows, in either direction.
type key struct {
	ax, ay, bx, by, cx, cy int64
	turn                   geom.Turn
	tool                   int
}

func (m move) key() key {
	r := func(v float64) int64 { return int64(math.Round(v / resolution)) }
	k := key{r(m.a.X), r(m.a.Y), r(m.b.X), r(m.b.Y), 0, 0, m.turn, m.tool}
	if m.turn != geom.Straight {
		k.cx, k.cy = r(m.c.X), r(m.c.Y)
	}
	if m.circle() {
		k.ax, k.ay, k.bx, k.by, k.turn = r(m.a.Dist(m.c)), 0, 0, 0, geom.CCW
	} else if k.bx < k.ax || k.bx == k.ax && k.by < k.ay {
		k.ax, k.ay, k.bx, k.by, k.turn = k.bx, k.by, k.ax, k.ay, -k.turn
	}
	return k
}

func (l *moves) add(m move) {
	if l.seen == nil {
		l.seen, l.box = map[key]int{}, geom.EmptyBox()
	}
	k := m.key()
	if i, ok := l.seen[k]; ok {
		if was := &l.list[i]; m.z < was.z-resolution/2 {
			was.z, was.level = m.z, m.level
		} else if m.z < was.z+resolution/2 {
			was.z, was.level = math.Min(was.z, m.z), was.level || m.level
		}
		return
	}
	l.seen[k] = len(l.list)
	l.list = append(l.list, m)
	l.box = l.box.Union(m.bounds())
}

// bounds returns the box round all motions.
func (l *moves) bounds() geom.Box {
	if l.seen == nil {
		return geom.EmptyBox()
	}
	return l.box
}
