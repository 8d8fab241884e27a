package paths

import (
	"math"

	"proofcut/paths/geom"
)

const (
	// detourGap is how far beyond the places forbidden to the axis a way round
	// them keeps, in mm, and detourChord how far its corners may cut in.
	detourGap   = 0.1
	detourChord = 0.02
	// maxDetour bounds the corners that a way round is looked for among.
	maxDetour = 4000
)

// detour returns the shortest way at ClearZ from one place to another round the
// zones along straight moves, without its start, or nil when there is none. It
// is found among the corners of the forbidden places, as the shortest path in
// their visibility graph (Lozano-Perez, Wesley, An algorithm for planning
// collision-free paths among polyhedral obstacles, 1979; from memory).
func (l *linker) detour(from, to geom.Point) []geom.Point {
	out, err := forbidden(l.zones, l.s.ClearZ)
	if err != nil || len(out) == 0 {
		return nil
	}
	grown, err := geom.Offset(out, detourGap, geom.OffsetOptions{})
	if err != nil {
		return nil
	}
	nodes := []geom.Point{from, to}
	e := l.s.Machine.Envelope.XY()
	for _, c := range grown {
		for _, q := range geom.Flatten(c, detourChord) {
			if e.Contains(q) {
				nodes = append(nodes, q)
			}
		}
	}
	if len(nodes) > maxDetour {
		return nil
	}
	free := func(a, b geom.Point) bool {
		if blocker(l.zones, geom.Line(a, b), l.s.ClearZ) != nil {
			return false
		}
		return !l.s.Machine.DogLegRapids || math.Abs(a.X-b.X) <= geom.Tol || math.Abs(a.Y-b.Y) <= geom.Tol
	}
	if l.s.Machine.DogLegRapids {
		// Moves along one axis need corners on the axes of other corners.
		nodes = crossed(nodes, e)
		if len(nodes) > maxDetour {
			return nil
		}
	}
	const unknown = -1
	dist := make([]float64, len(nodes))
	prev := make([]int, len(nodes))
	done := make([]bool, len(nodes))
	for i := range dist {
		dist[i], prev[i] = math.Inf(1), unknown
	}
	dist[0] = 0
	for {
		at := unknown
		for i, d := range dist {
			if !done[i] && !math.IsInf(d, 1) && (at == unknown || d < dist[at]) {
				at = i
			}
		}
		if at == unknown {
			return nil
		}
		if at == 1 {
			break
		}
		done[at] = true
		for i, q := range nodes {
			if d := dist[at] + nodes[at].Dist(q); !done[i] && d < dist[i] && free(nodes[at], q) {
				dist[i], prev[i] = d, at
			}
		}
	}
	var way []geom.Point
	for i := 1; i != 0; i = prev[i] {
		way = append([]geom.Point{nodes[i]}, way...)
	}
	return way
}

// crossed returns the places where lines along the axes through both ends and
// the corners of the box round the others meet.
func crossed(nodes []geom.Point, envelope geom.Box) []geom.Point {
	b := geom.EmptyBox()
	for _, q := range nodes {
		b = b.AddPoint(q)
	}
	xs, ys := []float64{b.Min.X, b.Max.X}, []float64{b.Min.Y, b.Max.Y}
	step := max(1, len(nodes)/crossedLines)
	for i, q := range nodes {
		if i < 2 || i%step == 0 {
			xs, ys = append(xs, q.X), append(ys, q.Y)
		}
	}
	out := append([]geom.Point(nil), nodes[:2]...)
	for _, x := range xs {
		for _, y := range ys {
			if q := geom.Pt(x, y); envelope.Contains(q) {
				out = append(out, q)
			}
		}
	}
	return out
}

// crossedLines is how many lines along an axis a way of axis moves may use.
const crossedLines = 40
