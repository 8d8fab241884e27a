package scan_test

import (
	"fmt"
	"image/color"
	"math"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
	"proofcut/paths/slab/scan"
	"proofcut/paths/slab/scan/scantest"
)

// Colours of the bench: the lid of a scanner, black card, and the two metals of
// the laminate.
var (
	lid    = color.NRGBA{245, 245, 242, 255}
	card   = color.NRGBA{24, 24, 26, 255}
	copper = color.NRGBA{184, 115, 70, 255}
	silver = color.NRGBA{190, 188, 175, 255}
	black  = color.NRGBA{30, 30, 30, 255}
)

// piece is a shape with holes whose true place is known.
type piece struct {
	outline geom.Contour
	round   []geom.Disc
	free    []geom.Contour
}

func offcut() piece {
	o, r, f := scantest.Offcut()
	return piece{o, r, f}
}

func (p piece) moved(t geom.Similarity) piece {
	out := piece{outline: p.outline.Transform(t)}
	for _, d := range p.round {
		out.round = append(out.round, geom.Disc{C: t.Apply(d.C), R: d.R})
	}
	for _, c := range p.free {
		out.free = append(out.free, c.Transform(t))
	}
	return out
}

func (p piece) contours() []geom.Contour {
	out := append([]geom.Contour{p.outline}, p.free...)
	for _, d := range p.round {
		out = append(out, geom.Circle(d.C, d.R).Reverse())
	}
	return out
}

// laid returns the offcut turned by three degrees in the middle of the glass.
func laid() piece {
	return offcut().moved(geom.RotateAbout(geom.Pt(31, 22), 3*math.Pi/180).Then(geom.Translate(geom.Pt(9, 9))))
}

// laminate is the piece in stripes of two metals.
func laminate(p piece) scantest.Layer {
	return scantest.Layer{Shape: p.contours(), Colour: copper, Stripe: 3, Other: silver}
}

// glass is a scene with the laid offcut.
func glass(dpi float64, bed color.NRGBA, more ...scantest.Layer) scantest.Scene {
	return scantest.Scene{Width: 80, Height: 65, DPI: dpi, Bed: bed, Noise: 4, Blur: 1, Seed: 7,
		Layers: append([]scantest.Layer{laminate(laid())}, more...)}
}

// picture renders a scene.
func picture(t testing.TB, s scantest.Scene) *scan.Picture {
	t.Helper()
	key := fmt.Sprintf("%+v", s)
	if p, ok := pictures[key]; ok && s.View == nil {
		return p
	}
	p, err := scan.FromImage(s.Render())
	require.NoError(t, err)
	pictures[key] = p
	return p
}

// pictures keeps what was rendered: many tests look at the same scene.
var pictures = map[string]*scan.Picture{}

func dpi(v float64) *scan.Resolution {
	r := scan.DPI(v)
	return &r
}

// sceneMM returns where in a scene seen square-on a pixel is.
func sceneMM(s scantest.Scene, px geom.Point) geom.Point {
	h := math.Ceil(s.Height / 25.4 * s.DPI)
	return geom.Pt(px.X/s.DPI*25.4, (h-px.Y)/s.DPI*25.4)
}

// along returns points of a contour about every step mm.
func along(c geom.Contour, step float64) []geom.Point {
	var out []geom.Point
	for _, s := range c {
		n := max(1, int(s.Length()/step))
		for k := range n {
			out = append(out, s.At((float64(k)+0.5)/float64(n)))
		}
	}
	return out
}

// percentile returns the share q of sorted values.
func percentile(v []float64, q float64) float64 {
	sort.Float64s(v)
	return v[min(len(v)-1, int(q*float64(len(v))))]
}
