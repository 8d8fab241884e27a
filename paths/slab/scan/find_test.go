package scan_test

import (
	"fmt"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
	"proofcut/paths/slab/scan"
	"proofcut/paths/slab/scan/scantest"
)

// TestKnownOutline holds what is found against outlines that another library
// rendered: at 300 and 600 dpi, with noise, turned by three degrees, on a light
// and a dark bed. The outline has to be within half a pixel at the 95th
// percentile, in both directions.
func TestKnownOutline(t *testing.T) {
	for _, c := range []struct {
		dpi    float64
		bed    color.NRGBA
		found  scan.Bed
		linear bool
	}{
		{300, lid, scan.LightBed, false},
		{300, card, scan.DarkBed, false},
		{300, lid, scan.LightBed, true},
		{600, lid, scan.LightBed, false},
	} {
		t.Run(fmt.Sprintf("%g dpi on a %v bed, linear %v", c.dpi, c.found, c.linear), func(t *testing.T) {
			s := glass(c.dpi, c.bed)
			s.Linear = c.linear
			o := scan.Options{Resolution: dpi(c.dpi)}
			if c.linear {
				o.Tone = scan.ToneLinear
			}
			got, err := scan.Find(picture(t, s), o)
			require.NoError(t, err)
			assert.Equal(t, c.found, got.Bed)
			want := laid()
			pixel := 25.4 / c.dpi

			var off []float64
			for _, p := range along(got.Outline, pixel) {
				off = append(off, want.outline.Distance(sceneMM(s, got.ToPixel(p))))
			}
			found95 := percentile(off, 0.95) / pixel
			assert.LessOrEqual(t, found95, 0.5, "95th percentile of the found outline, pixels")
			back := back(s, got)
			off = off[:0]
			for _, p := range along(want.outline, pixel) {
				off = append(off, got.Outline.Distance(back(p)))
			}
			true95 := percentile(off, 0.95) / pixel
			assert.LessOrEqual(t, true95, 0.5, "95th percentile of the true outline, pixels")
			assert.LessOrEqual(t, percentile(off, 1)/pixel, 1.5, "worst of the true outline, pixels")
			t.Logf("95th percentile %.3f and %.3f pixels, worst %.3f", found95, true95, percentile(off, 1)/pixel)

			require.Len(t, got.Holes, 4)
			round := 0
			for _, h := range got.Holes {
				if !h.Round {
					assert.InDelta(t, want.free[0].Area(), h.Contour.Area(), 0.02*math.Abs(want.free[0].Area()))
					assert.LessOrEqual(t, h.Centre.Dist(back(want.free[0].Centroid())), pixel/2)
					continue
				}
				round++
				best := want.round[0]
				for _, d := range want.round {
					if back(d.C).Dist(h.Centre) < back(best.C).Dist(h.Centre) {
						best = d
					}
				}
				assert.LessOrEqual(t, back(best.C).Dist(h.Centre), pixel/4)
				assert.InDelta(t, 2*best.R, h.Diameter, pixel/2)
				assert.Less(t, h.RMS, pixel/4)
			}
			assert.Equal(t, 3, round)
		})
	}
}

// back returns the map from a scene seen square-on to the coordinates of a trace.
func back(s scantest.Scene, got *scan.Trace) func(geom.Point) geom.Point {
	zero := sceneMM(s, got.ToPixel(geom.Pt(0, 0)))
	return func(p geom.Point) geom.Point { return p.Sub(zero) }
}

// TestSizes checks the numbers that a person reads against those of the shape.
func TestSizes(t *testing.T) {
	s := glass(300, lid)
	got, err := scan.Find(picture(t, s), scan.Options{Resolution: dpi(300)})
	require.NoError(t, err)
	want := laid()
	box := want.outline.Bounds().Size()
	assert.InDelta(t, box.X, got.Width, 0.08)
	assert.InDelta(t, box.Y, got.Height, 0.08)
	area := 0.0
	for _, c := range want.contours() {
		area += c.Area()
	}
	assert.InDelta(t, area, got.Area, 0.003*area)
	assert.InDelta(t, 0, got.Outline.Bounds().Min.Len(), 0.05)
	assert.NoError(t, got.Region().Validate())
	assert.Greater(t, got.Seen, 0.98)
	assert.False(t, got.Unseen())
	assert.LessOrEqual(t, got.Max, got.Tolerance+got.Pixel, "a corner's blur")
	assert.LessOrEqual(t, got.RMS, got.Tolerance/2)
}

// TestStatedResolution checks that a stated resolution wins, and that one that
// differs in the axes is used in each.
func TestStatedResolution(t *testing.T) {
	p := picture(t, glass(150, lid))
	a, err := scan.Find(p, scan.Options{Resolution: dpi(150)})
	require.NoError(t, err)
	b, err := scan.Find(p, scan.Options{Resolution: &scan.Resolution{X: 150 / 25.4, Y: 75 / 25.4}})
	require.NoError(t, err)
	assert.InDelta(t, a.Width, b.Width, 0.05)
	assert.InDelta(t, 2*a.Height, b.Height, 0.1)
}

// TestMirror checks that a piece that is turned over is its mirror image.
func TestMirror(t *testing.T) {
	p := picture(t, glass(150, lid))
	a, err := scan.Find(p, scan.Options{Resolution: dpi(150)})
	require.NoError(t, err)
	b, err := scan.Find(p, scan.Options{Resolution: dpi(150), Mirror: true})
	require.NoError(t, err)
	require.Len(t, b.Holes, len(a.Holes))
	for i, h := range a.Holes {
		m := b.Holes[len(b.Holes)-1-i]
		assert.InDelta(t, a.Width-h.Centre.X, m.Centre.X, 0.06)
		assert.InDelta(t, h.Centre.Y, m.Centre.Y, 0.03)
	}
	assert.NoError(t, b.Region().Validate())
	q := a.Outline[0].A
	assert.LessOrEqual(t, b.Outline.Distance(geom.Pt(a.Width-q.X, q.Y)), 0.05)
	assert.InDelta(t, 0, a.ToPixel(q).Dist(b.ToPixel(geom.Pt(a.Width-q.X, q.Y))), 0.5)
}

// TestDirt lays a hair and specks on the bed and over the piece. They are named
// and change the outline by no more than where the hair crosses it.
func TestDirt(t *testing.T) {
	clean, err := scan.Find(picture(t, glass(300, lid)), scan.Options{Resolution: dpi(300)})
	require.NoError(t, err)
	dirt := scantest.Layer{Colour: black, Shape: []geom.Contour{
		geom.Slot(geom.Pt(2, 30), geom.Pt(9.5, 33), 0.15), // a hair across the edge
		geom.Circle(geom.Pt(30, 5), 0.2),                  // on the bed
		geom.Circle(geom.Pt(76, 60), 0.2),
	}}
	pinhole := scantest.Layer{Colour: lid, Shape: []geom.Contour{geom.Circle(geom.Pt(40, 30), 0.2)}}
	s := glass(300, lid, dirt, pinhole)
	got, err := scan.Find(picture(t, s), scan.Options{Resolution: dpi(300)})
	require.NoError(t, err)
	require.Len(t, got.Ignored, 4)
	assert.True(t, got.Ignored[0].Hair)
	over := 0
	for _, d := range got.Ignored {
		if d.Over {
			over++
			assert.LessOrEqual(t, sceneMM(s, got.ToPixel(d.At)).Dist(geom.Pt(40, 30)), 0.1)
		}
	}
	assert.Equal(t, 1, over)
	require.Len(t, got.Holes, 4)
	assert.InDelta(t, clean.Width, got.Width, 0.02)
	assert.InDelta(t, clean.Area, got.Area, 0.002*clean.Area)

	// With a smaller size stated the specks are pieces.
	_, err = scan.Find(picture(t, s), scan.Options{Resolution: dpi(300), Speck: 0.2})
	assert.ErrorContains(t, err, "pieces")
}

// TestUnevenLight traces on a bed that is lit from one side.
func TestUnevenLight(t *testing.T) {
	s := glass(150, lid)
	s.Shade = 0.6
	got, err := scan.Find(picture(t, s), scan.Options{Resolution: dpi(150)})
	require.NoError(t, err)
	assert.InDelta(t, laid().outline.Bounds().Size().X, got.Width, 0.12)
	assert.Len(t, got.Holes, 4)
}

// TestSeveralPieces demands to be told which piece is meant.
func TestSeveralPieces(t *testing.T) {
	chip := scantest.Layer{Colour: copper, Shape: []geom.Contour{geom.Rect(geom.Pt(3, 56), geom.Pt(9, 60), 0)}}
	p := picture(t, glass(150, lid, chip))
	o := scan.Options{Resolution: dpi(150)}
	_, err := scan.Find(p, o)
	var fault *scan.Error
	require.ErrorAs(t, err, &fault)
	assert.Equal(t, scan.SeveralPieces, fault.Fault)
	assert.ErrorContains(t, err, "there are 2 pieces; 1: 6")
	assert.ErrorContains(t, err, "2: 6.")
	o.Piece = 2
	got, err := scan.Find(p, o)
	require.NoError(t, err)
	assert.InDelta(t, 6, got.Width, 0.1)
	assert.InDelta(t, 24, got.Area, 0.5)
	o.Piece = 3
	_, err = scan.Find(p, o)
	assert.ErrorContains(t, err, "no piece 3")
}

func TestRefused(t *testing.T) {
	good := glass(150, lid)
	at := func(x, y float64) *geom.Point { p := geom.Pt(x, y); return &p }
	cut := good
	cut.Layers = []scantest.Layer{laminate(offcut().moved(geom.Translate(geom.Pt(-4, 9))))}
	empty := good
	empty.Layers = nil
	faint := good
	faint.Layers = []scantest.Layer{{Shape: laid().contours(), Colour: color.NRGBA{243, 243, 240, 255}}}
	for _, c := range []struct {
		name  string
		scene scantest.Scene
		o     scan.Options
		want  string
	}{
		{"no resolution", good, scan.Options{}, "does not say its resolution"},
		{"NaN", good, scan.Options{Resolution: dpi(math.NaN())}, "NaN dpi is out of range"},
		{"infinite", good, scan.Options{Resolution: dpi(math.Inf(1))}, "out of range"},
		{"zero", good, scan.Options{Resolution: dpi(0)}, "out of range"},
		{"negative", good, scan.Options{Resolution: dpi(-300)}, "out of range"},
		{"NaN square", good, scan.Options{Square: math.NaN()}, "reference square of NaN mm"},
		{"NaN speck", good, scan.Options{Resolution: dpi(150), Speck: math.NaN()}, "speck size of NaN mm"},
		{"NaN tolerance", good, scan.Options{Resolution: dpi(150), Tolerance: math.NaN()}, "tolerance of NaN mm"},
		{"NaN place", good, scan.Options{Square: 10, SquareAt: at(math.NaN(), 0)}, "not a finite number"},
		{"piece -1", good, scan.Options{Resolution: dpi(150), Piece: -1}, "counted from 1"},
		{"unknown bed", good, scan.Options{Resolution: dpi(150), Bed: 9}, "unknown bed"},
		{"unknown tone", good, scan.Options{Resolution: dpi(150), Tone: 9}, "unknown tone"},
		{"huge speck", good, scan.Options{Resolution: dpi(25000), Speck: 5}, "pixels here"},
		{"runs out", cut, scan.Options{Resolution: dpi(150)}, "runs out of the picture"},
		{"empty", empty, scan.Options{Resolution: dpi(150)}, "no piece stands out"},
		{"faint", faint, scan.Options{Resolution: dpi(150)}, "no piece stands out"},
		{"no square", good, scan.Options{Square: 50}, "no reference square"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := scan.Find(picture(t, c.scene), c.o)
			assert.ErrorContains(t, err, c.want)
		})
	}
}
