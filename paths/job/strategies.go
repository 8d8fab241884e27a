package job

import (
	"fmt"
	"path/filepath"
	"strings"

	"proofcut/fonts"
	"proofcut/paths"
	"proofcut/paths/geom"
)

// op turns what the document says into what every strategy wants.
func (w *planner) op(c *Common) paths.Op {
	o := paths.Op{
		Name: c.Name, Tool: c.Tool.Tool,
		Top: c.Surface, Bottom: c.Floor, MaxStep: c.Data.StepDown,
		Feed: c.Data.Feed, Plunge: c.Data.Plunge, Speed: c.Data.Speed, Coolant: c.Data.Coolant,
	}
	// For a set-up alone a zone in the way is the proof's to report.
	if c.Shorten || w.check {
		o.OnZone = paths.Shorten
	}
	return o
}

// add plans a strategy and keeps what came out.
func (w *planner) add(s paths.Strategy, c *Common) error {
	p, err := s.Plan(w.setup)
	if err != nil {
		return err
	}
	if c.Follows {
		if p, err = paths.Drape(w.setup, p); err != nil {
			return err
		}
	}
	for i := range p.Features {
		p.Features[i].Tol = max(p.Features[i].Tol, c.Tol)
	}
	w.plans = append(w.plans, p)
	return nil
}

func (e *Engrave) plan(w *planner) error {
	lines := e.Lines
	if lines == nil {
		var err error
		if lines, err = w.letters(e); err != nil {
			return err
		}
	}
	return w.add(paths.Engrave{Op: w.op(&e.Common), Lines: lines}, &e.Common)
}

// letters sets the text of an engraving into its rectangle. Letters of an
// outline face are engraved along their outlines.
func (w *planner) letters(e *Engrave) ([]geom.Path, error) {
	text, err := fill(e.Text, w.row)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", e.Name, err)
	}
	o := fonts.FitOptions{
		Options:   fonts.Options{Align: fonts.Centre},
		Margins:   fonts.Even(e.Margin),
		CutWidth:  2 * e.Tool.CutRadius(e.Surface-e.Floor),
		MinHeight: e.Least,
		MaxHeight: e.Most,
	}
	if e.Height > 0 {
		o.MinHeight, o.MaxHeight = e.Height, e.Height
	}
	t, err := fonts.Fit(e.face, text, e.Into, o)
	if err != nil {
		return nil, fmt.Errorf("%s: text %q: %w", e.Name, text, err)
	}
	lines := t.Strokes
	if lines == nil {
		for _, c := range t.Region {
			lines = append(lines, c.Path())
		}
	}
	placed := make([]geom.Path, len(lines))
	for i, l := range lines {
		placed[i] = l.Transform(e.placed)
	}
	return placed, nil
}

// maxFaceBytes bounds a font file; the largest in use for Latin text have a few
// megabytes.
const maxFaceBytes = 32 << 20

// face finds a built-in face by its name, or loads a font file beside the job.
func (r *reader) face(n node, name string) fonts.Face {
	ext := strings.ToLower(filepath.Ext(name))
	if ext != ".ttf" && ext != ".otf" {
		f, err := fonts.Named(name)
		if err != nil {
			r.fail(n, "%v; or the name of a .ttf or .otf file beside the job", err)
		}
		return f
	}
	path := name
	if !filepath.IsAbs(path) {
		path = filepath.Join(r.dir, name)
	}
	data, err := readLimited(path, maxFaceBytes)
	if err != nil {
		r.fail(n, "face: %s", reason(name, err))
		return nil
	}
	f, err := fonts.LoadOutline(data)
	if err != nil {
		r.fail(n, "face %q: %v", name, err)
		return nil
	}
	return f
}

func (p *Profile) plan(w *planner) error {
	shape := geom.RegionOf(p.Shape.Contour)
	if p.Part != "" {
		shape = w.outline(p.Part)
		if len(shape) == 0 {
			return fmt.Errorf("%s: no %s fits on the slab", p.Name, p.Part)
		}
		w.held(p.Part, p.leaves(w.setup.Stock), p.Bridges.Count)
	}
	var keep geom.Region
	if p.Part != "" && !p.Inside {
		var err error
		if keep, err = w.others(p.Part, shape); err != nil {
			return fmt.Errorf("%s: %w", p.Name, err)
		}
	}
	s := paths.Profile{
		Op: w.op(&p.Common), Shape: shape, Part: p.Part != "", Keep: keep,
		Allowance: p.Allowance, Conventional: p.Conventional, Ramp: p.Ramp, Lead: p.Lead,
		Bridges: paths.Bridges{Count: p.Bridges.Count, Width: p.Bridges.Width, Height: p.Bridges.Height},
	}
	if p.Inside {
		s.Side = paths.Inside
	}
	w.neighbours(p, &s)
	for _, z := range w.setup.Zones {
		if z.Top > w.setup.Stock.Top+geom.Tol { // a screw or a clamp, not a crack
			s.Held = append(s.Held, z.Area...)
		}
	}
	if b := &s.Bridges; b.Count > 0 && !p.Tool.CentreCuts {
		b.Angle = p.Ramp
	}
	return w.add(s, &p.Common)
}

func (p *Pocket) plan(w *planner) error {
	shape := geom.RegionOf(p.Shape.Contour)
	for _, i := range p.Islands {
		var err error
		if shape, err = geom.Difference(shape, geom.RegionOf(i.Contour)); err != nil {
			return fmt.Errorf("%s: island: %w", p.Name, err)
		}
	}
	return w.add(paths.Pocket{
		Op: w.op(&p.Common), Shape: shape,
		StepOver: p.StepOver, Ramp: p.Ramp, Conventional: p.Conventional,
	}, &p.Common)
}

func (s *Slot) plan(w *planner) error {
	return w.add(paths.Slot{
		Op: w.op(&s.Common), From: s.Shape.From, To: s.Shape.To, Width: s.Shape.Width,
		StepOver: s.StepOver, Ramp: s.Ramp, Conventional: s.Conventional,
	}, &s.Common)
}

func (d *Drill) plan(w *planner) error {
	o := w.op(&d.Common)
	o.Feed = d.Data.Plunge
	return w.add(paths.Drill{Op: o, At: d.At, Peck: d.Peck}, &d.Common)
}
