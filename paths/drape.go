package paths

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Drape lays a plan that was made for a face level at the stock's top onto the
// face as it was measured: every height is moved by as much as the face lies
// lower at its place. Moves are divided where that is not straight, so that
// heights between two ends are right within the cut tolerance; arcs stay arcs and
// become helices.
//
// An engraving keeps the depth of its tip on the line. Everything else is lifted
// by as much as the level end of the tool would otherwise come nearer to the floor
// on the side where the face is higher, and by the tolerance, so that no place of
// the floor is cut deeper than was asked. The features follow the face, too.
//
// The error says where the cut would go below what stock and backing allow.
// Without a measured face the plan comes back as it is.
func Drape(s *setup.Setup, p Plan) (Plan, error) {
	face := s.Stock.Face
	if face == nil {
		return p, nil
	}
	d := draper{s: s, p: &p, face: face, slope: face.Lipschitz()}
	engraves := len(p.Features) > 0 && len(p.Features[0].May) == 0
	if !engraves {
		d.lift = riseOn(p.Tool, d.slope) + cutTol
	}
	cuts := make([]Cut, len(p.Cuts))
	for i, c := range p.Cuts {
		cuts[i] = d.cut(c)
		if err := d.check(cuts[i]); err != nil {
			return p, err
		}
	}
	p.Cuts = cuts
	features := append([]setup.Feature(nil), p.Features...)
	flat := d.slope * p.floorRadius(s)
	for i := range features {
		f := &features[i]
		f.Follows = true
		if engraves {
			f.Reach = reachOn(p.Tool, p.Top-p.Bottom+cutTol, d.slope)
			f.Tol += flat // the edge of a flat end, on the side where the face is higher
			continue
		}
		f.Lift = d.lift + flat + cutTol
	}
	p.Features = features
	return p, nil
}

// riseOn returns by how much the tip has to stand above a slope under its axis
// for no part of the tool to reach below the slope.
func riseOn(t setup.Tool, slope float64) float64 {
	a := newAssembly(t)
	rise := 0.0
	for i, z := range a.z {
		rise = math.Max(rise, slope*a.r[i]-z)
	}
	return rise
}

// maxReach bounds the search for the footprint of a tool on a slope; it closes in
// by the product of slope and the tangent of the tool's half angle.
const maxReach = 100

// reachOn returns how far from its axis a tool that is sunk by depth leaves a face
// that rises at the slope.
func reachOn(t setup.Tool, depth, slope float64) float64 {
	a := newAssembly(t)
	r := a.radius(depth)
	for range maxReach {
		next := a.radius(depth + slope*r)
		if next-r <= geom.Tol {
			break
		}
		r = next
	}
	return r
}

// draper moves the heights of one plan.
type draper struct {
	s           *setup.Setup
	p           *Plan
	face        *setup.Face
	slope, lift float64
}

// shift returns by how much heights at a place move.
func (d *draper) shift(p geom.Point) float64 { return d.face.Height(p) - d.s.Stock.Top + d.lift }

func (d *draper) on(p geom.Point3) geom.Point3 { return p.XY().At(p.Z + d.shift(p.XY())) }

func (d *draper) cut(c Cut) Cut {
	out := Cut{Start: d.on(c.Start)}
	from := c.Start
	for _, m := range c.Moves {
		plan := segOf(from, m)
		last := plan.A
		for _, t := range d.stops(plan) {
			piece := m
			at := plan.At(t)
			if t == 1 {
				at = m.To.XY()
			}
			piece.Dwell = 0
			if t == 1 {
				piece.Dwell = m.Dwell
			}
			piece.To = d.on(at.At(from.Z + t*(m.To.Z-from.Z)))
			way := geom.Seg{A: last, B: at, C: plan.C, Turn: plan.Turn}
			piece.Feed = d.feed(m, way.Length(), out.End().Z-piece.To.Z)
			out.Moves = append(out.Moves, piece)
			last = at
		}
		from = m.To
	}
	return out
}

// feed keeps the plunge feed where the face falls away under a cut.
func (d *draper) feed(m Move, plan, down float64) float64 {
	if m.Rapid || down <= 0 {
		return m.Feed
	}
	return math.Min(m.Feed, d.p.Plunge*math.Hypot(plan, down)/down)
}

// stops returns where a move has to be divided, as ascending fractions of its
// length that end with 1. Between two kinks the height leaves its chord by the
// second derivative times an eighth of the square of the length at most.
func (d *draper) stops(plan geom.Seg) []float64 {
	length := plan.Length()
	if length <= geom.Tol {
		return []float64{1}
	}
	bend := setup.Curvature(d.face, plan)
	var out []float64
	from := 0.0
	for _, to := range append(d.face.Kinks(plan), 1) {
		// A kink this near to the stop before it makes less than the tolerance,
		// and so does leaving it out.
		if to < 1 && 2*d.slope*(to-from)*length <= cutTol/4 {
			continue
		}
		n := math.Ceil((to - from) * length * math.Sqrt(bend/(8*cutTol/2)))
		n = math.Max(1, math.Min(n, maxPasses))
		for i := 1.0; i < n; i++ {
			out = append(out, from+(to-from)*i/n)
		}
		out = append(out, to)
		from = to
	}
	return out
}

// check holds a cut against what stock and backing allow.
func (d *draper) check(c Cut) error {
	least := d.s.Stock.Lowest()
	if d.s.Stock.Backing.Present {
		least -= d.s.Stock.Backing.Depth
	}
	for _, m := range c.Moves {
		if m.To.Z < least-geom.Tol {
			return d.p.errorf("where the face is low, near x %.3f y %.3f, the cut goes down to %.3f mm, stock and backing allow %.3f mm", m.To.X, m.To.Y, m.To.Z, least)
		}
	}
	return nil
}
