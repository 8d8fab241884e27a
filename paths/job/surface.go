package job

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"path/filepath"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
	"proofcut/paths/slab"
)

// defaultFaceLimit is how far in mm a probed point may lie from the surface that
// stands for the face: with a tenth of a millimetre of depth more than half of an
// engraving would be left (common practice, no source).
const defaultFaceLimit = 0.05

// face is the surface of the stock as the document gives it, before it is known
// where the slab lies.
type face struct {
	surface setup.Surface
	setup.Face
	least  float64 // of the probed heights
	most   float64
	points []geom.Point3
	place  node
}

// surface reads the probed face of the stock.
func (r *reader) surface(n node) *face {
	m := r.mapping(n, "stock: surface")
	if m == nil {
		return nil
	}
	defer m.done()
	before := len(r.errs)
	f := &face{place: n, least: math.Inf(1), most: math.Inf(-1)}
	f.Fit = m.choice("fit", "", "plane", "mesh")
	f.Limit = m.above("limit", m.lengthOr("limit", defaultFaceLimit), 0)
	f.Parallel = m.choice("underside", "", "flat", "parallel") == "parallel"
	name, ok := m.need("file", "slab-probe.csv")
	if !ok {
		return nil
	}
	points, ok := r.probed(name)
	if !ok || len(r.errs) > before {
		return nil
	}
	plane, flat, err := slab.FitPlane(points, 0)
	if err != nil {
		r.fail(name, "stock: surface: %v", err)
		return nil
	}
	f.surface = plane
	if f.Fit == "mesh" {
		if f.surface, flat, err = slab.FitMesh(points); err != nil {
			r.fail(name, "stock: surface: %v", err)
			return nil
		}
	}
	f.points, f.Surface, f.Probed = points, f.surface, len(points)
	f.Tilt, f.Towards, f.Bow = plane.Tilt(), plane.Direction(), slab.Deviation(plane, points).Bow
	f.Worst = math.Abs(flat.Residuals[flat.Worst])
	for _, p := range points {
		f.least, f.most = math.Min(f.least, p.Z), math.Max(f.most, p.Z)
	}
	if f.Worst > f.Limit {
		hint := "probe there again"
		if f.Fit == "plane" {
			hint += ", or use 'fit: mesh'"
		}
		p := points[flat.Worst]
		r.fail(n, "stock: surface: point %d at (%.3f, %.3f) lies %.3f mm from the %s, over the limit of %g mm: %s", flat.Worst+1, p.X, p.Y, f.Worst, f.Fit, f.Limit, hint)
		return nil
	}
	return f
}

// probed reads a table of probed points in the unit of the job.
func (r *reader) probed(n node) ([]geom.Point3, bool) {
	name, ok := r.scalar(n, "stock: surface: file")
	if !ok {
		return nil, false
	}
	path := name
	if !filepath.IsAbs(path) {
		path = filepath.Join(r.dir, name)
	}
	data, err := readLimited(path, maxTableBytes)
	if err != nil {
		r.fail(n, "stock: surface: %s", reason(name, err))
		return nil, false
	}
	points, err := slab.ReadProbe(bytes.NewReader(data), r.unit)
	if err == nil {
		return points, true
	}
	var e *slab.TableError
	if errors.As(err, &e) {
		r.errs = append(r.errs, &Error{File: name, Line: e.Line, Col: e.Col, Msg: e.Msg})
	} else {
		r.fail(n, "stock: surface: %v", err)
	}
	return nil, false
}

// lay puts the probed face onto the stock where it lies on the machine. From
// then on the stock's top is the highest place of its face, so that what is
// measured from the top keeps clear of all of it.
func (r *reader) lay(f *face, j *Job, lies *registration) {
	s := &j.Stock
	outline := s.Outline
	if lies != nil {
		outline = outline.Transform(lies.fit.Map)
	}
	if len(outline) == 0 {
		return // its errors are noted
	}
	j.nominal = *s
	// The true face may lie above the fitted one by as much as a point was found off it.
	f.Surface = setup.Raised{Surface: f.surface, By: f.Worst}
	f.Lowest, f.Highest = f.Range(outline.Bounds())
	top := math.Max(f.Highest, f.most)
	bottom := s.Bottom()
	if !f.Parallel {
		if least := f.Lowest - 2*f.Worst; least <= bottom {
			r.fail(f.place, "stock: surface: the face goes down to z %.3f mm and the stock's lower face is at %.3f mm", least, bottom)
			return
		}
	}
	if far := math.Max(math.Abs(top-s.Top), math.Abs(f.Lowest-s.Top)); far > s.Thickness {
		r.fail(f.place, "stock: surface: the face lies up to %.3f mm from the stock's top (z %g mm), more than it is thick: check the zero that it was probed from", far, s.Top)
		return
	}
	s.Top = top
	if !f.Parallel {
		s.Thickness = top - bottom
	}
	face := f.Face
	s.Face = &face
}

// raise lifts the tops of zones that belong to the slab by as much as the face
// under them lies above the stock's nominal top, never down.
func (j *Job) raise() {
	if j.Stock.Face == nil {
		return
	}
	j.Zones = append([]setup.Zone(nil), j.Zones...)
	for i := range j.Zones {
		z := &j.Zones[i]
		if _, hi := j.Stock.Face.Range(z.Area.Bounds()); !z.Fixed {
			z.Top += math.Max(0, hi-j.nominal.Top)
		}
	}
}

// lowest returns the height of the deepest place of an operation's cut.
func (c *Common) lowest(s setup.Stock) float64 {
	if !c.Follows || s.Face == nil {
		return c.Floor
	}
	return c.Floor + s.Face.Lowest - s.Top
}

// report says in lines how the face lies.
func (j *Job) faceReport() []string {
	f := j.Stock.Face
	if f == nil {
		return nil
	}
	under := "lies flat, so that its thickness varies"
	if f.Parallel {
		under = fmt.Sprintf("follows the face at %g mm", j.Stock.Thickness)
	}
	out := []string{fmt.Sprintf("face probed at %d points: z %.3f to %.3f mm over the stock, tilt %.3f deg rising towards %.0f deg, bow %.3f mm; the lower face %s",
		f.Probed, f.Lowest-f.Worst, f.Highest-f.Worst, f.Tilt*180/math.Pi, math.Mod(f.Towards*180/math.Pi+360, 360), f.Bow, under)}
	out = append(out, fmt.Sprintf("a %s stands for it, the farthest point lies %.3f mm from it, limit %g mm", f.Fit, f.Worst, f.Limit))
	if beyond := j.unprobed(); beyond > 0 {
		out = append(out, fmt.Sprintf("the stock reaches up to %.1f mm beyond the probed points; what the face does there is taken from its nearest places", beyond))
	}
	return out
}

// unprobed returns how far the stock reaches beyond the box of the probed points.
func (j *Job) unprobed() float64 {
	probed, stock := geom.EmptyBox(), j.Stock.Outline.Bounds()
	for _, p := range j.probed {
		probed = probed.Union(geom.Box{Min: p.XY(), Max: p.XY()})
	}
	return math.Max(
		math.Max(probed.Min.X-stock.Min.X, stock.Max.X-probed.Max.X),
		math.Max(probed.Min.Y-stock.Min.Y, stock.Max.Y-probed.Max.Y))
}

// leaves returns the height, as under the highest place of the face, at which
// nothing below is cut anywhere: what it leaves above the lower face stays.
func (c *Common) leaves(s setup.Stock) float64 {
	if s.Face != nil && s.Face.Parallel {
		return c.Floor
	}
	return c.lowest(s)
}

// plateFace returns the height of the plate's upper face, as the document gives it
// also for a stock that is bent.
func (j *Job) plateFace() float64 {
	if j.Stock.Face != nil {
		return j.nominal.Bottom()
	}
	return j.Stock.Bottom()
}
