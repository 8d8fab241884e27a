package proof

import (
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

var rulePartSize = Rule{
	Name:     "part-size",
	Severity: Fault,
	Reason:   "A disc that comes out too small is scrap, one that is not cut all round does not come out.",
	watch:    func() watcher { return &partWatch{} },
}

const (
	// ringBins is how finely the angle round a part is kept: a quarter degree,
	// 0.03 mm on a half inch disc.
	ringBins = 1440
	// ringStep is the share of a bin in which motions that are not concentric
	// with the part are sampled.
	ringStep = 0.25
	// nearMiss is how far off a disc a cut is still named in a finding, mm.
	nearMiss = 1.0
)

// disc follows the cut round one part.
type disc struct {
	part  *setup.Part
	tol   float64
	ring  []bool  // features that go round the part and not into it, by number
	low   float64 // the ring's lowest floor
	least float64 // nearest that an edge of a sweep came to the centre
	miss  float64 // the same from the disc's edge, also of cuts that count no more
	reach [ringBins]bool
	block int
	line  int
	cut   bool
}

type partWatch struct{ discs []*disc }

func (w *partWatch) see(c *checker, e *interp.Event, m *motion) {
	if w.discs == nil {
		w.discs = newDiscs(c)
	}
	if m == nil || m.rapid || !m.known() || !m.tool.known || m.box.Min.Z >= c.s.Stock.Top-roundTol {
		return
	}
	r := m.tool.reach(c.s.Stock.Top - m.box.Min.Z)
	box := m.box.XY()
	for _, d := range w.discs {
		// Only a cut beside the disc's edge concerns its size.
		far := d.part.Diameter/2 + d.tol + r + nearMiss
		if box.Distance(geom.Box{Min: d.part.At, Max: d.part.At}) > far {
			continue
		}
		c.legal(m)
		if f := c.covered; f != nil && !d.ring[f.number] && len(f.Around) == 0 {
			continue
		}
		d.follow(m, r, e)
	}
}

func newDiscs(c *checker) []*disc {
	discs := []*disc{}
	for i := range c.s.Parts {
		p := &c.s.Parts[i]
		if p.Diameter <= 0 {
			continue
		}
		d := &disc{part: p, least: math.Inf(1), miss: math.Inf(1), tol: roundTol, low: math.Inf(1), ring: make([]bool, len(c.ground.features))}
		for _, f := range c.ground.features {
			if f.may == nil || f.may.index.Contains(p.At) != geom.Outside || !f.box.Contains(p.At) {
				continue
			}
			d.ring[f.number] = true
			gap := f.may.index.Distance(geom.Line(p.At, p.At)) - p.Diameter/2
			if math.Abs(gap) <= f.tolerance() {
				d.tol = math.Max(d.tol, f.tolerance())
				d.low = math.Min(d.low, f.Floor)
			}
		}
		discs = append(discs, d)
	}
	return discs
}

// follow measures the motion of a tool of radius r at the stock's surface.
func (d *disc) follow(m *motion, r float64, e *interp.Event) {
	p := m.piece(0, 1)
	near := p.seg.Distance(d.part.At) - p.pad - r
	limit := d.part.Diameter/2 + d.tol
	d.miss = math.Min(d.miss, near-d.part.Diameter/2)
	if near > limit {
		return
	}
	d.cut = true
	if near < d.least {
		d.least, d.block, d.line = near, e.Block, e.Pos.Line
	}
	n := 1
	if m.length > 0 {
		// The angle at the centre turns no faster than length over distance.
		turn := m.length / math.Max(near+r, d.part.Diameter/4)
		n = int(math.Min(4*ringBins, math.Ceil(turn/(2*math.Pi)*ringBins/ringStep)))
		n = max(n, 1)
	}
	for i := 0; i <= n; i++ {
		q := m.at(float64(i) / float64(n)).XY().Sub(d.part.At)
		if q.Len()-r <= limit {
			bin := int((q.Angle() + math.Pi) / (2 * math.Pi) * ringBins)
			d.reach[min(max(bin, 0), ringBins-1)] = true
		}
	}
}

func (w *partWatch) end(c *checker) {
	if w.discs == nil {
		w.discs = newDiscs(c)
	}
	next := 0
	for i := range c.s.Parts {
		p := &c.s.Parts[i]
		rec := Part{Name: p.Name, X: round(p.At.X), Y: round(p.At.Y)}
		if p.Diameter <= 0 {
			if b := p.Outline.Bounds(); !b.Empty() {
				size := b.Size()
				rec.Size = &[2]float64{round(size.X), round(size.Y)}
			}
			c.rec.Parts = append(c.rec.Parts, rec)
			continue
		}
		d := w.discs[next]
		next++
		d.report(c, &rec)
		c.rec.Parts = append(c.rec.Parts, rec)
	}
}

func (d *disc) report(c *checker, rec *Part) {
	p := d.part
	rec.Nominal = round(p.Diameter)
	open := 0
	for _, r := range d.reach {
		if !r {
			open++
		}
	}
	rec.Open = round(360 * float64(open) / ringBins)
	at := p.At.At(c.s.Stock.Top)
	if !d.cut {
		if math.IsInf(d.miss, 1) {
			c.findEnd(0, 0, &at, "no cut goes round part %q: nothing comes near its diameter of %s; cut round it", p.Name, c.mm(p.Diameter))
		} else {
			c.findEnd(0, 0, &at, "no cut goes round part %q: the nearest stands %s off its diameter of %s, %s is allowed; move it inward",
				p.Name, c.mm(d.miss), c.mm(p.Diameter), c.mm(d.tol))
		}
		return
	}
	rec.Diameter = round(2 * math.Max(0, d.least))
	rec.Finish = finish(p, 2*d.least)
	switch {
	case 2*d.least < p.Diameter-2*d.tol:
		c.findEnd(d.block, d.line, &at, "part %q is cut to a diameter of %s, it needs %s with %s allowed: move the cut outward",
			p.Name, c.mm(math.Max(0, 2*d.least)), c.mm(p.Diameter), c.mm(2*d.tol))
	case p.FinishedMax > 0 && 2*d.least <= p.FinishedMax:
		c.findEnd(d.block, d.line, &at, "part %q is cut to a diameter of %s, its greatest finished limit is %s and nothing is left to turn: move the cut outward",
			p.Name, c.mm(2*d.least), c.mm(p.FinishedMax))
	case open > 0:
		c.findEnd(d.block, d.line, &at, "part %q is not cut to its diameter of %s on %.3g degrees of its edge: close the cut",
			p.Name, c.mm(p.Diameter), rec.Open)
	}
}

// finish returns what the lathe has to do to a disc of this diameter; nil when the
// set-up names no finished size.
func finish(p *setup.Part, diameter float64) *Finish {
	if p.Finished <= 0 {
		return nil
	}
	f := &Finish{Diameter: round(p.Finished), TurnOff: round((diameter - p.Finished) / 2)}
	if p.FinishedMax > 0 {
		f.Limits = &[2]float64{round(p.FinishedMin), round(p.FinishedMax)}
	}
	return f
}

var ruleSkin = Rule{
	Name:     "skin",
	Severity: Fault,
	Reason:   "The skin under a cut holds the part; a thinner one lets it go while the tool is still in the cut.",
	watch:    func() watcher { return &skinWatch{} },
}

type skinWatch struct {
	noEnd
	index []*plan
}

func (w *skinWatch) see(c *checker, _ *interp.Event, m *motion) {
	if m == nil || !m.known() || !m.tool.known || m.rapid {
		return
	}
	if w.index == nil {
		w.index = make([]*plan, len(c.s.Parts))
		for i := range c.s.Parts {
			if p := &c.s.Parts[i]; p.Skin > 0 && len(p.Outline) > 0 {
				w.index[i] = newPlan(p.Outline)
			}
		}
	}
	for i := range c.s.Parts {
		p := &c.s.Parts[i]
		floor := c.s.Stock.Bottom() + p.Skin
		if p.Skin <= 0 || m.box.Min.Z >= floor-roundTol || c.lowest(m) >= floor-roundTol {
			continue
		}
		r := m.tool.reach(c.s.Stock.Top - m.box.Min.Z)
		near := math.Inf(1)
		switch pc := m.piece(0, 1); {
		case w.index[i] != nil:
			if w.index[i].box.Distance(m.box.XY()) <= r+skinReach {
				near = w.index[i].distance(pc)
			}
		case p.Diameter > 0:
			near = pc.seg.Distance(p.At) - p.Diameter/2 - pc.pad
		}
		// A tool whose axis is over the part makes a hole in it, not the cut round it.
		if near > geom.Tol && near <= r+skinReach {
			c.find(&m.to, "the tip goes to Z%s beside part %q, where a skin of %s has to stay above Z%s: raise the cut by %s",
				c.mm(m.box.Min.Z), p.Name, c.mm(p.Skin), c.mm(c.s.Stock.Bottom()-c.lowest(m)+m.box.Min.Z), c.mm(floor-c.lowest(m)))
			return
		}
	}
}

// skinReach is how near to a part a cut has to come to count as its own.
const skinReach = 0.05
