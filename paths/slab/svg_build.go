package slab

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// builder turns drawing commands in user units into contours and paths in mm.
type builder struct {
	m     affine
	room  int // segments that may still be drawn
	count int

	segs      geom.Path // of the subpath at hand
	at, start geom.Point
	contours  []geom.Contour
	paths     []geom.Path
}

// place maps a point and refuses one that cannot be on any machine.
func (b *builder) place(p geom.Point) (geom.Point, error) {
	q := b.m.apply(p)
	if !(math.Abs(q.X) <= maxExtent && math.Abs(q.Y) <= maxExtent) {
		return q, fmt.Errorf("the point (%g, %g) lies at (%g, %g) mm, beyond %g m: check the unit", p.X, p.Y, q.X, q.Y, maxExtent/1000)
	}
	return q, nil
}

func (b *builder) add(segs ...geom.Seg) error {
	b.count += len(segs)
	if b.count > b.room {
		return fmt.Errorf("the drawing has more than %d segments", maxSVGSegments)
	}
	b.segs = append(b.segs, segs...)
	return nil
}

// end ends the subpath without a join to its start.
func (b *builder) end() {
	if len(b.segs) > 0 {
		if b.segs.Closed() {
			b.contours = append(b.contours, geom.Contour(b.segs))
		} else {
			b.paths = append(b.paths, b.segs)
		}
	}
	b.segs = nil
}

func (b *builder) move(to geom.Point) (err error) {
	b.end()
	b.at, err = b.place(to)
	b.start = b.at
	return err
}

// close joins the end to the start; what is drawn next begins there too.
func (b *builder) close() {
	// A gap of rounding stays: contours may have it.
	if len(b.segs) > 0 && b.at.Dist(b.start) > geom.Tol {
		b.count++
		b.segs = append(b.segs, geom.Line(b.at, b.start))
	}
	b.end()
	b.at = b.start
}

func (b *builder) line(to geom.Point) error {
	q, err := b.place(to)
	if err != nil || q == b.at {
		return err
	}
	from := b.at
	b.at = q
	return b.add(geom.Line(from, q))
}

func (b *builder) cubic(c1, c2, to geom.Point) error {
	p1, err1 := b.place(c1)
	p2, err2 := b.place(c2)
	q, err3 := b.place(to)
	if err := errors.Join(err1, err2, err3); err != nil {
		return err
	}
	p0 := b.at
	b.at = q
	return b.add(geom.Cubic(p0, p1, p2, q, curveTolerance)...)
}

func (b *builder) quadratic(c, to geom.Point) error {
	p1, err1 := b.place(c)
	q, err2 := b.place(to)
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	p0 := b.at
	b.at = q
	return b.add(geom.Quadratic(p0, p1, q, curveTolerance)...)
}

// ring is an ellipse in mm: the point at parameter u is
// c + turn(rotation) (s1 cos(t), s2 sin(t)) with t = sense (u - in).
type ring struct {
	c         geom.Point
	s1, s2    float64
	rotation  float64
	in, sense float64
	round     bool
}

// ring maps the ellipse about c with half axes rx and ry, turned by phi.
func (b *builder) ring(c geom.Point, rx, ry, phi float64) ring {
	sin, cos := math.Sincos(phi)
	m := b.m.after(affine{a: cos * rx, b: sin * rx, c: -sin * ry, d: cos * ry})
	s1, s2, in, out := axes(m.a, m.b, m.c, m.d)
	g := ring{c: b.m.apply(c), s1: s1, s2: s2, rotation: out, in: in, sense: 1}
	if s2 < 0 {
		g.s2, g.sense = -s2, -1
	}
	if g.s1-g.s2 <= geom.Tol/10 { // a circle but for rounding
		r := (g.s1 + g.s2) / 2
		g.s1, g.s2, g.round = r, r, true
	}
	return g
}

func (g ring) part(start, sweep float64) geom.Path {
	return geom.EllipticalArc(g.c, g.s1, g.s2, g.rotation, g.sense*(start-g.in), g.sense*sweep, curveTolerance)
}

// ellipse draws a whole one.
func (b *builder) ellipse(c geom.Point, rx, ry float64) error {
	if err := b.move(c); err != nil {
		return err
	}
	whole := b.ring(c, rx, ry, 0).part(0, 2*math.Pi)
	if whole == nil {
		return fmt.Errorf("radii %g and %g are out of range", rx, ry)
	}
	err := b.add(whole...)
	b.end()
	return err
}

// arc draws the elliptical arc between two points (SVG 1.1, appendix F.6): the
// radii are made positive, and larger where they do not reach.
func (b *builder) arc(from, to geom.Point, rx, ry, degrees float64, large, sweep bool) error {
	q, err := b.place(to)
	if err != nil || from == to {
		return err
	}
	if rx == 0 || ry == 0 {
		return b.line(to)
	}
	rx, ry = math.Abs(rx), math.Abs(ry)
	phi := math.Mod(degrees, 360) * math.Pi / 180
	sin, cos := math.Sincos(phi)
	// Half the chord in the frame of the axes, where the ellipse is a circle of
	// radius 1 (F.6.5.1).
	half := from.Sub(to).Mul(0.5)
	h := geom.Pt((cos*half.X+sin*half.Y)/rx, (-sin*half.X+cos*half.Y)/ry)
	reach := h.Len()
	if !(reach > 0) {
		return b.line(to)
	}
	var centre geom.Point // from the middle of the chord, in that frame
	if reach >= 1 {
		rx, ry, h = rx*reach, ry*reach, h.Mul(1/reach)
	} else {
		centre = h.Left().Mul(math.Sqrt((1-reach)*(1+reach)) / reach)
		if large != sweep {
			centre = centre.Mul(-1)
		}
	}
	start := h.Sub(centre).Angle()
	turn := h.Mul(-1).Sub(centre).Angle() - start
	if sweep && turn <= 0 {
		turn += 2 * math.Pi
	} else if !sweep && turn >= 0 {
		turn -= 2 * math.Pi
	}
	x, y := centre.X*rx, centre.Y*ry
	g := b.ring(from.Lerp(to, 0.5).Add(geom.Pt(cos*x-sin*y, sin*x+cos*y)), rx, ry, phi)
	return b.addArc(g, start, turn, q)
}

// addArc draws part of the ring from the current point to q.
func (b *builder) addArc(g ring, start, turn float64, q geom.Point) error {
	p := b.at
	b.at = q
	chord := p.Dist(q)
	small := math.Abs(turn) <= math.Pi
	// The greatest curvature of the ellipse is s1/s2^2.
	if small && chord*chord*g.s1 < 4*curveTolerance*g.s2*g.s2 || small && chord <= geom.Tol {
		if p == q {
			return nil
		}
		return b.add(geom.Line(p, q)) // which an arc leaves by less than half the tolerance
	}
	if g.round {
		turnTo := geom.CCW
		if g.sense*turn < 0 {
			turnTo = geom.CW
		}
		if chord <= geom.Tol { // a whole circle
			return b.add(geom.Arc(p, p, g.c, turnTo))
		}
		// The centre from the ends, so that both lie at one distance from it.
		mid, n := p.Lerp(q, 0.5), q.Sub(p).Unit().Left()
		return b.add(geom.Arc(p, q, mid.Add(n.Mul(g.c.Sub(mid).Dot(n))), turnTo))
	}
	part := g.part(start, turn)
	if len(part) == 0 {
		return fmt.Errorf("an arc with radii of %g and %g mm is out of range", g.s1, g.s2)
	}
	part[0].A, part[len(part)-1].B = p, q // the same but for rounding
	return b.add(part...)
}

// finish returns what has been drawn, checked.
func (b *builder) finish() ([]geom.Contour, []geom.Path, error) {
	b.end()
	for _, c := range b.contours {
		if err := c.Validate(); err != nil {
			return nil, nil, err
		}
		if err := checkExtent(c.Bounds()); err != nil {
			return nil, nil, err
		}
	}
	for _, p := range b.paths {
		if err := p.Validate(); err != nil {
			return nil, nil, err
		}
		if err := checkExtent(p.Bounds()); err != nil {
			return nil, nil, err
		}
	}
	return b.contours, b.paths, nil
}

func checkExtent(box geom.Box) error {
	for _, v := range []float64{box.Min.X, box.Min.Y, box.Max.X, box.Max.Y} {
		if !(math.Abs(v) <= maxExtent) {
			return fmt.Errorf("it reaches to %g mm, beyond %g m: check the unit", v, maxExtent/1000)
		}
	}
	return nil
}
