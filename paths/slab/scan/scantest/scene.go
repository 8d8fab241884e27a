// Package scantest makes synthetic scans with known outlines, for the tests of
// package scan and the example that starts from a scan. Shapes are drawn by a
// general-purpose rasteriser (github.com/golang/freetype/raster), which knows
// nothing of how they will be found.
package scantest

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"

	"github.com/golang/freetype/raster"
	"golang.org/x/image/math/fixed"

	"proofcut/paths/geom"
)

// Layer is a shape in one colour, over the layers before it.
type Layer struct {
	Shape  []geom.Contour // filled where they wind round
	Colour color.NRGBA
	// Stripe, if positive, is the width of stripes in mm that change with the colour
	// Other along X: a laminate.
	Stripe float64
	Other  color.NRGBA
}

// Scene is what lies on the bed, and how it is seen.
type Scene struct {
	Width, Height float64 // mm
	DPI           float64
	Bed           color.NRGBA
	// Shade darkens the bed and what is on it towards the right edge by this share
	// of the light.
	Shade  float64
	Layers []Layer
	// View maps mm to pixels, Y down; nil: square-on at DPI, the lower left corner of
	// the scene at that of the picture.
	View func(geom.Point) geom.Point
	// Noise is the standard deviation of what is added to each channel, of 255.
	Noise float64
	Blur  int // times that a blur with the weights 1 2 1 is run in each axis
	Seed  uint64
	// Linear leaves the numbers proportional to light; otherwise they are encoded as
	// IEC 61966-2-1 says.
	Linear bool
}

// flatness is the chord error of arcs in mm: a hundredth of a pixel at 600 dpi.
const flatness = 0.0004

// Render returns the picture.
func (s Scene) Render() *image.NRGBA {
	w, h := int(math.Ceil(s.Width/25.4*s.DPI)), int(math.Ceil(s.Height/25.4*s.DPI))
	view := s.View
	if view == nil {
		view = func(p geom.Point) geom.Point {
			return geom.Pt(p.X/25.4*s.DPI, float64(h)-p.Y/25.4*s.DPI)
		}
	}
	light := make([][3]float64, w*h)
	bed := decode(s.Bed)
	for i := range light {
		light[i] = bed
	}
	for _, l := range s.Layers {
		s.paint(light, w, h, view, l)
	}
	for range s.Blur {
		blur(light, w, h)
	}
	rng := rand.New(rand.NewPCG(s.Seed, 1))
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i, c := range light {
		dim := 1 - s.Shade*float64(i%w)/float64(w)
		for k := range 3 {
			v := c[k] * dim
			if !s.Linear {
				v = encode(v)
			}
			if s.Noise > 0 {
				v += rng.NormFloat64() * s.Noise / 255
			}
			out.Pix[4*i+k] = uint8(math.Max(0, math.Min(255, math.Round(v*255))))
		}
		out.Pix[4*i+3] = 255
	}
	return out
}

// paint lays a layer over the light by its coverage of each pixel.
func (s Scene) paint(light [][3]float64, w, h int, view func(geom.Point) geom.Point, l Layer) {
	cover := Coverage(l.Shape, w, h, view)
	a, b := decode(l.Colour), decode(l.Other)
	for i := range light {
		f := float64(cover.Pix[i]) / 255
		if f == 0 {
			continue
		}
		c := a
		if l.Stripe > 0 && int(float64(i%w)*25.4/s.DPI/l.Stripe)%2 == 1 {
			c = b
		}
		for k := range 3 {
			light[i][k] += f * (c[k] - light[i][k])
		}
	}
}

// Coverage returns how much of each pixel shapes cover.
func Coverage(shape []geom.Contour, w, h int, view func(geom.Point) geom.Point) *image.Alpha {
	r := raster.NewRasterizer(w, h)
	r.UseNonZeroWinding = true
	for _, c := range shape {
		for i, p := range geom.Polyline(Flat(c)...) {
			if i == 0 {
				r.Start(fix(view(p.A)))
			}
			r.Add1(fix(view(p.B)))
		}
	}
	cover := image.NewAlpha(image.Rect(0, 0, w, h))
	r.Rasterize(raster.NewAlphaSrcPainter(cover))
	return cover
}

// Flat returns the points of a contour, closed, with arcs as chords and lines in
// short pieces: a view need not keep them straight.
func Flat(c geom.Contour) []geom.Point {
	var out []geom.Point
	for _, s := range c {
		n := 8
		if s.IsArc() {
			n = int(math.Ceil(math.Abs(s.Sweep()) / (2 * math.Sqrt(2*flatness/s.Radius()))))
		}
		for k := range n {
			out = append(out, s.At(float64(k)/float64(n)))
		}
	}
	return append(out, out[0])
}

func fix(p geom.Point) fixed.Point26_6 {
	return fixed.Point26_6{X: fixed.Int26_6(math.Round(p.X * 64)), Y: fixed.Int26_6(math.Round(p.Y * 64))}
}

func blur(light [][3]float64, w, h int) {
	old := append([][3]float64{}, light...)
	at := func(x, y int) [3]float64 { return old[min(max(y, 0), h-1)*w+min(max(x, 0), w-1)] }
	for y := range h {
		for x := range w {
			for k := range 3 {
				var sum float64
				for dy := -1; dy <= 1; dy++ {
					for dx := -1; dx <= 1; dx++ {
						sum += float64((2-dx*dx)*(2-dy*dy)) * at(x+dx, y+dy)[k]
					}
				}
				light[y*w+x][k] = sum / 16
			}
		}
	}
}

// The curve of IEC 61966-2-1 and back.
func decode(c color.NRGBA) [3]float64 {
	var out [3]float64
	for k, v := range [3]uint8{c.R, c.G, c.B} {
		f := float64(v) / 255
		if f <= 0.04045 {
			out[k] = f / 12.92
		} else {
			out[k] = math.Pow((f+0.055)/1.055, 2.4)
		}
	}
	return out
}

func encode(v float64) float64 {
	// From a table, with straight lines between: off by less than 0.00001,
	// far below the steps of an 8-bit picture.
	t := math.Max(0, math.Min(1, v)) * curveSteps
	i := min(int(t), curveSteps-1)
	return curve[i] + (t-float64(i))*(curve[i+1]-curve[i])
}

const curveSteps = 1 << 14

var curve = func() (t [curveSteps + 1]float64) {
	for i := range t {
		if v := float64(i) / curveSteps; v <= 0.0031308 {
			t[i] = 12.92 * v
		} else {
			t[i] = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
	}
	return t
}()

// Offcut returns the outline of a laminated offcut about 62 x 45 mm, with sawn
// and rounded sides, three round screw holes and a keyhole, in mm.
func Offcut() (outline geom.Contour, round []geom.Disc, free []geom.Contour) {
	pt := geom.Pt
	arc := func(a, b, c geom.Point, turn geom.Turn) geom.Seg { return geom.Arc(a, b, c, turn) }
	outline = geom.Contour{
		geom.Line(pt(1, 0.6), pt(33, 0)),
		geom.Line(pt(33, 0), pt(60, 3)),
		geom.Line(pt(60, 3), pt(62, 24)),
		arc(pt(62, 24), pt(46, 40), pt(46, 24), geom.CCW),
		geom.Line(pt(46, 40), pt(38, 40)),
		arc(pt(38, 40), pt(30, 40), pt(34, 40), geom.CW), // a bite
		geom.Line(pt(30, 40), pt(21, 45)),
		geom.Line(pt(21, 45), pt(0, 41)),
		geom.Line(pt(0, 41), pt(1, 0.6)),
	}
	round = []geom.Disc{{C: pt(5.5, 6.5), R: 1.6}, {C: pt(55.2, 27.5), R: 1.6}, {C: pt(5.8, 36.5), R: 2.25}}
	free = []geom.Contour{geom.Slot(pt(44, 8), pt(49, 10), 3).Reverse()}
	return outline, round, free
}
