package paths

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Face takes the whole face of the stock down to Bottom in straight passes. Each
// starts and ends beside the stock, so the tool never plunges.
type Face struct {
	Op
	StepOver float64 // of the tool's diameter, between 0 and 1; 0: FaceStep
	Along    float64 // direction of the passes from X, radians
}

// FaceStep is the step between passes of a face where none is named, as a part
// of the tool's diameter (common practice, no source).
const FaceStep = 0.7

// faceBeside is how far beyond the tool's radius a pass starts beside the stock,
// in mm.
const faceBeside = 1.0

// maxFacePasses bounds the passes of one depth: more means a mistaken unit.
const maxFacePasses = 5000

// Plan works the operation out.
func (f Face) Plan(s *setup.Setup) (Plan, error) {
	p := Plan{Op: f.Op}
	if err := f.validate(s); err != nil {
		return p, err
	}
	over := f.StepOver
	if over == 0 {
		over = FaceStep
	}
	switch {
	case !(over > 0 && over < 1):
		return p, f.errorf("the step-over has to lie between 0 and 1, it is %g", over)
	case !finite(f.Along):
		return p, f.errorf("the direction of the passes is not an ordinary number")
	case f.Tool.Shape != setup.Flat:
		return p, f.errorf("tool %d has no flat end to face with", f.Tool.Number)
	case len(s.Stock.Outline) == 0:
		return p, f.errorf("the stock has no outline")
	}
	lines, err := f.passes(s, over*f.Tool.Diameter)
	if err != nil {
		return p, err
	}
	zones, err := newKeepOuts(s, f.Tool)
	if err != nil {
		return p, f.errorf("%w", err)
	}
	c, err := f.keepClear(zones, lines)
	if err != nil {
		return p, err
	}
	if p.Findings = c.findings; c.cut {
		return p, f.errorf("a zone stands in the way of the face and a pass that ends there would be entered by a plunge: clamp from beside or below, or leave the face as it is")
	}
	way := joinedPasses(lines)
	for _, z := range f.levels() {
		cut := Cut{Start: way[0].A.At(z)}
		for _, g := range way {
			cut.Moves = append(cut.Moves, Move{To: g.B.At(z), Feed: f.Feed})
		}
		p.Cuts = append(p.Cuts, cut)
	}
	p.Features, err = faced(s, f.Op, way)
	return p, err
}

// passes returns the lines of the tool's axis, to and fro, from one side of the
// stock to the other. They reach over it by the tool's radius and a little.
func (f Face) passes(s *setup.Setup, step float64) ([]geom.Path, error) {
	turn := geom.Rotate(-f.Along)
	box := s.Stock.Outline.Transform(turn).Bounds()
	r := f.Tool.Diameter / 2
	height := box.Size().Y
	// The first and the last pass overlap the edge by as much as their neighbours
	// overlap each other.
	n := max(1, int(math.Ceil(height/step-levelSlack)))
	if n > maxFacePasses {
		return nil, f.errorf("a face of %.3f mm in steps of %.3f mm makes more than %d passes", height, step, maxFacePasses)
	}
	gap := height / float64(n)
	lo, hi := box.Min.X-r-faceBeside, box.Max.X+r+faceBeside
	var out []geom.Path
	for i := range n {
		y := box.Min.Y + (float64(i)+0.5)*gap
		a, b := geom.Pt(lo, y), geom.Pt(hi, y)
		if i%2 == 1 {
			a, b = b, a
		}
		back := turn.Inverse()
		out = append(out, geom.Polyline(back.Apply(a), back.Apply(b)))
	}
	return out, nil
}

// joinedPasses returns the passes as one way: from the end of each to the start of
// the next it goes beside the stock.
func joinedPasses(lines []geom.Path) geom.Path {
	way := geom.Path{lines[0][0]}
	for _, l := range lines[1:] {
		way = append(way, geom.Line(way[len(way)-1].B, l.Start()), l[0])
	}
	return way
}

// faced describes a face: all of the stock's outline, and what the tool
// sweeps beside it.
func faced(s *setup.Setup, o Op, way geom.Path) ([]setup.Feature, error) {
	f := o.feature(s)
	fail := func(err error) ([]setup.Feature, error) { return nil, fmt.Errorf("%s: feature: %w", o.label(), err) }
	f.Must = s.Stock.Outline
	swept, err := geom.OffsetPath([]geom.Path{way}, o.Tool.Diameter/2+f.Tol, geom.OffsetOptions{})
	if err != nil {
		return fail(err)
	}
	if f.May, err = geom.Union(s.Stock.Outline, swept); err != nil {
		return fail(err)
	}
	return []setup.Feature{f}, nil
}
