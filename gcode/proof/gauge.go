package proof

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

const (
	// resolvedCells is how many cells a cutter's radius at its depth has to span
	// for its engagement to be measured on the map; a finer one, a point that
	// engraves, is taken to cut a slot in whatever may stand there.
	resolvedCells = 5
	// binShare and binCells set the length of path over which engagement is
	// measured: a quarter of the diameter, over which a corner builds up, and no
	// fewer cells than make the count steady.
	binShare = 0.25
	binCells = 4
	// endShare is the part of the end's area that has to meet material for a
	// descent to count as a plunge: below it, cells at the wall flicker.
	endShare = 0.05
	// rimTol covers the chord error and the rounding of places in the text: a cell
	// that near to the wall of a cut may show from one pass to the next.
	rimTol = 2 * looseXY
	// middleShare is how wide the strip about the path is, in radii to each side,
	// that tells whether teeth pass the thickest place of their chip.
	middleShare = 0.25
)

// gauge measures what the cutting end takes away along the path: for each bin of
// length the depth and the width of material that a tool meets at its front. It
// keeps a height for each cell's centre, since only points show a pass along a
// wall that is there already for what it is: nothing.
//
// A cell is met when the tool's front reaches it: one at distance y beside the
// path and x along it when the axis is at x - sqrt(r^2 - y^2). Cells under the
// tool where a piece of path begins are met by its end, which is a plunge.
type gauge struct {
	m      *material
	height []float32
	sample func(*bin, float64) // is told of every bin with a cut, and its length

	run   bool
	at    float64 // length of the run so far
	step  float64 // length of a bin
	first int     // number of bins[0]
	bins  []bin
	now   cutting
}

// cutting is what holds for all of a motion.
type cutting struct {
	load        *toolLoad
	feed, speed float64
	slope       float64 // sine of the descent
	block, line int
	place       geom.Point3 // the motion's end
	low         float64     // the lowest that the tip gets
	wall        bool        // it shapes the edge of its feature
}

// bin is a length of the path with what was met along it.
type bin struct {
	cutting
	any    bool
	depth  float64 // greatest height met, mm
	area   float64 // met by the front, seen from above
	volume float64
	middle float64 // volume near the path
	end    float64 // area met by the end
	radius float64 // of the cutter at that depth
	plunge bool
}

func newGauge(m *material, stock geom.Region) *gauge {
	g := &gauge{m: m, height: make([]float32, len(m.hi))}
	for i, b := range m.cover(stock, 0).bits { // by the cells' centres
		g.height[i] = float32(m.empty)
		if b != outside {
			g.height[i] = m.hi[i] // the face, where it was measured
		}
	}
	return g
}

// resolved reports whether the map shows how a motion's tool meets material.
func (g *gauge) resolved(m *motion) bool {
	return g.radius(&m.tool.body, m.box.Min.Z) >= resolvedCells*g.m.res
}

// radius returns the radius that a cutting end has at the stock's top when its
// tip is at height z.
func (g *gauge) radius(s *section, z float64) float64 {
	return math.Min(s.wide(), s.radiusAbove(math.Max(0, g.m.top-z)))
}

// begin prepares for a motion.
func (g *gauge) begin(m *motion, now cutting) {
	g.now = now
	step := math.Max(binShare*m.tool.tool.Diameter, binCells*g.m.res)
	if g.run && step != g.step {
		g.close()
	}
	g.run, g.step = true, step
}

// close ends a run of cuts.
func (g *gauge) close() {
	if !g.run {
		return
	}
	g.flush(g.number(g.at)+1, g.at)
	g.run, g.at, g.first, g.bins = false, 0, 0, g.bins[:0]
}

// number returns the bin in which a length of the run lies.
func (g *gauge) number(s float64) int { return int(s / g.step) }

// flush reports the bins before number n. The last bin of a run is as long as
// the run goes on in it, but no less than a half, so that a sliver at its end is
// not taken for a slot.
func (g *gauge) flush(n int, end float64) {
	k := min(max(n-g.first, 0), len(g.bins))
	for i := range k {
		b := &g.bins[i]
		if b.any {
			l := math.Min(g.step, end-float64(g.first+i)*g.step)
			g.sample(b, math.Max(l, g.step/2))
		}
	}
	g.bins = append(g.bins[:0], g.bins[k:]...)
	g.first = max(g.first, n)
}

// piece measures a piece of the motion and takes its material away.
func (g *gauge) piece(s *section, a, b geom.Point, lo float64) {
	length := a.Dist(b)
	upright := a == b
	if !upright {
		g.flush(g.number(g.at), math.Inf(1))
	}
	var down bin
	if lo < g.m.top {
		g.sweep(s, a, b, lo, length, &down)
	}
	g.at += length
	if upright && down.end > endShare*math.Pi*down.radius*down.radius {
		down.any, down.plunge, down.cutting = true, true, g.now
		g.sample(&down, 0)
	}
}

// sweep goes through the cells under a piece. What a plunge meets goes to down.
func (g *gauge) sweep(s *section, a, b geom.Point, lo, length float64, down *bin) {
	m := g.m
	r := g.radius(s, lo)
	flat := s.r0 == s.r1 && !s.ball
	st := stadium{a, b, r}
	low := float32(lo)
	var dir geom.Point
	from, to := 0, 0 // bins that the piece may touch
	if length > 0 {
		dir = b.Sub(a).Mul(1 / length)
		from, to = g.span(a, dir, length, r)
	}
	down.radius = r
	cell, end := m.res*m.res, 0
	j0, j1 := m.rows(math.Min(a.Y, b.Y)-r, math.Max(a.Y, b.Y)+r)
	for j := j0; j < j1; j++ {
		y := m.y0 + (float64(j)+0.5)*m.res
		x0, x1, ok := st.row(y)
		if !ok {
			continue
		}
		i0, i1 := m.cols(x0, x1)
		row := g.height[j*m.nx+i0 : j*m.nx+i1]
		for i, v := range row {
			if v <= low {
				continue
			}
			p := geom.Pt(m.x0+(float64(i0+i)+0.5)*m.res, y)
			over := float64(v) - lo
			if !flat {
				under := s.lower(math.Sqrt(squared(p, a, b)))
				if over <= under {
					continue
				}
				row[i] = float32(lo + under)
				if over-under <= looseZ {
					continue
				}
			} else {
				row[i] = low
			}
			q := p.Sub(a)
			if q.Dot(q) <= r*r {
				end++
				down.depth = math.Max(down.depth, over)
				continue
			}
			if over <= looseZ {
				continue
			}
			side := dir.Cross(q)
			if r-math.Abs(side) < rimTol {
				continue
			}
			k := g.bin(from, to, q.Dot(dir)-math.Sqrt(math.Max(0, r*r-side*side)))
			if k == nil {
				continue
			}
			k.any = true
			k.radius = math.Max(k.radius, r)
			k.area += cell
			k.volume += over * cell
			k.depth = math.Max(k.depth, over)
			if math.Abs(side) <= middleShare*r {
				k.middle += over * cell
			}
		}
	}
	if end == 0 {
		return
	}
	if length == 0 {
		down.end = float64(end) * cell
	} else if k := g.bin(from, to, 0); k != nil {
		k.end += float64(end) * cell
	}
}

// span makes room for the bins that a straight piece may touch on the map and
// returns their numbers.
func (g *gauge) span(a, dir geom.Point, length, r float64) (from, to int) {
	m := g.m
	x1, y1 := m.x0+float64(m.nx)*m.res, m.y0+float64(m.ny)*m.res
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range [4]geom.Point{{X: m.x0, Y: m.y0}, {X: x1, Y: m.y0}, {X: m.x0, Y: y1}, {X: x1, Y: y1}} {
		s := c.Sub(a).Dot(dir)
		lo, hi = math.Min(lo, s), math.Max(hi, s)
	}
	lo, hi = math.Max(0, math.Min(lo-r, length)), math.Max(0, math.Min(hi, length))
	from, to = g.number(g.at+lo), g.number(g.at+hi)
	if len(g.bins) == 0 {
		g.first = from
	}
	for g.first+len(g.bins) <= to {
		g.bins = append(g.bins, bin{})
	}
	return from, to
}

// bin returns the bin of the present piece at length s along it.
func (g *gauge) bin(from, to int, s float64) *bin {
	n := min(max(g.number(g.at+math.Max(0, s)), from), to) - g.first
	if n < 0 || n >= len(g.bins) {
		return nil
	}
	b := &g.bins[n]
	if b.load == nil {
		b.cutting = g.now
		return b
	}
	b.feed = math.Max(b.feed, g.now.feed)
	b.speed = math.Min(b.speed, g.now.speed)
	b.slope = math.Max(b.slope, g.now.slope)
	b.low = math.Min(b.low, g.now.low)
	b.wall = b.wall || g.now.wall
	return b
}

// engagement returns the width of the cut and its arc on a cutter of that
// diameter for a bin of that length. Wherever the material lies across the path,
// the arc is that of the same width at one side, which is the longest; but teeth
// that pass the middle take a whole chip, as on half the diameter.
func (b *bin) engagement(t *setup.Tool, length float64) (width, arc float64) {
	d := 2 * t.CutRadius(b.depth)
	width = b.area / length
	if t.Shape == setup.Flat && b.depth > 0 {
		width = b.volume / (b.depth * length)
	}
	width = math.Min(width, d)
	if !(d > 0) {
		return 0, 0
	}
	arc = math.Acos(1 - 2*width/d)
	if b.middle > middleShare*b.radius*length*b.depth { // half of the strip at full depth
		arc = math.Max(arc, math.Pi/2)
	}
	return width, arc
}
