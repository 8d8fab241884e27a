package nest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"proofcut/paths/geom"
)

// RadiusOptions steer MaxRadius. The zero value works.
type RadiusOptions struct {
	Seed   uint64
	Effort float64 // nominal seconds of one core, 0: DefaultEffort; see Problem.Effort
	// Enough, if positive, is a radius (mm) with which the search may stop.
	Enough float64
	// Progress, if set, is called with the best radius so far and the share of
	// the effort used.
	Progress func(radius, done float64)
}

// Packing is a set of equal discs without a gap.
type Packing struct {
	Radius      float64 // mm; measured with package geom, so the discs fit
	Centres     []geom.Point
	Interrupted bool // the context ended before the effort was used
}

// MaxRadius looks for the largest common radius of n discs in a container:
// discs may touch each other and the boundary. It is the classical packing
// problem, and the measure of the search that Discs uses.
//
// It returns an error for n < 1, n > MaxDiscs and a container that Validate of
// a Problem would refuse.
func MaxRadius(ctx context.Context, container geom.Region, n int, o RadiusOptions) (*Packing, error) {
	if n < 1 || n > MaxDiscs {
		return nil, fmt.Errorf("nest: %d discs: must be 1 to %d", n, MaxDiscs)
	}
	for _, v := range []float64{o.Effort, o.Enough} {
		if err := checkLength(v); err != nil {
			return nil, fmt.Errorf("nest: options: %w", err)
		}
	}
	if err := checkStock(container); err != nil {
		return nil, err
	}
	effort := o.Effort
	if effort == 0 {
		effort = DefaultEffort
	}
	budget := int64(math.Min(effort, 1e9) * workPerSecond)

	// No radius is larger than that of n discs which cover the whole area.
	top := 1.05 * math.Sqrt(container.Area()/(math.Pi*float64(n)))
	size := make([]float64, n)
	for i := range size {
		size[i] = 1
	}
	p := newPacker(newField([]group{{walls: newWalls(container), inside: true}}, top), size, 0, top)
	f := &finder{p: p, rng: rand.New(rand.NewPCG(o.Seed, 0x72616469)), enough: math.Inf(1)}
	if o.Enough > 0 {
		f.enough = o.Enough
	}
	counter, ended := 0, false
	f.stop = func() bool {
		if counter++; counter&15 == 0 && ctx.Err() != nil {
			ended = true
		}
		return ended || p.work >= budget || f.best != nil && f.best[2*n] >= f.enough
	}
	tell := func() {
		if o.Progress != nil && f.best != nil {
			o.Progress(f.best[2*n], math.Min(1, float64(p.work)/float64(budget)))
		}
	}
	f.explore(top, tell)
	if f.best == nil {
		return nil, errors.New("nest: interrupted before the first layout")
	}
	out := &Packing{Centres: centresOf(f.best), Interrupted: ended}
	out.Radius = measure(container, out.Centres)
	if !(out.Radius > 0) {
		return nil, errors.New("nest: no layout found for the container")
	}
	inRows(out.Centres, 2*out.Radius)
	return out, nil
}

// measure returns the largest common radius for centres in a container.
func measure(container geom.Region, centres []geom.Point) float64 {
	least := math.Inf(1)
	for i, c := range centres {
		if container.Contains(c) != geom.Inside {
			return 0
		}
		least = math.Min(least, container.BoundaryDistance(c))
		for _, d := range centres[i+1:] {
			least = math.Min(least, c.Dist(d)/2)
		}
	}
	return least
}
