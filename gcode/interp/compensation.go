package interp

import (
	"math"

	"proofcut/paths/geom"
)

// compensation is the state of cutter radius compensation.
type compensation struct {
	on      bool
	side    geom.Turn // CCW: tool left of the path; the sign of the radius is in it
	radius  float64   // mm, not negative
	entered bool      // the first move is done
	x, y    float64   // last programmed point, when entered
}

// cornerAngle is how far a path may turn without counting as a corner, radians
// (NISTIR 6556, appendix B, from memory).
const cornerAngle = 0.01

// radiusCode executes G40, G41 and G42.
func (ip *interpreter) radiusCode(code int) error {
	ip.st.CompSet = true
	if code == g40 {
		ip.radiusOff()
		return nil
	}
	if ip.comp.on {
		return ip.failG(groupRadius, "radius compensation is on already: write G40 before changing side or D")
	}
	if ip.st.Plane != XY {
		return ip.failG(groupRadius, "radius compensation works in G17 only: write G17 before")
	}
	slot := ip.st.Tool
	if ip.line.has(hasD) {
		var err error
		if slot, err = ip.slot('D'); err != nil {
			return err
		}
	}
	r := 0.0 // D0 is no radius
	if slot > 0 {
		r = ip.o.Tools[slot].Diameter / 2
	}
	side := geom.CCW
	if code == g42 {
		side = geom.CW
	}
	ip.st.CompSide, ip.st.CompRadius, ip.st.CompIndex = side, r, slot
	if r < 0 {
		side, r = -side, -r
	}
	ip.comp = compensation{on: true, side: side, radius: r}
	return nil
}

// radiusOff turns compensation off. The tool stays where it is.
func (ip *interpreter) radiusOff() {
	ip.comp = compensation{}
	ip.st.CompSide, ip.st.CompRadius, ip.st.CompIndex = geom.Straight, 0, 0
}

// leftOf returns the unit vector d turned to the tool's side.
func (c *compensation) normal(d geom.Point) geom.Point { return d.Left().Mul(float64(c.side)) }

func (ip *interpreter) gouging() error {
	return ip.failG(groupMotion, "the cutter would gouge: the first move under radius compensation must end further from the tool than its radius of %.4g mm", ip.comp.radius)
}

// compensatedStraight executes G0 and G1 with compensation on. to holds the
// programmed point; Z and the rotary axes are as they are.
func (ip *interpreter) compensatedStraight(kind Kind, to *[6]float64) error {
	cm := &ip.comp
	p := geom.Pt(to[0], to[1])
	tool := geom.Pt(ip.pos[0], ip.pos[1])
	if !cm.entered {
		if !ip.line.has(hasX | hasY) { // Z alone: the entry is still to come
			return ip.move(kind, to)
		}
		way := tool.Sub(p)
		if way.Len() <= cm.radius && cm.radius > 0 {
			return ip.gouging()
		}
		e := p
		if cm.radius > 0 {
			e = p.Add(geom.Polar(cm.radius, way.Angle()-float64(cm.side)*math.Acos(cm.radius/way.Len())))
		}
		return ip.compensatedMove(kind, p, e, to)
	}
	s := geom.Pt(cm.x, cm.y)
	if p == s {
		to[0], to[1] = tool.X, tool.Y
		return ip.move(kind, to)
	}
	d := p.Sub(s).Unit()
	side := cm.normal(d).Mul(cm.radius)
	angle, err := ip.corner(s, tool, d)
	if err != nil {
		return err
	}
	if angle == 0 {
		return ip.compensatedMove(kind, p, p.Add(side), to)
	}
	m := s.Add(side)
	rest := math.Hypot(math.Hypot(p.X-s.X, p.Y-s.Y), to[2]-ip.pos[2])
	return ip.withCorner(kind, s, m, angle, rest, func() error {
		return ip.compensatedMove(kind, p, p.Add(side), to)
	})
}

// compensatedMove emits the straight move of the tool to e and notes the
// programmed point p.
func (ip *interpreter) compensatedMove(kind Kind, p, e geom.Point, to *[6]float64) error {
	ip.comp.entered, ip.comp.x, ip.comp.y = true, p.X, p.Y
	to[0], to[1] = e.X, e.Y
	return ip.move(kind, to)
}

// corner returns the angle of the arc with which the tool, now at the place
// tool, has to go round the corner s to follow a path that leaves s in direction
// d: 0 when the path goes straight on. A concave corner is an error.
func (ip *interpreter) corner(s, tool, d geom.Point) (float64, error) {
	cm := &ip.comp
	if cm.radius == 0 {
		return 0, nil
	}
	a := tool.Sub(s).Angle() - d.Angle()
	if cm.side == geom.CW {
		a = -a
	}
	for a < 0 {
		a += 2 * math.Pi
	}
	for a >= 2*math.Pi {
		a -= 2 * math.Pi
	}
	b := a - math.Pi/2
	if b < -cornerAngle || b > math.Pi+cornerAngle {
		return 0, ip.failG(groupMotion, "a concave corner under radius compensation: the cutter would gouge; put an arc larger than its radius of %.4g mm into the corner", cm.radius)
	}
	if b <= cornerAngle {
		return 0, nil
	}
	return b, nil
}

// withCorner emits the arc round the corner s to m, then the rest of the block,
// which is rest millimetres long. Under inverse time both share the time of the
// block.
func (ip *interpreter) withCorner(kind Kind, s, m geom.Point, angle, rest float64, then func() error) error {
	st := &ip.st
	if kind == Traverse {
		if st.InverseTime {
			return ip.failG(groupMotion, "G0 round a corner under radius compensation and G93 has no feed for its arc: write G94 before")
		}
		if err := ip.needFeed(); err != nil {
			return err
		}
	}
	feed := st.FeedRate
	round := angle * ip.comp.radius
	if st.InverseTime {
		st.FeedRate = feed * (round + rest) / round
	}
	to := ip.pos
	to[0], to[1] = m.X, m.Y
	err := ip.sweep(circle{centre: s, turn: -ip.comp.side, sweep: angle}, &to)
	if err == nil {
		if st.InverseTime && rest > 0 {
			st.FeedRate = feed * (round + rest) / rest
		}
		err = then()
	}
	st.FeedRate = feed
	return err
}

// compensatedArc executes G2 and G3 with compensation on.
func (ip *interpreter) compensatedArc(to *[6]float64) error {
	cm := &ip.comp
	if ip.o.Lacks.Helices && to[2] != ip.pos[2] {
		return ip.failG(groupMotion, "this machine has no helices: keep the arc at one level")
	}
	if !cm.entered {
		return ip.firstArc(to)
	}
	s, p := geom.Pt(cm.x, cm.y), geom.Pt(to[0], to[1])
	c, err := ip.circle(s, p)
	if err != nil {
		return err
	}
	toolRadius, err := ip.toolRadius(c)
	if err != nil {
		return err
	}
	out := s.Sub(c.centre).Unit()
	ahead := out.Left().Mul(float64(c.turn))
	tool := geom.Pt(ip.pos[0], ip.pos[1])
	angle, err := ip.corner(s, tool, ahead)
	if err != nil {
		return err
	}
	// The radii at both ends may differ by the tolerance: the tool touches the path
	// at each of them.
	end := c
	end.radius = p.Dist(c.centre)
	endRadius, err := ip.toolRadius(end)
	if err != nil {
		return err
	}
	e := c.centre.Add(p.Sub(c.centre).Unit().Mul(endRadius))
	around := circle{centre: c.centre, turn: c.turn, sweep: c.sweep, radius: toolRadius}
	if angle == 0 { // a turn that counts as straight on has left the tool a little before or behind
		lag := out.Cross(tool.Sub(c.centre).Unit()) * float64(c.turn)
		around.sweep = math.Min(c.sweep-math.Asin(lag), 2*math.Pi)
		if around.sweep <= 0 {
			around.sweep = c.sweep
		}
	}
	finish := func() error {
		cm.x, cm.y = p.X, p.Y
		to[0], to[1] = e.X, e.Y
		return ip.sweep(around, to)
	}
	if angle == 0 {
		return finish()
	}
	rest := math.Hypot(toolRadius*c.sweep, to[2]-ip.pos[2])
	return ip.withCorner(Arc, s, c.centre.Add(out.Mul(toolRadius)), angle, rest, finish)
}

// outside reports whether the tool runs along the outside of an arc of the turn.
func (c *compensation) outside(turn geom.Turn) bool { return c.side != turn }

// toolRadius returns the radius of the arc that the tool's centre takes along
// the programmed one.
func (ip *interpreter) toolRadius(c circle) (float64, error) {
	cm := &ip.comp
	if cm.outside(c.turn) {
		return c.radius + cm.radius, nil
	}
	if c.radius <= cm.radius {
		return 0, ip.failG(groupMotion, "the cutter's radius of %.4g mm is not less than that of the arc it runs inside, %.4g mm: take a smaller cutter or a greater arc", cm.radius, c.radius)
	}
	return c.radius - cm.radius, nil
}

// firstArc executes an arc as the first move under compensation: the circle on
// which the tool stands already must be the one it has to take.
func (ip *interpreter) firstArc(to *[6]float64) error {
	cm := &ip.comp
	tool, p := geom.Pt(ip.pos[0], ip.pos[1]), geom.Pt(to[0], to[1])
	if tool.Dist(p) <= cm.radius && cm.radius > 0 {
		return ip.gouging()
	}
	c, toolRadius, err := ip.firstCircle(tool, p)
	if err != nil {
		return err
	}
	e := c.centre.Add(p.Sub(c.centre).Unit().Mul(toolRadius))
	if err := ip.turns(&c, tool, e); err != nil {
		return err
	}
	cm.entered, cm.x, cm.y = true, p.X, p.Y
	to[0], to[1] = e.X, e.Y
	return ip.sweep(c, to)
}

// firstCircle returns the circle of the programmed arc that ends at p, and the
// radius at which the tool runs along it.
func (ip *interpreter) firstCircle(tool, p geom.Point) (circle, float64, error) {
	l := &ip.line
	if !l.has(hasR) || ip.comp.radius == 0 {
		return ip.firstCircleByCentre(tool, p)
	}
	if l.has(hasI | hasJ | hasK) {
		return circle{}, 0, ip.failAt('R', "an arc has either R or centre offsets, not both: remove one of them")
	}
	if ip.o.Lacks.RadiusArcs {
		return circle{}, 0, ip.failAt('R', "this machine has no arcs with R: give centre offsets")
	}
	c := circle{turn: geom.CW}
	if l.motion == g3 {
		c.turn = geom.CCW
	}
	r := l.value('R') * ip.scale
	if !(math.Abs(r) <= maxLength) {
		return c, 0, ip.failAt('R', "R%v is out of range: check its decimal point and unit", l.value('R'))
	}
	long := r < 0
	c.radius = math.Abs(r)
	if r == 0 {
		return c, 0, ip.failAt('R', "the radius of the arc is zero: give its radius or centre")
	}
	toolRadius, err := ip.toolRadius(c)
	if err != nil {
		return c, 0, err
	}
	// The centre is at c.radius from p and at toolRadius from the tool.
	way := p.Sub(tool)
	d := way.Len()
	along := (d*d + toolRadius*toolRadius - c.radius*c.radius) / (2 * d)
	height2 := (toolRadius - along) * (toolRadius + along)
	if height2 < -sameRounding {
		return c, 0, ip.failAt('R', "no arc of this radius leads the tool from where it stands to the end: enter along a straight line, or correct the arc")
	}
	height := math.Sqrt(math.Max(0, height2))
	if (c.turn == geom.CW) != long {
		height = -height
	}
	u := way.Unit()
	c.centre = tool.Add(u.Mul(along)).Add(u.Left().Mul(height))
	return c, toolRadius, nil
}

func (ip *interpreter) firstCircleByCentre(tool, p geom.Point) (circle, float64, error) {
	l := &ip.line
	if ip.comp.radius == 0 {
		c, err := ip.circle(tool, p)
		return c, p.Dist(c.centre), err
	}
	if l.has(hasK) {
		return circle{}, 0, ip.failAt('K', "an arc in G17 has no K word: its centre lies in the plane")
	}
	if !l.has(hasI | hasJ) {
		return circle{}, 0, ip.failG(groupMotion, "the arc has neither R nor centre offsets: add R, or I and J")
	}
	var d geom.Point
	if l.has(hasI) {
		d.X = l.value('I') * ip.scale
	}
	if l.has(hasJ) {
		d.Y = l.value('J') * ip.scale
	}
	if !(math.Abs(d.X) <= maxLength && math.Abs(d.Y) <= maxLength) {
		return circle{}, 0, ip.failG(groupMotion, "the centre of the arc is out of range: check the decimal points of its offsets")
	}
	c := circle{turn: geom.CW, centre: tool.Add(d)}
	if l.motion == g3 {
		c.turn = geom.CCW
	}
	if c.radius = p.Dist(c.centre); c.radius <= sameRounding || d.Len() <= sameRounding {
		return c, 0, ip.failG(groupMotion, "the radius of the arc is zero: its centre is one of its ends")
	}
	toolRadius, err := ip.toolRadius(c)
	if err != nil {
		return c, 0, err
	}
	if diff, tol := math.Abs(d.Len()-toolRadius), ip.arcTolerance(); diff > tol+sameRounding {
		return c, 0, ip.failG(groupMotion, "the tool is %.4g %s off the circle that it has to take, %.4g is allowed: enter where the arc begins",
			diff/ip.scale, ip.unit(), tol/ip.scale)
	}
	return c, toolRadius, nil
}
