package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

// motion is a move of the tool's tip along a line, a circular arc or a helix,
// with a parameter that runs from 0 to 1.
type motion struct {
	rapid    bool
	from, to geom.Point3
	arc      bool
	plane    interp.Plane
	centre   geom.Point3
	a0       float64 // angle of the start in the arc's plane
	sweep    float64 // signed, counter-clockwise positive seen from the normal's end
	radius   float64 // mean of start and end
	slack    float64 // half of how much start and end radius differ
	length   float64 // of the true path
	box      geom.Box3
	unknown  [3]bool // axes of from whose place is not known
	tool     *assembly

	relLow   float64 // least height as under the stock's top, see ground.rel
	relKnown bool
}

// piece is a motion between two parameters, seen from above: the plan of the
// tip lies within pad of seg, its height between lo and hi.
type piece struct {
	seg    geom.Seg
	lo, hi float64
	pad    float64
}

// fullTurn is how near to a whole turn an arc counts as a full circle: its gap
// is then shorter than geom.Tol on any radius a machine can have.
const fullTurn = 2*math.Pi - 1e-12

func (m *motion) set(e *interp.Event, tool *assembly) {
	*m = motion{rapid: e.Kind == interp.Traverse, from: e.From, to: e.To, tool: tool}
	m.box = geom.EmptyBox3().Add(e.From).Add(e.To)
	if e.Kind != interp.Arc {
		m.length = e.From.Dist(e.To)
		return
	}
	m.arc, m.plane, m.centre = true, e.Plane, e.Centre
	m.sweep = e.Sweep * float64(e.Turn)
	u0, v0, n0 := m.split(e.From)
	u1, v1, n1 := m.split(e.To)
	cu, cv, _ := m.split(e.Centre)
	r0, r1 := math.Hypot(u0-cu, v0-cv), math.Hypot(u1-cu, v1-cv)
	m.a0 = math.Atan2(v0-cv, u0-cu)
	m.radius, m.slack = (r0+r1)/2, math.Abs(r1-r0)/2
	// The programmed end may lie a little off the angle swept, too.
	eu, ev, _ := m.split(m.at(1))
	m.slack = math.Max(m.slack, math.Hypot(eu-u1, ev-v1))
	if m.slack < geom.Tol/1000 {
		m.slack = 0
	}
	m.length = math.Hypot(m.radius*e.Sweep, n1-n0)
	m.box = m.boxOf(0, 1)
}

// split takes a place apart into the arc plane's first and second axis and its
// normal.
func (m *motion) split(p geom.Point3) (u, v, n float64) {
	switch m.plane {
	case interp.ZX:
		return p.Z, p.X, p.Y
	case interp.YZ:
		return p.Y, p.Z, p.X
	}
	return p.X, p.Y, p.Z
}

func (m *motion) join(u, v, n float64) geom.Point3 {
	switch m.plane {
	case interp.ZX:
		return geom.Pt3(v, n, u)
	case interp.YZ:
		return geom.Pt3(n, u, v)
	}
	return geom.Pt3(u, v, n)
}

// at returns the tip's place at parameter t; arcs run on their mean radius.
func (m *motion) at(t float64) geom.Point3 {
	if !m.arc {
		switch t {
		case 0:
			return m.from
		case 1:
			return m.to
		}
		p := m.from.XY().Lerp(m.to.XY(), t)
		return p.At(m.from.Z + t*(m.to.Z-m.from.Z))
	}
	cu, cv, _ := m.split(m.centre)
	_, _, n0 := m.split(m.from)
	_, _, n1 := m.split(m.to)
	sin, cos := math.Sincos(m.a0 + t*m.sweep)
	return m.join(cu+m.radius*cos, cv+m.radius*sin, n0+t*(n1-n0))
}

// upright reports whether the motion's arc stands on edge, so that its plan is
// a straight line run unevenly.
func (m *motion) upright() bool { return m.arc && m.plane != interp.XY }

// level reports whether the height does not change.
func (m *motion) level() bool { return m.box.Min.Z == m.box.Max.Z }

// piece returns the part of the motion between two parameters.
func (m *motion) piece(t0, t1 float64) piece {
	a, b := m.at(t0), m.at(t1)
	p := piece{seg: geom.Line(a.XY(), b.XY()), lo: math.Min(a.Z, b.Z), hi: math.Max(a.Z, b.Z), pad: m.slack}
	if !m.arc {
		return p
	}
	turn := (t1 - t0) * m.sweep
	if m.upright() {
		p.pad += m.sagitta(turn)
		p.lo, p.hi = p.lo-p.pad, p.hi+p.pad
		return p
	}
	sense := geom.CCW
	if turn < 0 {
		sense = geom.CW
	}
	switch {
	case math.Abs(turn) >= fullTurn:
		p.seg = geom.Arc(a.XY(), a.XY(), m.centre.XY(), sense)
	case a.XY().Dist(b.XY()) > geom.Tol:
		p.seg = geom.Arc(a.XY(), b.XY(), m.centre.XY(), sense)
	case math.Abs(turn) > math.Pi: // a gap shorter than the tolerance
		p.seg = geom.Arc(a.XY(), a.XY(), m.centre.XY(), sense)
	}
	return p
}

// sagitta returns how far an arc of that angle leaves its chord.
func (m *motion) sagitta(turn float64) float64 {
	turn = math.Abs(turn)
	if turn >= math.Pi {
		return 2 * m.radius
	}
	return m.radius * (1 - math.Cos(turn/2))
}

// boxOf returns a block that holds the motion between two parameters, exact
// but for the slack.
func (m *motion) boxOf(t0, t1 float64) geom.Box3 {
	b := geom.EmptyBox3().Add(m.at(t0)).Add(m.at(t1))
	if !m.arc {
		return b
	}
	lo, hi := m.a0+t0*m.sweep, m.a0+t1*m.sweep
	if lo > hi {
		lo, hi = hi, lo
	}
	quarter := math.Pi / 2
	n := 0
	for q := math.Ceil(lo / quarter); q*quarter <= hi && n < 5; q, n = q+1, n+1 {
		if t := (q*quarter - m.a0) / m.sweep; t >= 0 && t <= 1 {
			p := m.at(t)
			// The normal axis moves evenly and is bounded by the ends.
			u, v, _ := m.split(p)
			_, _, n0 := m.split(m.at(t0))
			b = b.Add(m.join(u, v, n0))
		}
	}
	if m.slack > 0 {
		s := m.slack
		b.Min = geom.Pt3(b.Min.X-s, b.Min.Y-s, b.Min.Z-s)
		b.Max = geom.Pt3(b.Max.X+s, b.Max.Y+s, b.Max.Z+s)
		if m.plane == interp.XY { // the radii differ in plan only
			z0, z1 := m.at(t0).Z, m.at(t1).Z
			b.Min.Z, b.Max.Z = math.Min(z0, z1), math.Max(z0, z1)
		}
	}
	return b
}

// tangent returns the unit direction of travel in space at parameter t.
func (m *motion) tangent(t float64) geom.Point3 {
	if m.length == 0 {
		return geom.Point3{}
	}
	if !m.arc {
		k := 1 / m.length
		return geom.Pt3((m.to.X-m.from.X)*k, (m.to.Y-m.from.Y)*k, (m.to.Z-m.from.Z)*k)
	}
	_, _, n0 := m.split(m.from)
	_, _, n1 := m.split(m.to)
	sin, cos := math.Sincos(m.a0 + t*m.sweep)
	w := m.radius * m.sweep / m.length
	return m.join(-sin*w, cos*w, (n1-n0)/m.length)
}

// steepest returns the greatest downward share of the motion's direction,
// between 0 (level or rising) and 1 (straight down).
func (m *motion) steepest() float64 {
	if m.length == 0 {
		return 0
	}
	if !m.upright() {
		return math.Max(0, (m.from.Z-m.to.Z)/m.length)
	}
	// The height is a sine of the angle: its slope is greatest at an end or
	// where the arc passes the centre's level.
	worst := math.Max(-m.tangent(0).Z, -m.tangent(1).Z)
	for q := -8; q <= 8; q++ {
		if t := (float64(q)*math.Pi/2 - m.a0) / m.sweep; t > 0 && t < 1 {
			worst = math.Max(worst, -m.tangent(t).Z)
		}
	}
	return math.Max(0, worst)
}
