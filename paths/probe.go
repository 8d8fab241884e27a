package paths

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

const (
	// maxProbes bounds the places of one probing: at a few seconds each they take
	// an hour, and a surface through more that are not a full grid is refused.
	maxProbes = 400
	// leastProbes is what a surface needs.
	leastProbes = 4
)

// ProbeGrid returns the places at which a probe may touch the face of the stock,
// on a grid with lines no further apart than spacing, row by row there and back.
// The set-up's Probing says how far the face may lie from the stock's top and how
// far the tip stays from edges and holes; t is the stylus. A place is left out
// where the tip would come nearer to an edge, or any part of the assembly nearer
// to a zone than its clearance with the tip at its lowest.
//
// Errors: a spacing that is no length, a zone that reaches up to where the stylus
// travels, fewer than 4 places or all in one line, more than 400.
func ProbeGrid(s *setup.Setup, t setup.Tool, spacing float64) ([]geom.Point, error) {
	p := s.Probing
	switch {
	case p == nil || !finite(p.Within, p.Edge) || p.Within <= 0 || p.Edge < 0:
		return nil, fmt.Errorf("the set-up does not say how to probe")
	case !(spacing > 0) || math.IsInf(spacing, 0):
		return nil, fmt.Errorf("the spacing of the probed grid is %g mm", spacing)
	}
	zones, err := newKeepOuts(s, t)
	if err != nil {
		return nil, err
	}
	for _, k := range zones {
		if k.need(s.ClearZ) > 0 {
			return nil, fmt.Errorf("zone %s reaches with its clearance up to %.3f mm, the probe travels at the clear height of %.3f mm: raise it",
				k.zone.Name, k.zone.Top+k.zone.Clearance, s.ClearZ)
		}
	}
	in, err := geom.Offset(s.Stock.Outline, -(t.Diameter/2 + p.Edge), geom.OffsetOptions{})
	if err != nil {
		return nil, fmt.Errorf("stock: %w", err)
	}
	out, err := forbidden(zones, s.Stock.Top-p.Within)
	if err != nil {
		return nil, err
	}
	if len(in) == 0 {
		return nil, fmt.Errorf("the tip of %.3f mm has no place on the stock that is %.3f mm from its edges", t.Diameter, p.Edge)
	}
	// Rounding to the program's digits takes less than the reserve.
	reserve := Reserve(s)
	b := in.Bounds().Grow(-reserve)
	size := b.Size()
	if !(size.X > 0 && size.Y > 0) {
		return nil, fmt.Errorf("the places that the tip of %.3f mm has on the stock lie in one line", t.Diameter)
	}
	nx, ny := gridSteps(size.X, spacing), gridSteps(size.Y, spacing)
	if nx > maxProbes || ny > maxProbes {
		return nil, fmt.Errorf("a grid of %d by %d places: take a wider spacing", nx+1, ny+1)
	}
	var points []geom.Point
	for j := range ny + 1 {
		for k := range nx + 1 {
			i := k
			if j%2 == 1 {
				i = nx - k
			}
			q := geom.Pt(b.Min.X+size.X*float64(i)/float64(nx), b.Min.Y+size.Y*float64(j)/float64(ny))
			if in.Contains(q) != geom.Inside || in.BoundaryDistance(q) < reserve-zoneMargin || len(out) > 0 && out.Contains(q) != geom.Outside {
				continue
			}
			points = append(points, q)
		}
	}
	switch {
	case len(points) > maxProbes:
		return nil, fmt.Errorf("a grid with %d places to probe, at most %d are taken: take a wider spacing", len(points), maxProbes)
	case len(points) < leastProbes:
		return nil, fmt.Errorf("edges and zones leave %d places of the grid, a surface needs %d: take a narrower spacing", len(points), leastProbes)
	case inLine(points):
		return nil, fmt.Errorf("edges and zones leave %d places in one line, which tells no tilt across it: take a narrower spacing", len(points))
	}
	return points, nil
}

// gridSteps returns how many steps of at most spacing make a length, one at least.
func gridSteps(length, spacing float64) int {
	n := math.Ceil(length/spacing - levelSlack)
	return int(math.Max(1, math.Min(n, maxProbes+1)))
}

func inLine(points []geom.Point) bool {
	a, far := points[0], points[0]
	for _, q := range points {
		if q.Dist(a) > far.Dist(a) {
			far = q
		}
	}
	for _, q := range points {
		if math.Abs(far.Sub(a).Cross(q.Sub(a))) > cutTol*far.Dist(a) {
			return false
		}
	}
	return true
}
