package proof

import (
	"bytes"
	"context"
	"fmt"
	"math"

	"proofcut/gcode"
	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// A probing program cuts nothing and has rules of its own: the spindle stands,
// nothing but a probing move goes where the face may be, no probing move goes
// deeper than the face may lie, and every touch is kept. Where a probing move
// ends no text tells; the proof takes it to go all the way down, and since it
// may only be left straight up, whatever the probe meets in between is part of
// what was looked at.

// ProbingRules returns the rules for a set-up with a Probing, in the order in
// which they are applied.
func ProbingRules() []Rule {
	return []Rule{
		ruleLanguage, ruleWords, ruleInherited, ruleFrame, ruleStart, ruleTool, ruleLength, ruleNoLength,
		ruleStill, ruleFeedSet, ruleFeedLimit, ruleEnvelope, ruleTravel, ruleTravelHeight, ruleZone,
		ruleProbeHeight, ruleProbeWay, ruleProbePlace, ruleProbeKept, ruleShort, ruleEnd,
	}
}

var ruleStill = Rule{
	Name:     "probe-spindle",
	Severity: Fault,
	Reason:   "A probe in a turning spindle tears its cable and its stylus, and coolant drips falsify what it touches.",
	watch:    func() watcher { return &stillWatch{} },
}

type stillWatch struct {
	noEnd
	said bool
}

func (w *stillWatch) see(c *checker, e *interp.Event, _ *motion) {
	s := e.State
	on := s.SpindleTurn != geom.Straight || s.Mist || s.Flood
	if on && !w.said {
		c.find(nil, "the spindle turns or coolant runs in a probing program: remove M3, M4, M7 and M8")
	}
	w.said = on
}

var ruleProbeHeight = Rule{
	Name:     "probe-height",
	Severity: Fault,
	Reason:   "Below the height where the face may be only a probing move stops at a touch; any other breaks the stylus.",
	watch:    func() watcher { return &probeHeightWatch{} },
}

type probeHeightWatch struct{ noEnd }

func (w *probeHeightWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || e.Kind == interp.Probe || !m.known() || m.up() {
		return
	}
	if least := c.s.Stock.Top + c.s.Probing.Within; m.box.Min.Z < least-roundTol {
		c.find(&m.to, "a move that does not probe goes to Z%s, the face may reach up to Z%s: stay above, and leave a touched place straight up", c.mm(m.box.Min.Z), c.mm(least))
	}
}

var ruleProbeWay = Rule{
	Name:     "probe-way",
	Severity: Fault,
	Reason:   "A probing move has to come from free air, go straight down at a slow feed and end before the stylus is pressed into what is not there.",
	watch:    func() watcher { return &probeWayWatch{} },
}

type probeWayWatch struct{ noEnd }

func (w *probeWayWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || e.Kind != interp.Probe {
		return
	}
	p, top := c.s.Probing, c.s.Stock.Top
	switch {
	case !m.known():
		c.find(&m.to, "a probing move from a place that is not known: go there first")
	case m.from.XY() != m.to.XY() || m.to.Z >= m.from.Z:
		c.find(&m.to, "a probing move does not go straight down: give Z alone")
	case m.from.Z < top+p.Within-roundTol:
		c.find(&m.from, "a probing move begins at Z%s, where the face may be already: begin at Z%s or above", c.mm(m.from.Z), c.mm(top+p.Within))
	case m.to.Z < top-p.Within-roundTol:
		c.find(&m.to, "a probing move goes down to Z%s, %s deeper than the face may lie: end at Z%s", c.mm(m.to.Z), c.mm(top-p.Within-m.to.Z), c.mm(top-p.Within))
	case m.feed(e.State) > p.Feed*(1+rateTol):
		c.find(&m.to, "the probe runs at %.6g mm/min, %.6g are allowed: lower F", m.feed(e.State), p.Feed)
	}
}

var ruleProbePlace = Rule{
	Name:     "probe-place",
	Severity: Fault,
	Reason:   "At an edge or a hole the stylus slips off or dives in; what it touches there is not the face.",
	watch:    func() watcher { return &probePlaceWatch{} },
}

type probePlaceWatch struct{ noEnd }

func (w *probePlaceWatch) see(c *checker, e *interp.Event, m *motion) {
	if m == nil || e.Kind != interp.Probe || !m.known() {
		return
	}
	at := m.to.XY()
	need := m.tool.tool.Diameter/2 + c.s.Probing.Edge
	if c.stock.index.Contains(at) != geom.Inside {
		c.find(&m.to, "the probe comes down beside the stock at X%s Y%s: move it inward", c.mm(at.X), c.mm(at.Y))
	} else if d := c.stock.index.BoundaryDistance(geom.Line(at, at)); d < need-clearTol {
		c.find(&m.to, "the probe comes down %s from an edge of the stock, the tip needs %s: move it inward", c.mm(d), c.mm(need))
	}
}

var ruleProbeKept = Rule{
	Name:     "probe-kept",
	Severity: Fault,
	Reason:   "A touch that is not kept is lost, and one that is kept for another place tilts the surface.",
	watch:    func() watcher { return &probeKeptWatch{} },
}

// placeTol is how near a probed place has to be to the one of the set-up: a step
// of the coarsest program in each axis.
const placeTol = 0.003

// probeKeptWatch holds the touches against the places of the set-up; whether
// parameters keep them is seen by CheckProbing from a run against a surface.
type probeKeptWatch struct {
	n    int
	stop bool // the touch before has been stopped at
}

func (w *probeKeptWatch) see(c *checker, e *interp.Event, m *motion) {
	p := c.s.Probing
	switch {
	case e.Kind == interp.Stop && e.Code == 0:
		w.stop = true
	case m == nil:
	case e.Kind == interp.Probe:
		if w.n < len(p.Points) && m.to.XY().Dist(p.Points[w.n]) > placeTol {
			q := p.Points[w.n]
			c.find(&m.to, "touch %d is at X%s Y%s, it should be at X%s Y%s: its row of the table would be that of another place",
				w.n+1, c.mm(m.to.X), c.mm(m.to.Y), c.mm(q.X), c.mm(q.Y))
		}
		if w.n == len(p.Points) {
			c.find(&m.to, "more touches than the %d places of the set-up: the table has no row for it", len(p.Points))
		}
		w.n++
		w.stop = false
	case w.n > 0 && !w.stop && p.Log == setup.LogStop:
		c.find(&m.from, "the program leaves touch %d without a stop: put M0 after G38.2", w.n)
		w.stop = true
	}
}

func (w *probeKeptWatch) end(c *checker) {
	if n := len(c.s.Probing.Points); w.n < n {
		c.findEnd(0, 0, nil, "%d of %d places are not touched", n-w.n, n)
	}
}

// deepest lets every probing move go all the way: the worst that can happen.
func deepest(_, to geom.Point3) (geom.Point3, bool) { return to, true }

// CheckProbing is Check for a probing program, with a look at what it keeps: the
// program is run once more against a surface that has another height at every
// place, and what the set-up says each place is read from has to be just that.
func CheckProbing(ctx context.Context, s *setup.Setup, name string, text []byte, o Options) (*Record, error) {
	if s == nil || s.Probing == nil {
		return nil, fmt.Errorf("the set-up does not say how to probe")
	}
	rec, err := Check(ctx, s, name, bytes.NewReader(text), o)
	if err != nil || !rec.Proven || s.Probing.Log != setup.LogParameters {
		return rec, err
	}
	n := float64(len(s.Probing.Points))
	height := func(p geom.Point) float64 {
		// Any height that tells the places apart will do.
		best, at := math.Inf(1), 0
		for i, q := range s.Probing.Points {
			if d := q.Dist(p); d < best {
				best, at = d, i
			}
		}
		return s.Stock.Top + s.Probing.Within*(float64(at)+0.5-n/2)/n
	}
	got, err := Probed(s, name, text, height)
	wrong := ""
	if err != nil {
		wrong = err.Error()
	}
	for i := range got {
		q := s.Probing.Points[i]
		if got[i].XY().Dist(q) > placeTol || math.Abs(got[i].Z-height(q)) > geom.Tol {
			wrong = fmt.Sprintf("the parameters from %d do not keep touch %d", s.Probing.First+3*i, i+1)
			break
		}
	}
	if wrong != "" {
		rec.Proven = false
		rec.Findings = append(rec.Findings, Finding{Severity: Fault, Rule: ruleProbeKept.Name, Text: wrong})
	}
	return rec, nil
}

// Probed runs a probing program against a surface and returns what its parameters
// keep in the end: a place for each of the set-up's, in mm. The probe trips where
// its tip meets the surface. The error is that of the text, and one where the
// probe meets nothing.
func Probed(s *setup.Setup, name string, text []byte, height func(geom.Point) float64) ([]geom.Point3, error) {
	c := &checker{s: s, tools: map[int]*assembly{}}
	for _, t := range s.Tools {
		c.tools[t.Number] = newAssembly(t)
	}
	o := c.interpOptions()
	o.Surface = func(from, to geom.Point3) (geom.Point3, bool) {
		z := height(to.XY())
		return to.XY().At(z), z <= from.Z && z >= to.Z
	}
	reader := gcode.NewReader(bytes.NewReader(text), o.ReadOptions(name))
	final, err := interp.Run(reader, o, func(*interp.Event) error { return nil })
	if err != nil {
		return nil, err
	}
	var out []geom.Point3
	for i := range s.Probing.Points {
		at := func(k int) float64 { return final.Parameters[s.Probing.First+3*i+k] * s.Unit.MM() }
		out = append(out, geom.Pt3(at(0), at(1), at(2)))
	}
	return out, nil
}
