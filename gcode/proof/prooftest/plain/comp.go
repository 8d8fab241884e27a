package plain

import "math"

// comp is cutter radius compensation (section 3.5.10 and appendix B, from memory).
type comp struct {
	side    int // 1 tool left of the path (G41), -1 right (G42), 0 off
	radius  float64
	entered bool       // the first move was made
	last    [2]float64 // programmed point, in machine coordinates
	aside   bool       // off, and the tool still stands beside the programmed point
}

// programmedAt is the coordinate from which words of the next block count.
func (r *reader) programmedAt(i int) float64 {
	if r.comp.side != 0 && r.comp.entered && i < 2 {
		return r.comp.last[i]
	}
	return r.at[i]
}

// compensate does G40, G41 and G42.
func (r *reader) compensate(b *block, code int) {
	if code == 400 {
		if r.comp.side != 0 {
			r.comp = comp{aside: r.comp.entered}
		}
		return
	}
	switch {
	case r.comp.side != 0:
		r.fail("compensation is on already")
	case r.plane != 2:
		r.fail("compensation in another plane")
	case r.comp.aside:
		r.open("compensation anew before the tool is back on its path")
	}
	slot := r.state.Tool
	if v, ok := b.words['D']; ok {
		if slot = r.integer(v, "D"); slot > r.c.Slots {
			r.fail("there is no slot %d", slot)
		}
	}
	r.comp = comp{side: 1, radius: r.c.Tools[slot].Diameter / 2}
	if slot == 0 {
		r.comp.radius = 0
	}
	if code == 420 {
		r.comp.side = -1
	}
	if r.comp.radius < 0 {
		r.comp.side, r.comp.radius = -r.comp.side, -r.comp.radius
	}
}

// leaveComp is asked before moves without compensation. The first one after G40
// goes from where the tool is; what a word that is left out or incremental means
// there is open.
func (r *reader) leaveComp(b *block) {
	if !r.comp.aside || !b.has("XY") {
		return
	}
	if !b.has("X") || !b.has("Y") || r.g91 || b.has("IJR") {
		r.open("the move after G40")
	}
	r.comp.aside = false
}

// clean leaves the reading where a place is asked for that is open after G40.
func (c *comp) clean(r *reader) {
	if c.aside {
		r.open("the place after G40")
	}
}

// Corners within this angle of straight on are none, in radians.
const cornerAngle = 0.01

type vec struct{ x, y float64 }

func (a vec) angle(b vec) float64 { return math.Atan2(b.y-a.y, b.x-a.x) } // of the way from a to b
func (a vec) dist(b vec) float64  { return math.Hypot(b.x-a.x, b.y-a.y) }
func (a vec) polar(l, angle float64) vec {
	return vec{a.x + l*math.Cos(angle), a.y + l*math.Sin(angle)}
}
func at(p [6]float64) vec                  { return vec{p[0], p[1]} }
func place(p [6]float64, v vec) [6]float64 { p[0], p[1] = v.x, v.y; return p }

// compensated makes a move with the tool beside its path.
func (r *reader) compensated(b *block, n needs) {
	c := &r.comp
	to, known := r.target(b, false)
	from := at(r.at) // S, the programmed point
	if c.entered {
		from = vec{c.last[0], c.last[1]}
	}
	defer func() { c.last = [2]float64{to[0], to[1]}; r.known = known }()
	kind := Feed
	if n.motion == 0 {
		kind = Rapid
	}
	arc := n.motion == 20 || n.motion == 30
	if !arc && from.dist(at(to)) < same {
		p := to
		p[0], p[1] = r.at[0], r.at[1]
		r.straight(kind, p)
		return
	}
	switch {
	case c.radius == 0 && arc: // the tool's centre is on its path
		r.arc(r.arcWords(b, n.motion, r.at, to), to)
	case c.radius == 0:
		r.straight(kind, to)
	case arc && !c.entered:
		if b.has("R") {
			r.open("an entry along an arc by radius")
		}
		r.enterArc(b, n.motion, to)
	case arc:
		r.laterArc(b, n.motion, from, to)
	case !c.entered:
		r.enterStraight(kind, to)
	default:
		way := from.angle(at(to))
		r.corner(kind, from, way)
		r.straight(kind, place(to, at(to).polar(c.radius, way+float64(c.side)*math.Pi/2)))
	}
	c.entered = true
}

// enterStraight: the end E of the first move is such that the line through the
// programmed point P square to PE touches the circle round the tool's centre.
func (r *reader) enterStraight(kind Kind, to [6]float64) {
	c, p := at(r.at), at(to)
	d := c.dist(p)
	r.gouge(d)
	e := p.polar(r.comp.radius, p.angle(c)-float64(r.comp.side)*math.Acos(r.comp.radius/d))
	r.straight(kind, place(to, e))
}

// gouge refuses an end that lies within the tool.
func (r *reader) gouge(d float64) {
	if math.Abs(d-r.comp.radius) < near {
		r.open("an entry of just the tool's radius")
	}
	if d <= r.comp.radius {
		r.fail("the entry gouges")
	}
}

// beside returns the radius of the tool's way along an arc.
func (r *reader) beside(k circle) float64 {
	if r.comp.side == k.turn { // left of counter-clockwise or right of clockwise: inside
		if math.Abs(k.radius-r.comp.radius) < near {
			r.open("an arc as large as the tool")
		}
		if k.radius <= r.comp.radius {
			r.fail("an arc smaller than the tool")
		}
		return k.radius - r.comp.radius
	}
	return k.radius + r.comp.radius
}

func (r *reader) enterArc(b *block, code int, to [6]float64) {
	c := at(r.at)
	end := r.arcEnd(b, code, r.at, to)
	o := vec{end.centre[0], end.centre[1]}
	wide := r.beside(end)
	tol := arcMM
	if r.inch {
		tol = arcInch * inch
	}
	if math.Abs(o.dist(c)-wide) > tol+same {
		r.fail("the entry does not meet the arc")
	}
	r.gouge(c.dist(at(to)))
	r.arc(end, place(to, o.polar(wide, o.angle(at(to)))))
}

// arcEnd reads an entry's arc: it has no start on the programmed path, so only its
// end tells the radius.
func (r *reader) arcEnd(b *block, code int, from, to [6]float64) circle {
	k := circle{first: 0, second: 1, turn: 1}
	if code == 20 {
		k.turn = -1
	}
	if !b.has("XY") {
		r.fail("an arc without an end in its plane")
	}
	if !b.has("IJ") || b.has("K") {
		r.fail("an arc without a centre in its plane")
	}
	k.centre = [2]float64{from[0] + b.words['I']*r.scale(), from[1] + b.words['J']*r.scale()}
	k.radius = math.Hypot(to[0]-k.centre[0], to[1]-k.centre[1])
	return k
}

func (r *reader) laterArc(b *block, code int, from vec, to [6]float64) {
	start := place(r.at, from)
	k := r.arcWords(b, code, start, to)
	o := vec{k.centre[0], k.centre[1]}
	wide := r.beside(k)
	r.corner(Feed, from, o.angle(from)+float64(k.turn)*math.Pi/2)
	// A full turn of the path is one of the tool, whatever the corner has left.
	end := place(to, o.polar(wide, o.angle(at(to))))
	if from.dist(at(to)) < same {
		end[0], end[1] = r.at[0], r.at[1]
	}
	r.arc(k, end)
}

// corner goes round the outside of the corner at s before a move in the direction
// way; an inside corner is refused.
func (r *reader) corner(kind Kind, s vec, way float64) {
	side := float64(r.comp.side)
	c := at(r.at)
	b := math.Mod(side*(s.angle(c)-way)+4*math.Pi, 2*math.Pi) - math.Pi/2
	for _, limit := range []float64{-cornerAngle, cornerAngle, math.Pi + cornerAngle} {
		if math.Abs(b-limit) < 1e-6 {
			r.open("a corner of just the angle that counts")
		}
	}
	switch {
	case b < -cornerAngle || b > math.Pi+cornerAngle:
		r.fail("a concave corner")
	case b <= cornerAngle:
		return
	case kind == Rapid:
		r.open("a rapid round a corner")
	case r.g93:
		r.open("the time of a corner under G93")
	}
	m := s.polar(r.comp.radius, way+side*math.Pi/2)
	r.arc(circle{first: 0, second: 1, centre: [2]float64{s.x, s.y}, turn: -r.comp.side}, place(r.at, m))
}
