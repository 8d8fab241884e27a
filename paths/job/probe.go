package job

import (
	"errors"
	"fmt"
	"io"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Probe asks for a program that probes the face of the stock.
type Probe struct {
	Stylus  setup.Tool    // a ball as wide as the tip
	Spacing float64       // of the grid, at most
	Setup   setup.Probing // without its points

	place *Error
}

// Defaults of a probe. A touch probe at 60 mm/min overruns its trip by what the
// control takes to stop, a few micrometres; the parameters from 1001 are in the
// middle of the free range (both common practice, no source).
const (
	defaultProbeFeed  = 60
	defaultProbeFirst = 1001
)

// probe reads how to probe the face of the stock.
func (r *reader) probe(n node, j *Job) *Probe {
	m := r.mapping(n, "probe")
	if m == nil {
		return nil
	}
	defer m.done()
	before := len(r.errs)
	v := &Probe{place: r.at(n)}
	t := &v.Stylus
	t.Shape, t.Flutes, t.CentreCuts = setup.Ball, 1, true
	if j.Machine.ToolChange == setup.NoToolChange {
		t.Number = m.whole("number", "", ptr(1), 1, maxToolNumber)
	} else if t.Number = m.whole("number", "9", nil, 1, maxToolNumber); j.tool(t.Number) != nil {
		r.fail(m.at("number"), "probe: number %d is that of a cutter: the machine would take it in place of the probe", t.Number)
	}
	t.Name = m.textOr("name", "touch probe")
	t.Diameter = m.positive("tip", "2mm")
	t.FluteLength = t.Diameter
	t.Shank = m.positive("stem", "1.2mm")
	t.StickOut = m.positive("length", "20mm")
	if b, ok := m.get("body"); ok {
		t.Holder = r.holder(b, t.StickOut)
	}
	v.Spacing = m.positive("spacing", "6mm")
	s := &v.Setup
	s.Edge = m.atLeast("edge", m.length("edge", "1mm"), 0)
	s.Within = m.positive("within", "1mm")
	feed := float64(defaultProbeFeed)
	s.Feed = m.above("feed", m.quantity("feed", "", &feed, r.parseFeed), 0)
	if s.Feed > j.Machine.FeedMax && j.Machine.FeedMax > 0 {
		r.fail(m.at("feed"), "probe: feed is %g mm/min, the machine's limit is %g", s.Feed, j.Machine.FeedMax)
	}
	if m.choice("log", "parameters", "parameters", "stop") == "stop" {
		s.Log = setup.LogStop
		if f, ok := m.get("first_parameter"); ok {
			r.fail(f, "probe: first_parameter is of use with 'log: parameters' only")
		}
	} else {
		s.First = m.whole("first_parameter", "", ptr(defaultProbeFirst), setup.FirstFreeParameter, setup.LastFreeParameter)
	}
	if len(r.errs) == before {
		if t.StickOut < t.FluteLength {
			r.fail(n, "probe: the length (%g mm) is less than the tip's diameter (%g mm)", t.StickOut, t.Diameter)
		} else if err := t.Validate(); err != nil {
			r.fail(n, "probe: %v", err)
		}
	}
	return v
}

// ProbeSetup returns the set-up of the job's probing program: machine, stock and
// zones of the job with the stylus as the only tool and the places to touch. The
// stock is taken as flat at its top, also where the job has a probed surface
// already. The error says why the face cannot be probed.
func (p *Planner) ProbeSetup() (*setup.Setup, error) {
	v := p.job.Probe
	if v == nil {
		return nil, &Error{File: p.job.file, Msg: "the job does not say how to probe; write for example 'probe: {tip: 2mm, stem: 1.2mm, length: 20mm, spacing: 6mm, edge: 1mm, within: 1mm}'"}
	}
	fail := func(err error) error {
		return &Error{File: v.place.File, Line: v.place.Line, Col: v.place.Col, Msg: fmt.Sprintf("probe: %v", err)}
	}
	s := p.job.bare()
	if s.Stock.Face != nil {
		outline := s.Stock.Outline
		s.Stock = p.job.nominal
		s.Stock.Outline = outline
	}
	s.Tools = []setup.Tool{v.Stylus}
	// A probing program calls nothing, and where calls are allowed a proof refuses
	// the parameters that it keeps its touches in.
	s.Machine.Practice.Subprograms = false
	probing := v.Setup
	s.Probing = &probing
	if least := s.Stock.Top + probing.Within + s.Approach; s.ClearZ < least {
		return nil, fail(fmt.Errorf("the clear height of %g mm is not above Z %g mm, where the probe starts to look for the face: raise it", s.ClearZ, least))
	}
	// The grid lies along the drawing, so that it fills a slab that was drawn
	// straight and lies turned.
	drawing := *s
	var placed geom.Similarity
	drawing.Stock.Outline, drawing.Zones, placed = p.job.drawn()
	points, err := paths.ProbeGrid(&drawing, v.Stylus, v.Spacing)
	if err != nil {
		return nil, fail(err)
	}
	for _, q := range points {
		s.Probing.Points = append(s.Probing.Points, placed.Apply(q))
	}
	if err := s.Validate(); err != nil {
		return nil, fail(err)
	}
	return s, nil
}

// ProbeColumns are the columns of the table that a probing program is read off
// into, in the unit of the program. x, y and z are what ReadProbe of
// proofcut/paths/slab takes; z_parameter is where the
// control keeps Z, 0 where the program stops for it to be read off.
const ProbeColumns = "point,x,y,z,z_parameter"

// WriteProbeTable writes the table for the places of a probing set-up, in its
// unit; z is left empty for the person at the machine.
func WriteProbeTable(w io.Writer, s *setup.Setup) error {
	if s == nil || s.Probing == nil {
		return errors.New("the set-up does not say how to probe")
	}
	unit, decimals := s.Unit.MM(), s.Unit.Decimals()
	if _, err := fmt.Fprintf(w, "# Probed face of %s, in %s. Fill in z, the height of each touch from program zero.\n%s\n", FileName(s.Name), s.Unit, ProbeColumns); err != nil {
		return err
	}
	for i, q := range s.Probing.Points {
		parameter := 0
		if s.Probing.Log == setup.LogParameters {
			parameter = s.Probing.First + 3*i + 2
		}
		if _, err := fmt.Fprintf(w, "%d,%.*f,%.*f,,%d\n", i+1, decimals, q.X/unit, decimals, q.Y/unit, parameter); err != nil {
			return err
		}
	}
	return nil
}
