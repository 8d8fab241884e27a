package scan

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"sync"

	"github.com/golang/freetype/raster"
	"golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"proofcut/paths/geom"
)

const (
	// overlaySide is the longer side of an overlay in pixels: fills a screen.
	overlaySide = 1600
	// overlayZoom is the most that a small picture is enlarged.
	overlayZoom = 4
	// overlayMargin is what is shown of the bed round the piece, of its longer side.
	overlayMargin = 0.08
	// textHeight is the size of labels in pixels.
	textHeight = 17
)

// Colours of an overlay, chosen to stand out from metal, wood and paper.
var (
	outlineColour = color.RGBA{225, 0, 120, 255}
	holeColour    = color.RGBA{0, 90, 220, 255}
	dirtColour    = color.RGBA{230, 120, 0, 255}
	squareColour  = color.RGBA{0, 140, 70, 255}
	inkColour     = color.RGBA{20, 20, 20, 255}
	haloColour    = color.RGBA{255, 255, 255, 255}
)

// Overlay draws what was found over the picture, cut to the piece and its
// reference square: the outline, the numbered holes, what was ignored, the
// longest stretch without an edge, and a scale bar.
func (t *Trace) Overlay(p *Picture) (*image.RGBA, error) {
	box := t.shown()
	longer := math.Max(box.Size().X, box.Size().Y)
	box = box.Grow(math.Max(overlayMargin*longer, 12))
	x0, y0 := max(0, int(box.Min.X)), max(0, int(box.Min.Y))
	x1, y1 := min(p.w, int(box.Max.X)+1), min(p.h, int(box.Max.Y)+1)
	if x1-x0 < 1 || y1-y0 < 1 {
		return nil, fmt.Errorf("the outline is not in this picture")
	}
	zoom := math.Min(overlayZoom, overlaySide/float64(max(x1-x0, y1-y0)))
	out := image.NewRGBA(image.Rect(0, 0, max(1, int(float64(x1-x0)*zoom)), max(1, int(float64(y1-y0)*zoom))))
	draw.BiLinear.Scale(out, out.Bounds(), view{p}, image.Rect(x0, y0, x1, y1), draw.Src, nil)
	face, err := labelFace()
	if err != nil {
		return nil, err
	}
	defer face.Close()
	c := &canvas{img: out, face: face, place: func(q geom.Point) geom.Point {
		return q.Sub(geom.Pt(float64(x0), float64(y0))).Mul(zoom)
	}}
	t.drawOn(c)
	return out, nil
}

// shown returns the box in pixels of all that is to be seen.
func (t *Trace) shown() geom.Box {
	box := geom.EmptyBox()
	for _, s := range t.Outline {
		for k := range 8 {
			box = box.AddPoint(t.ToPixel(s.At(float64(k) / 8)))
		}
	}
	if t.Square != nil {
		for _, c := range t.Square.Corners {
			box = box.AddPoint(c)
		}
	}
	return box
}

func (t *Trace) drawOn(c *canvas) {
	if t.Square != nil {
		c.line(append(t.Square.Corners[:4:4], t.Square.Corners[0]), 2, squareColour)
	}
	for _, d := range t.Ignored {
		r := math.Max(d.Size/2, 3*t.Pixel)
		c.line(t.seen(geom.Circle(d.At, r)), 1.5, dirtColour)
	}
	c.line(t.seen(t.Outline), 2, outlineColour)
	for i, h := range t.Holes {
		c.line(t.seen(h.Contour), 2, holeColour)
		label := fmt.Sprintf("%d: %.2f", i+1, h.Diameter)
		if !h.Round {
			size := h.Contour.Bounds().Size()
			label = fmt.Sprintf("%d: free %.1f x %.1f", i+1, size.X, size.Y)
		}
		top := c.place(t.ToPixel(h.Centre))
		box := geom.EmptyBox()
		for _, p := range t.seen(h.Contour) {
			box = box.AddPoint(c.place(p))
		}
		c.text(geom.Pt(top.X, box.Max.Y+textHeight), label, holeColour)
	}
	if t.Unseen() {
		c.line(t.seen(geom.Circle(t.BlindAt, t.Blind/2)), 2.5, dirtColour)
		at := c.place(t.ToPixel(t.BlindAt))
		c.text(at, "no edge seen", dirtColour)
	}
	c.scaleBar(t)
}

// seen returns a contour's points in pixels, close enough to look smooth.
func (t *Trace) seen(contour geom.Contour) []geom.Point {
	var out []geom.Point
	for _, s := range contour {
		n := 4
		if s.IsArc() {
			n = max(4, int(math.Abs(s.Sweep())*24))
		}
		for k := range n {
			out = append(out, t.ToPixel(s.At(float64(k)/float64(n))))
		}
	}
	return append(out, out[0])
}

// view is a picture as an image.
type view struct{ p *Picture }

func (v view) ColorModel() color.Model { return color.RGBA64Model }
func (v view) Bounds() image.Rectangle { return image.Rect(0, 0, v.p.w, v.p.h) }
func (v view) At(x, y int) color.Color { return v.RGBA64At(x, y) }
func (v view) RGBA64At(x, y int) color.RGBA64 {
	if x < 0 || y < 0 || x >= v.p.w || y >= v.p.h {
		return color.RGBA64{}
	}
	return v.p.at(x, y)
}

// canvas draws over an image. Points of lines are pixels of the picture.
type canvas struct {
	img   *image.RGBA
	face  font.Face
	place func(geom.Point) geom.Point
}

// line strokes a chain of points with a light rim.
func (c *canvas) line(pts []geom.Point, width float64, colour color.RGBA) {
	var path raster.Path
	for i, p := range pts {
		q := c.place(p)
		f := fixed.Point26_6{X: fixed.Int26_6(q.X * 64), Y: fixed.Int26_6(q.Y * 64)}
		if i == 0 {
			path.Start(f)
		} else {
			path.Add1(f)
		}
	}
	size := c.img.Bounds()
	for _, pen := range []struct {
		width  float64
		colour color.RGBA
	}{{width + 2, haloColour}, {width, colour}} {
		r := raster.NewRasterizer(size.Dx(), size.Dy())
		r.UseNonZeroWinding = true
		r.AddStroke(path, fixed.Int26_6(pen.width*64), raster.RoundCapper, raster.RoundJoiner)
		painter := raster.NewRGBAPainter(c.img)
		painter.SetColor(pen.colour)
		r.Rasterize(painter)
	}
}

// text writes centred on a point of the canvas, moved to where all of it is seen.
func (c *canvas) text(at geom.Point, s string, colour color.RGBA) {
	d := font.Drawer{Dst: c.img, Face: c.face}
	w := float64(d.MeasureString(s)) / 64
	size := c.img.Bounds()
	x := math.Max(3, math.Min(float64(size.Dx())-w-3, at.X-w/2))
	y := math.Max(textHeight, math.Min(float64(size.Dy())-5, at.Y))
	for _, pass := range []struct {
		spread int
		colour color.RGBA
	}{{2, haloColour}, {0, colour}} {
		d.Src = image.NewUniform(pass.colour)
		for dx := -pass.spread; dx <= pass.spread; dx++ {
			for dy := -pass.spread; dy <= pass.spread; dy++ {
				d.Dot = fixed.P(int(x)+dx, int(y)+dy)
				d.DrawString(s)
			}
		}
	}
}

// scaleBar draws a bar of 1, 2 or 5 times a power of ten mm, about a fifth of the
// piece, below it, with the size of the piece.
func (c *canvas) scaleBar(t *Trace) {
	length := math.Pow(10, math.Floor(math.Log10(t.Width/5)))
	for _, f := range []float64{5, 2} {
		if length*f <= t.Width/3 {
			length *= f
			break
		}
	}
	y := -0.35 * overlayMargin * math.Max(t.Width, t.Height)
	tick := 0.1 * overlayMargin * math.Max(t.Width, t.Height)
	at := func(x, dy float64) geom.Point { return t.ToPixel(geom.Pt(x, y+dy)) }
	c.line([]geom.Point{at(0, tick), at(0, -tick), at(0, 0), at(length, 0), at(length, tick), at(length, -tick)}, 2, inkColour)
	label := fmt.Sprintf("%g mm   (piece %.2f x %.2f mm)", length, t.Width, t.Height)
	end := c.place(at(length, 0))
	d := font.Drawer{Face: c.face}
	c.text(end.Add(geom.Pt(float64(d.MeasureString(label))/128+10, textHeight/3)), label, inkColour)
}

var parsedFace = sync.OnceValues(func() (*opentype.Font, error) { return opentype.Parse(goregular.TTF) })

// labelFace returns a face for one drawing: faces are not safe to share.
func labelFace() (font.Face, error) {
	f, err := parsedFace()
	if err != nil {
		return nil, err
	}
	return opentype.NewFace(f, &opentype.FaceOptions{Size: textHeight, DPI: 72, Hinting: font.HintingFull})
}
