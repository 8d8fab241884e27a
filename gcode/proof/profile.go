package proof

import (
	"math"

	"proofcut/paths/setup"
)

// section is a part of a tool between two heights above its tip: a truncated
// cone, or the lower half of a ball.
type section struct {
	h0, r0, h1, r1 float64
	ball           bool // r1 is the ball's radius and h1-h0 too
	cuts           bool
}

// assembly is a rotating tool as a stack of sections, from the tip up. Unlike
// setup.Tool.Sections it keeps a ball end as a ball.
type assembly struct {
	tool     setup.Tool
	known    bool // false for the stand-in of a tool that is not known
	sections []section
	rmax     float64
	top      float64
	body     section // cutting end: flat disc, cone or ball, as seen from below
}

func newAssembly(t setup.Tool) *assembly {
	a := &assembly{tool: t, known: true}
	r := t.Diameter / 2
	h := 0.0
	switch t.Shape {
	case setup.Ball:
		a.add(section{0, 0, r, r, true, true})
		h = r
	case setup.Vee:
		h = t.ConeHeight()
		a.add(section{0, t.TipDiameter / 2, h, r, false, true})
	case setup.Drill:
		h = t.ConeHeight()
		a.add(section{0, 0, h, r, false, true})
	default:
		a.body = section{0, r, 0, r, false, true}
	}
	if len(a.sections) > 0 {
		a.body = a.sections[0]
	}
	if t.FluteLength > h {
		a.add(section{h, r, t.FluteLength, r, false, true})
		h = t.FluteLength
	}
	if t.StickOut > h {
		a.add(section{h, t.Shank / 2, t.StickOut, t.Shank / 2, false, false})
	}
	for _, s := range t.Holder {
		a.add(section{s.Z0, s.R0, s.Z1, s.R1, false, false})
	}
	return a
}

// anyTool stands for a tool that the program has not named yet: it fills all
// that any tool of the set-up fills, and none of it cuts.
func anyTool(tools []*assembly) *assembly {
	a := &assembly{}
	for _, t := range tools {
		for _, s := range t.sections {
			s.cuts = false
			a.add(s)
		}
	}
	return a
}

func (a *assembly) add(s section) {
	a.sections = append(a.sections, s)
	a.rmax = math.Max(a.rmax, math.Max(s.r0, s.r1))
	a.top = math.Max(a.top, s.h1)
}

// at returns the section's radius at height h within it.
func (s section) at(h float64) float64 {
	if s.ball {
		u := h - s.h0
		return math.Sqrt(math.Max(0, u*(2*s.r1-u)))
	}
	if s.h1 <= s.h0 {
		return math.Max(s.r0, s.r1)
	}
	return s.r0 + (s.r1-s.r0)*(h-s.h0)/(s.h1-s.h0)
}

// reach returns the greatest radius that any part of the tool has at height h
// above the tip or below: the footprint of a tool sunk by h.
func (a *assembly) reach(h float64) float64 {
	r := 0.0
	for i := range a.sections {
		s := &a.sections[i]
		if s.h0 > h {
			continue
		}
		r = math.Max(r, s.r0)
		r = math.Max(r, s.at(math.Min(h, s.h1)))
	}
	return r
}

// gap returns the least distance between the tool and an upright prism whose
// plan lies at distance d from the tool's axis (0 when the axis stands in it)
// and which reaches from height b to height t above the tool's tip.
//
// Each horizontal slice of the tool is a disc, so the distance in space is the
// least over heights h of hypot(max(0, d-r(h)), distance of h from [b,t]).
func (a *assembly) gap(d, b, t float64) float64 {
	least := math.Inf(1)
	for i := range a.sections {
		s := &a.sections[i]
		// The section's box gives a bound that spares most of the work.
		v := math.Max(0, math.Max(b-s.h1, s.h0-t))
		p := math.Max(0, d-math.Max(s.r0, s.r1))
		if v >= least || p >= least || math.Hypot(v, p) >= least {
			continue
		}
		least = math.Min(least, s.gap(d, b, t))
	}
	return least
}

func (s *section) gap(d, b, t float64) float64 {
	if s.ball {
		centre := s.h0 + s.r1
		near := math.Max(b, math.Min(t, centre))
		if near > centre { // nearest to the upper half, which is not there: the rim counts
			return math.Hypot(math.Max(0, d-s.r1), near-centre)
		}
		return math.Max(0, math.Hypot(d, near-centre)-s.r1)
	}
	// The distance is convex in h, so its minimum is at a break or where the
	// slope of the line r(h) is square to a corner of the prism.
	least := math.Inf(1)
	try := func(h float64) {
		h = math.Max(s.h0, math.Min(s.h1, h))
		v := math.Max(0, math.Max(b-h, h-t))
		least = math.Min(least, math.Hypot(math.Max(0, d-s.at(h)), v))
	}
	try(s.h0)
	if s.h1 <= s.h0 {
		return least
	}
	try(s.h1)
	try(b)
	try(t)
	k := (s.r1 - s.r0) / (s.h1 - s.h0)
	if k != 0 {
		try(s.h0 + (d-s.r0)/k)
		// Foot of the perpendicular from (d, corner) on the line (r0+k u, h0+u).
		foot := func(corner float64) float64 {
			return s.h0 + (k*(d-s.r0)+(corner-s.h0))/(1+k*k)
		}
		try(foot(b))
		try(foot(t))
	}
	return least
}

// lower returns how high above the section's foot its surface lies at radius
// rho, looking up from below; +Inf outside the section. A section that narrows
// upward shows its foot only.
func (s *section) lower(rho float64) float64 {
	switch {
	case s.ball:
		if rho > s.r1 {
			return math.Inf(1)
		}
		return s.r1 - math.Sqrt(s.r1*s.r1-rho*rho)
	case rho <= s.r0:
		return 0
	case rho > s.r1:
		return math.Inf(1)
	}
	return (rho - s.r0) / (s.r1 - s.r0) * (s.h1 - s.h0)
}

// wide returns the section's greatest radius as seen from below.
func (s *section) wide() float64 { return math.Max(s.r0, s.r1) }
