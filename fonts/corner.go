package fonts

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// corner is a point of a stroke as drawn: where two straight runs meet, and the
// radius of the arc that rounds them off.
type corner struct {
	at     geom.Point
	radius float64 // 0: sharp; asLarge: as large as the neighbours leave room
}

// asLarge asks for the largest radius that fits.
const asLarge = -1

// slack is how far tangent lengths may exceed an edge through rounding of
// decimal coordinates, in drawing units.
const slack = 1e-9

// rounded turns a chain of corners into lines and tangent arcs. It refuses
// corners that repeat, that do not turn, and arcs that do not fit on their
// edges.
func rounded(cs []corner, closed bool) (geom.Path, error) {
	n := len(cs)
	if n < 2 || closed && n < 3 {
		return nil, fmt.Errorf("a stroke of %d points is too short", n)
	}
	edges := n - 1
	if closed {
		edges = n
	}
	length := make([]float64, edges) // edge i runs from corner i to the next
	for i := range length {
		length[i] = cs[i].at.Dist(cs[(i+1)%n].at)
		if length[i] <= slack {
			return nil, fmt.Errorf("point %d is repeated", i+2)
		}
	}

	tangent := make([]float64, n) // from the corner to where its arc begins
	for i, c := range cs {
		if c.radius == 0 {
			continue
		}
		if !closed && (i == 0 || i == n-1) {
			return nil, fmt.Errorf("point %d is an end and cannot be rounded", i+1)
		}
		if half := halfTurn(cs, i); half <= slack || half >= math.Pi/2-slack {
			return nil, fmt.Errorf("point %d does not turn and cannot be rounded", i+1)
		} else if c.radius > 0 {
			tangent[i] = c.radius * math.Tan(half)
		}
	}
	room := func(edge, other int) float64 {
		if cs[other].radius == asLarge {
			return length[edge] / 2
		}
		return length[edge] - tangent[other]
	}
	for i, c := range cs {
		if c.radius == asLarge {
			before, after := (i+n-1)%n, (i+1)%n
			tangent[i] = math.Min(room(before, before), room(i, after))
			if tangent[i] <= slack {
				return nil, fmt.Errorf("point %d has no room to be rounded", i+1)
			}
		}
	}
	for i := range length {
		if over := tangent[i] + tangent[(i+1)%n] - length[i]; over > slack {
			return nil, fmt.Errorf("the arcs at points %d and %d overlap by %.3g", i+1, (i+1)%n+1, over)
		}
	}
	return chain(cs, tangent, closed), nil
}

// halfTurn returns half the angle by which the chain turns at corner i.
func halfTurn(cs []corner, i int) float64 {
	n := len(cs)
	in := cs[i].at.Sub(cs[(i+n-1)%n].at)
	out := cs[(i+1)%n].at.Sub(cs[i].at)
	return math.Abs(math.Atan2(in.Cross(out), in.Dot(out))) / 2
}

// chain joins the lines and arcs, leaving out lines that arcs have used up.
func chain(cs []corner, tangent []float64, closed bool) geom.Path {
	n := len(cs)
	var path geom.Path
	var pen geom.Point
	down := false
	lineTo := func(p geom.Point) {
		if down && pen.Dist(p) > slack {
			path = append(path, geom.Line(pen, p))
			pen = p
		} else if !down {
			pen, down = p, true
		}
	}
	round := func(i int) {
		at, prev, next := cs[i].at, cs[(i+n-1)%n].at, cs[(i+1)%n].at
		if tangent[i] == 0 {
			lineTo(at)
			return
		}
		u, v := at.Sub(prev).Unit(), next.Sub(at).Unit()
		r := tangent[i] / math.Tan(halfTurn(cs, i))
		turn, side := geom.CCW, 1.0
		if u.Cross(v) < 0 {
			turn, side = geom.CW, -1.0
		}
		start := at.Sub(u.Mul(tangent[i]))
		lineTo(start)
		centre := start.Add(u.Left().Mul(side * r))
		end := at.Add(v.Mul(tangent[i]))
		path = append(path, geom.Arc(pen, end, centre, turn))
		pen = end
	}
	if !closed {
		for i := range cs {
			round(i)
		}
		return path
	}
	// A closed chain begins where the first corner's arc ends.
	pen, down = cs[0].at, true
	if tangent[0] > 0 {
		pen = cs[0].at.Add(cs[1].at.Sub(cs[0].at).Unit().Mul(tangent[0]))
	}
	start := pen
	for i := 1; i <= n; i++ {
		round(i % n)
	}
	path[len(path)-1].B = start // the same point within rounding
	return path
}
