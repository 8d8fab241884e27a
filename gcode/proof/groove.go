package proof

import (
	"math"

	"proofcut/paths/geom"
)

// grooves remembers where the axis of a cutter too fine for the map has gone, so
// that the next pass along the same line meets what the pass before it has left
// and not the whole depth again. Each cell holds one line, the latest. A line
// beside it or across it is another one and finds the whole depth, which is too
// much rather than too little.
type grooves struct {
	grid
	cells []groove // nil until a fine cutter is used
	at    float64  // length of path so far
}

// groove is the line through a cell: its angle, from 0 to pi, its distance from
// the cell's centre, and the height of the tip on this visit and before.
type groove struct {
	angle, offset float32
	before, now   float32
	at            float64 // of the last visit, as far as the path then was; 0: none
}

const (
	// grooveTurn and grooveAside, the latter in radii, are what a pass along the
	// same line may differ by: chords of an arc turn, places are rounded.
	grooveTurn  = 0.2
	grooveAside = 0.15
	// grooveAway is how many cells of path lie between two visits of a cell; less
	// is one visit that has not left it.
	grooveAway = 6
)

// leave ends a visit of all cells.
func (g *grooves) leave() { g.at += 2 * grooveAway * g.res }

// depth returns the greatest depth that a motion's tip meets below a face at
// height top, for a cutter of radius r at that depth, and remembers its line.
func (g *grooves) depth(m *motion, top, r float64) float64 {
	if g.cells == nil {
		g.cells = make([]groove, g.nx*g.ny)
		g.at = 2 * grooveAway * g.res
	}
	n := pieces(2 * m.length / g.res)
	step := m.length / float64(n)
	most := 0.0
	for i := 0; i <= n; i++ {
		t := float64(i) / float64(n)
		if i > 0 {
			g.at += step
		}
		p, d := m.at(t), m.tangent(t)
		z := p.Z
		if m.upright() {
			z = m.box.Min.Z
		}
		l := line{at: p.XY(), angle: math.Atan2(d.Y, d.X)}
		if l.angle < 0 {
			l.angle += math.Pi
		}
		l.sin, l.cos = math.Sincos(l.angle)
		most = math.Max(most, math.Min(top, g.visit(&l, z, grooveAside*r))-z)
	}
	return most
}

// line is the direction of a pass at a place.
type line struct {
	at              geom.Point
	angle, sin, cos float64
}

// offset returns the line's distance from a point, positive to its left.
func (l *line) offset(c geom.Point) float64 { return (l.at.Y-c.Y)*l.cos - (l.at.X-c.X)*l.sin }

// cell returns the place of a point among the cells, false beside the map.
func (g *grooves) cell(p geom.Point) (x, y int, ok bool) {
	if p.X < g.x0 || p.Y < g.y0 {
		return 0, 0, false
	}
	x, y = int((p.X-g.x0)/g.res), int((p.Y-g.y0)/g.res)
	return x, y, x < g.nx && y < g.ny
}

// around calls f for the cells at and about a place: a line along the border of two
// cells is now in the one and now in the other.
func (g *grooves) around(x, y int, f func(k *groove, c geom.Point)) {
	for j := max(y-1, 0); j <= min(y+1, g.ny-1); j++ {
		for i := max(x-1, 0); i <= min(x+1, g.nx-1); i++ {
			if k := &g.cells[j*g.nx+i]; k.at > 0 {
				f(k, g.centre(i, j))
			}
		}
	}
}

// floor returns the height to which earlier passes went through a place, +Inf where
// none went.
func (g *grooves) floor(m *motion, r float64) float64 {
	low := math.Inf(1)
	x, y, ok := g.cell(m.to.XY())
	if g.cells == nil || !ok {
		return low
	}
	g.around(x, y, func(k *groove, c geom.Point) {
		l := line{at: m.to.XY(), angle: float64(k.angle)}
		l.sin, l.cos = math.Sincos(l.angle)
		if math.Abs(l.offset(c)-float64(k.offset)) <= grooveAside*r {
			low = math.Min(low, float64(min(k.before, k.now)))
		}
	})
	return low
}

// visit notes a pass at a place and returns the height of the tip in an earlier one
// along the same line, +Inf when there was none.
func (g *grooves) visit(l *line, z, aside float64) float64 {
	x, y, ok := g.cell(l.at)
	if !ok {
		return math.Inf(1)
	}
	away := grooveAway * g.res
	own := &g.cells[y*g.nx+x]
	low := own.earlier(l, g.centre(x, y), g.at, aside, away)
	if math.IsInf(low, 1) {
		g.around(x, y, func(k *groove, c geom.Point) {
			low = math.Min(low, k.earlier(l, c, g.at, aside, away))
		})
	}
	if own.at > 0 && g.at-own.at <= away && own.same(l, g.centre(x, y), aside) {
		own.now, own.at = min(own.now, float32(z)), g.at
		return low
	}
	*own = groove{angle: float32(l.angle), offset: float32(l.offset(g.centre(x, y))), before: float32(low), now: float32(z), at: g.at}
	return low
}

// same reports whether a line is the cell's.
func (k *groove) same(l *line, c geom.Point, aside float64) bool {
	turn, offset := math.Abs(l.angle-float64(k.angle)), l.offset(c)
	if turn > math.Pi/2 { // the same line, just on the other side of 0
		turn, offset = math.Pi-turn, -offset
	}
	return turn <= grooveTurn && math.Abs(offset-float64(k.offset)) <= aside
}

// earlier returns the height that earlier visits along a line have left.
func (k *groove) earlier(l *line, c geom.Point, at, aside, away float64) float64 {
	switch {
	case k.at == 0 || !k.same(l, c, aside):
		return math.Inf(1)
	case at-k.at > away:
		return float64(min(k.before, k.now))
	}
	return float64(k.before)
}
