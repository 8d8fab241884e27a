package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// The slow and obvious answers to what the medial axis is asked, on random
// regions with arcs and holes.

// medialSamples is how far, in mm, centre and clearance each may be from
// straight between the discs that are looked at.
const medialSamples = 1e-4

// axisDiscs returns pairs of discs between which the axis runs nearly straight,
// of all branches and nodes.
func axisDiscs(m *Medial) (out [][2]Disc) {
	for _, n := range m.Nodes {
		out = append(out, [2]Disc{n, n})
	}
	for _, b := range m.Branches {
		out = appendPairs(out, b.Discs(medialSamples))
	}
	return out
}

func appendPairs(out [][2]Disc, discs []Disc) [][2]Disc {
	for i := 1; i < len(discs); i++ {
		out = append(out, [2]Disc{discs[i-1], discs[i]})
	}
	return out
}

// gap returns how far p is from the nearest of the discs and those between each
// pair, negative inside.
func gap(p Point, discs [][2]Disc) float64 {
	least := math.Inf(1)
	for _, d := range discs {
		v := d[1].C.Sub(d[0].C)
		l, u := v.Len(), 0.0
		if l > 0 {
			// |p - C| - R is least where C is ahead of the foot of p by the slope
			// of R times the distance from p.
			slope := (d[1].R - d[0].R) / l
			w := p.Sub(d[0].C)
			x, y := w.Dot(v)/l, math.Abs(w.Cross(v))/l
			u = (x + y*slope/math.Sqrt(math.Max(1e-12, 1-slope*slope))) / l
			u = math.Max(0, math.Min(1, u))
		}
		least = math.Min(least, p.Dist(d[0].C.Lerp(d[1].C, u))-(d[0].R+u*(d[1].R-d[0].R)))
	}
	return least
}

// eachRandomRegion calls f with n random regions, a hundred times as many in the
// long run.
func eachRandomRegion(t *testing.T, n, stream uint64, f func(t *testing.T, seed uint64, rng *rand.Rand, r Region, m *Medial)) {
	if longRun() {
		n *= 100
	}
	for seed := range n {
		rng := rand.New(rand.NewPCG(seed, stream))
		r := randomRegion(t, rng)
		m, err := MedialAxis(r, MedialOptions{})
		require.NoError(t, err, "seed %d", seed)
		f(t, seed, rng, r, m)
	}
}

// All along each piece the clearance is the nearest distance, found by looking at
// everything, and the two sites are where it says.
func TestMedialClearanceByBruteForce(t *testing.T) {
	eachRandomRegion(t, 6, 21, func(t *testing.T, seed uint64, rng *rand.Rand, r Region, m *Medial) {
		for _, b := range m.Branches {
			for _, p := range b.Pieces() {
				for range 4 {
					d := p.At(rng.Float64())
					real := r.BoundaryDistance(d.C)
					require.LessOrEqual(t, d.R, real+Tol, "seed %d at %v", seed, d)
					require.GreaterOrEqual(t, d.R, real-1.01*DefaultChord, "seed %d at %v", seed, d)
					for _, s := range [2]MedialSite{p.P, p.Q} {
						require.InDelta(t, d.R, d.C.Dist(s.Foot(d.C)), Tol, "seed %d at %v: site %v", seed, d, s)
						if s.Source.Contour >= 0 {
							seg := r[s.Source.Contour][s.Source.Seg]
							require.LessOrEqual(t, seg.Distance(s.Foot(d.C)), 1.01*DefaultChord, "seed %d at %v: source %v", seed, d, s)
						}
					}
				}
			}
		}
	})
}

// The discs of the axis touch all of the boundary but for what is pruned, and
// none reaches over it: nothing of the axis is missing.
func TestMedialDiscsFillTheRegion(t *testing.T) {
	worst := 0.0
	eachRandomRegion(t, 8, 22, func(t *testing.T, seed uint64, rng *rand.Rand, r Region, m *Medial) {
		discs := axisDiscs(m)
		for i, c := range r {
			for k, s := range c {
				p := s.At(rng.Float64())
				g := gap(p, discs)
				require.GreaterOrEqual(t, g, -2*medialSamples, "seed %d: contour %d, segment %d", seed, i, k)
				require.LessOrEqual(t, g, DefaultPrune+DefaultChord+2*medialSamples, "seed %d: contour %d, segment %d at %v", seed, i, k, p)
				worst = math.Max(worst, g)
			}
		}
	})
	t.Logf("widest gap %.3g mm", worst)
}

// poleOf returns the radius of the widest disc in a region within tol: squares
// that cannot hold a better centre are left out, the others quartered.
func poleOf(r Region, tol float64) float64 {
	box := r.Bounds()
	h := math.Max(box.Size().X, box.Size().Y) / 2
	type square struct {
		c    Point
		h, d float64
	}
	x := NewIndex(r)
	best := 0.0
	look := func(c Point, h float64) square {
		d := x.BoundaryDistance(Line(c, c))
		if x.Contains(c) == Outside {
			d = -d
		}
		best = math.Max(best, d)
		return square{c, h, d}
	}
	level := []square{look(box.Center(), h)}
	for len(level) > 0 {
		var next []square
		for _, q := range level {
			if q.d+q.h*math.Sqrt2 <= best+tol {
				continue
			}
			for _, s := range [4]Point{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
				next = append(next, look(q.c.Add(s.Mul(q.h/2)), q.h/2))
			}
		}
		level = next
	}
	return best
}

func TestWidestByBruteForce(t *testing.T) {
	const tol = 1e-4
	eachRandomRegion(t, 20, 23, func(t *testing.T, seed uint64, rng *rand.Rand, r Region, m *Medial) {
		w, pole := m.Widest(), poleOf(r, tol)
		require.GreaterOrEqual(t, w.R, pole-DefaultChord, "seed %d", seed)
		require.LessOrEqual(t, w.R, pole+tol+Tol, "seed %d", seed)
		if len(r) > 0 {
			require.InDelta(t, r.BoundaryDistance(w.C), w.R, 1e-9, "seed %d", seed)
		}
	})
}

// What a tool of radius r leaves is the region less its opening, made by
// offsetting in and out again; Narrows says where that is.
func TestNarrowsAgainstOpening(t *testing.T) {
	corners, equal := 0, 0
	eachRandomRegion(t, 12, 24, func(t *testing.T, seed uint64, rng *rand.Rand, r Region, m *Medial) {
		radius := m.Widest().R * (0.1 + 0.8*rng.Float64())
		in, err := Offset(r, -radius, OffsetOptions{})
		require.NoError(t, err)
		opening, err := Offset(in, radius, OffsetOptions{})
		require.NoError(t, err)
		left, err := Difference(r, opening)
		require.NoError(t, err)
		narrows := m.Narrows(radius)
		var discs [][2]Disc
		for _, n := range narrows {
			for _, p := range n.Axis {
				discs = appendPairs(discs, p.appendDiscs([]Disc{p.From}, medialSamples))
			}
			for _, g := range n.Gates {
				require.InDelta(t, radius, g.R, Tol, "seed %d", seed)
				real := r.BoundaryDistance(g.C)
				require.GreaterOrEqual(t, real, radius-Tol, "seed %d: gate %v", seed, g)
				require.LessOrEqual(t, real, radius+1.01*DefaultChord, "seed %d: gate %v", seed, g)
			}
		}
		// All that is left lies along an axis that Narrows gives.
		for _, c := range left {
			for _, s := range c {
				p := s.At(0.5)
				if r.BoundaryDistance(p) < 1e-6 && gapTo(opening, p) > DefaultPrune+2*DefaultChord {
					require.LessOrEqual(t, gap(p, discs), DefaultPrune+DefaultChord+2*medialSamples, "seed %d radius %g: left at %v", seed, radius, p)
				}
			}
		}
		// No dead end stands out farther than its depth, and most stand out as far:
		// the others are reached past another gate.
		for _, n := range narrows {
			if depth := n.Depth(); depth > 0.01 && !math.IsInf(depth, 1) {
				corners++
				far := 0.0
				for _, e := range n.Ends {
					for k := range 64 {
						far = math.Max(far, gapTo(opening, e.C.Add(Polar(e.R, 2*math.Pi*float64(k)/64))))
					}
				}
				require.LessOrEqual(t, far, depth+DefaultChord+DefaultPrune, "seed %d radius %g: %v", seed, radius, n.Ends)
				if far > depth-0.01 {
					equal++
				}
			}
		}
	})
	require.Greater(t, corners, 20)
	require.Greater(t, equal, corners/2)
}

// gapTo returns the distance of p from a region, 0 inside.
func gapTo(r Region, p Point) float64 {
	if r.Contains(p) != Outside {
		return 0
	}
	return r.BoundaryDistance(p)
}

// A level of the axis lies between the offset at its distance and that a chord
// error farther in (farther out where it grows): nothing is too near, nothing
// that matters is missed, and where a neck closes or an end is cut short it is
// one that is no wider.
func TestMedialOffsetAgainstOffset(t *testing.T) {
	within := func(a, b Region, d float64, seed uint64) {
		over, err := Difference(a, b)
		require.NoError(t, err)
		require.LessOrEqual(t, over.Area(), Tol*(1+b.Perimeter()), "seed %d d=%g", seed, d)
	}
	eachRandomRegion(t, 12, 25, func(t *testing.T, seed uint64, rng *rand.Rand, r Region, m *Medial) {
		for _, sign := range [2]float64{-1, 1} {
			d := sign * m.Widest().R * rng.Float64()
			got, err := m.Offset(d)
			require.NoError(t, err, "seed %d", seed)
			near, err := Offset(r, d, OffsetOptions{})
			require.NoError(t, err, "seed %d", seed)
			far, err := Offset(r, d+sign*1.01*DefaultChord, OffsetOptions{})
			require.NoError(t, err, "seed %d", seed)
			if sign > 0 {
				near, far = far, near
			}
			within(got, near, d, seed)
			within(far, got, d, seed)
		}
	})
}
