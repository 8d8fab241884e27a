package hold

import (
	"cmp"
	"context"
	"math"
	"slices"

	"proofcut/paths/geom"
	"proofcut/paths/nest"
)

// Discs are equal discs to be nested among the screws.
type Discs struct {
	Problem nest.Problem // without the screws
	Head    float64      // diameter of a screw's head, mm
	Margin  float64      // least distance from a disc's edge to the edge of a head, mm
}

// Nest places the discs with package nest. An effort of 0 is that of Problem.
func (d Discs) Nest(ctx context.Context, places []geom.Point, effort float64) (Nested, error) {
	p := d.Problem
	p.Keepouts = slices.Clone(p.Keepouts)
	for _, q := range places {
		p.Keepouts = append(p.Keepouts, nest.Keepout{Area: geom.RegionOf(geom.Circle(q, d.Head/2)), Margin: d.Margin})
	}
	if effort > 0 {
		p.Effort = effort
	}
	l, err := nest.Discs(ctx, p)
	if err != nil {
		return Nested{}, err
	}
	n := Nested{Count: len(l.Centres), Bound: l.Bound, Interrupted: l.Interrupted}
	for _, c := range l.Centres {
		n.Discs = append(n.Discs, d.disc(c))
	}
	return n, nil
}

// Effort returns the effort of the problem.
func (d Discs) Effort() float64 { return cmp.Or(d.Problem.Effort, nest.DefaultEffort) }

func (d Discs) disc(c geom.Point) Disc { return Disc{c, d.Problem.Diameter / 2, d.Margin} }

const (
	// patternTurns and patternShifts are how many angles and shifts a lattice is
	// tried at: every ten degrees, and a third of the spacing each way.
	patternTurns  = 6
	patternShifts = 3
	// maxPatterns is how many of the fullest are kept.
	maxPatterns = 24
	// patternPoints bounds the places tried, for slabs of thousands of discs.
	patternPoints = 60000
)

// Patterns returns the fullest of some hexagonal lattices, flush with the long
// edges of the slab or turned and shifted in even steps.
func (d Discs) Patterns() [][]Disc {
	p := d.Problem
	spacing := p.Diameter + p.Gap
	slab := geom.NewIndex(p.Stock)
	var keep []*geom.Index
	for _, k := range p.Keepouts {
		keep = append(keep, geom.NewIndex(k.Area))
	}
	fits := func(c geom.Point) bool {
		if slab.Contains(c) != geom.Inside || slab.BoundaryDistance(dot(c)) < p.Diameter/2+p.Edge {
			return false
		}
		for i, k := range keep {
			if k.Distance(dot(c)) < p.Diameter/2+p.Keepouts[i].Margin {
				return false
			}
		}
		return true
	}
	var out [][]Disc
	tried := 0
	for _, angle := range d.angles() {
		e1, e2 := geom.Polar(spacing, angle), geom.Polar(spacing, angle+math.Pi/3)
		for k := 0; k < patternShifts*patternShifts && tried < patternPoints; k++ {
			u, v := float64(k%patternShifts)/patternShifts, float64(k/patternShifts)/patternShifts
			box := p.Stock.Bounds()
			o := box.Center().Add(e1.Mul(u)).Add(e2.Mul(v))
			n := int(math.Ceil(box.Size().Len()/2/(spacing*math.Sqrt(3)/2))) + 1
			var discs []Disc
			for i := -2 * n; i <= 2*n; i++ {
				for j := -n; j <= n; j++ {
					c := o.Add(e1.Mul(float64(i))).Add(e2.Mul(float64(j)))
					if box.Contains(c) {
						tried++
						if fits(c) {
							discs = append(discs, d.disc(c))
						}
					}
				}
			}
			if len(discs) > 0 {
				out = append(out, discs)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b []Disc) int { return len(b) - len(a) })
	return out[:min(len(out), maxPatterns)]
}

// angles returns the directions of the slab's longest straight edges and even
// steps, within 60 degrees.
func (d Discs) angles() []float64 {
	var edges []geom.Seg
	for _, c := range d.Problem.Stock {
		for _, s := range c {
			if !s.IsArc() {
				edges = append(edges, s)
			}
		}
	}
	slices.SortStableFunc(edges, func(a, b geom.Seg) int {
		switch la, lb := a.Length(), b.Length(); {
		case la > lb:
			return -1
		case la < lb:
			return 1
		}
		return 0
	})
	var out []float64
	for _, s := range edges[:min(len(edges), patternTurns)] {
		out = append(out, math.Mod(s.B.Sub(s.A).Angle()+2*math.Pi, math.Pi/3))
	}
	for i := range patternTurns {
		out = append(out, float64(i)*math.Pi/3/patternTurns)
	}
	return out
}
