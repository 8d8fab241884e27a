package post

import (
	"math"

	"proofcut/paths"
	"proofcut/paths/geom"
)

const (
	// planSteps is how far, in steps, a written line or arc may lie from its
	// toolpath in plan: the distance that paths.Reserve keeps.
	planSteps = 1.0

	// radiusSteps is the greatest difference of an arc's written start and end
	// radius. Controls refuse two steps (0.002 mm, 0.0002 in; NISTIR 6556,
	// section 3.5.3, from memory); a half is kept for how they compute.
	radiusSteps = 1.5

	// chordSteps is the height of an arc over its chord up to which the chord
	// stands for it: with the rounding of its ends, 0.71 steps at most, it
	// stays within planSteps.
	chordSteps = 0.25

	// leastRadius, in steps, is the radius under which an arc is written as
	// chords: the grid says too little about so small a circle.
	leastRadius = 5.0

	// splits is how often an arc may be halved to find centres on the grid.
	splits = 24

	// sweepSlack is how much the written sweep may differ from the true one;
	// more means that rounding has turned a short arc into nearly a circle or
	// the other way round.
	sweepSlack = 0.5

	// arcSamples is the number of places at which an arc is compared with what
	// is written; a shift of the centre by one step hides less than a fiftieth
	// of a step between them on a whole circle.
	arcSamples = 16
)

// ArcTolerance is the greatest difference in mm between the start and end
// radius of an arc in a program whose resolution is the one given.
func ArcTolerance(resolution float64) float64 { return radiusSteps * resolution }

// arc writes an arc, in halves where no centre on the grid fits the whole, and
// as chords where it is so short that chords fit.
func (p *printer) arc(from geom.Point3, m paths.Move, depth int) {
	g := geom.Seg{A: from.XY(), B: m.To.XY(), C: m.C, Turn: m.Turn}
	to := p.grid(m.To)
	sweep := math.Abs(g.Sweep())
	radius := g.Radius()
	if rise := radius * (1 - math.Cos(math.Min(sweep, math.Pi)/2)); rise <= chordSteps*p.res || depth == 0 {
		p.axes(1, m.Feed, to, false)
		return
	}
	if i, j, ok := p.centre(g, to, sweep); ok && radius >= leastRadius*p.res {
		if m.Turn == geom.CW {
			p.mode(2)
		} else {
			p.mode(3)
		}
		p.word('X', p.say(to[0]))
		p.word('Y', p.say(to[1]))
		if to[2] != p.at[2] {
			p.word('Z', p.say(to[2]))
		}
		p.word('I', p.say(i))
		p.word('J', p.say(j))
		p.rate(1, m.Feed)
		p.flush()
		p.at = to
		return
	}
	half := m
	half.To = g.At(0.5).At((from.Z + m.To.Z) / 2)
	half.Dwell = 0
	p.arc(from, half, depth-1)
	p.arc(half.To, m, depth-1)
}

// centre looks among the grid points at the true centre for the one about which
// the written arc lies nearest to the true one, and returns its offset from the
// written start.
func (p *printer) centre(g geom.Seg, to [3]int64, sweep float64) (int64, int64, bool) {
	whole := g.A == g.B
	if same := to[0] == p.at[0] && to[1] == p.at[1]; same != whole {
		return 0, 0, false
	}
	c := [2]int64{p.steps(g.C.X, false), p.steps(g.C.Y, false)}
	best, bi, bj := math.Inf(1), int64(0), int64(0)
	for _, d := range nearby {
		i, j := c[0]+d[0]-p.at[0], c[1]+d[1]-p.at[1]
		if i == 0 && j == 0 {
			continue
		}
		if off := p.deviation(g, to, [3]int64{c[0] + d[0], c[1] + d[1]}, sweep, whole); off < best-deviationTie {
			best, bi, bj = off, i, j
		}
	}
	return bi, bj, best <= planSteps*p.res
}

// nearby are the grid points tried, the nearest first.
var nearby = [9][2]int64{{0, 0}, {1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}}

// deviationTie is the gain in mm for which a centre further off is taken.
const deviationTie = 1e-9

// deviation returns how far in mm the arc about the grid point lies from g in
// plan, infinity when controls would refuse it or turn another way.
func (p *printer) deviation(g geom.Seg, to, centre [3]int64, sweep float64, whole bool) float64 {
	a, b, c := p.mm(p.at), p.mm(to), p.mm(centre)
	r0, r1 := a.Dist(c), b.Dist(c)
	if math.Abs(r0-r1) > radiusSteps*p.res {
		return math.Inf(1)
	}
	start := a.Sub(c).Angle()
	turn := 2 * math.Pi
	if !whole {
		turn = math.Mod((b.Sub(c).Angle()-start)*float64(g.Turn)+4*math.Pi, 2*math.Pi)
	}
	if math.Abs(turn-sweep) > sweepSlack {
		return math.Inf(1)
	}
	// A control may spread the difference of the radii along the arc as it
	// likes: at every angle the radius may be either. The distance is that from
	// the arc with its ends, for past a corner other things may stand.
	worst := 0.0
	for k := range arcSamples + 1 {
		u := geom.Polar(1, start+float64(g.Turn)*turn*float64(k)/arcSamples)
		for _, r := range [2]float64{r0, r1} {
			worst = math.Max(worst, g.Distance(c.Add(u.Mul(r))))
		}
	}
	// Between two samples the shift of the centre shows a little more.
	return worst + c.Dist(g.C)*(1-math.Cos(turn/arcSamples/2))
}
