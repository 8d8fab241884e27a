package scan_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
	"proofcut/paths/slab/scan"
	"proofcut/paths/slab/scan/scantest"
)

// pinhole returns the view of a pinhole camera over the middle of a plane, tilted
// about X and Y by radians and turned about its axis, from a height in mm, with a
// focal length in pixels and a picture of w x h pixels.
func pinhole(middle geom.Point, tiltX, tiltY, turn, height, focal float64, w, h float64) func(geom.Point) geom.Point {
	sx, cx := math.Sincos(tiltX)
	sy, cy := math.Sincos(tiltY)
	sz, cz := math.Sincos(turn)
	return func(p geom.Point) geom.Point {
		x, y, z := p.X-middle.X, p.Y-middle.Y, 0.0
		x, y = cz*x-sz*y, sz*x+cz*y
		y, z = cx*y-sx*z, sx*y+cx*z
		x, z = cy*x+sy*z, -sy*x+cy*z
		depth := height - z
		return geom.Pt(w/2+focal*x/depth, h/2-focal*y/depth)
	}
}

// board is a piece of 100 x 60 mm with two holes 80 mm apart, beside a printed
// square of 50 mm.
func board() (piece, scantest.Layer) {
	p := piece{outline: geom.Rect(geom.Pt(10, 10), geom.Pt(110, 70), 4)}
	p.round = []geom.Disc{{C: geom.Pt(20, 40), R: 2}, {C: geom.Pt(100, 40), R: 2}}
	return p, scantest.Layer{Shape: []geom.Contour{geom.Rect(geom.Pt(35, 85), geom.Pt(85, 135), 0)}, Colour: black}
}

// TestPerspective undoes a tilt of up to ten degrees and a turn: lengths of 100 mm
// have to come out within 0.1 mm.
func TestPerspective(t *testing.T) {
	const w, h = 1100, 1300 // pixels
	for _, c := range []struct {
		name               string
		tiltX, tiltY, roll float64 // degrees
		frame              bool
	}{
		{"square-on", 0, 0, 0, false},
		{"tilted and turned", 8, -6, 3, false},
		{"tilted the other way, a printed frame", -10, 4, -7, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			board, square := board()
			if c.frame {
				square.Shape = append(square.Shape, geom.Rect(geom.Pt(37, 87), geom.Pt(83, 133), 0).Reverse())
			}
			rad := math.Pi / 180
			view := pinhole(geom.Pt(60, 75), c.tiltX*rad, c.tiltY*rad, c.roll*rad, 500, 3600, w, h)
			s := scantest.Scene{Width: w, Height: h, DPI: 25.4, Bed: lid, View: view, Noise: 3, Blur: 1, Seed: 3,
				Layers: []scantest.Layer{{Shape: board.contours(), Colour: copper}, square}}
			got, err := scan.Find(picture(t, s), scan.Options{Square: 50})
			require.NoError(t, err)
			assert.InDelta(t, 100, got.Width, 0.1)
			assert.InDelta(t, 60, got.Height, 0.1)
			require.Len(t, got.Holes, 2)
			assert.InDelta(t, 80, got.Holes[0].Centre.Dist(got.Holes[1].Centre), 0.08)
			for _, hole := range got.Holes {
				assert.True(t, hole.Round)
				assert.InDelta(t, 4, hole.Diameter, 0.05)
			}
			assert.InDelta(t, 0, got.Holes[1].Centre.Sub(got.Holes[0].Centre).Angle(), 0.001, "the square's sides are the axes")
			require.NotNil(t, got.Square)
			corner := view(geom.Pt(35, 85))
			nearest := math.Inf(1)
			for _, q := range got.Square.Corners {
				nearest = math.Min(nearest, q.Dist(corner))
			}
			assert.Less(t, nearest, 0.15, "pixels")
			assert.Equal(t, c.tiltX == 0, got.Square.Slant < 1.01)
			t.Logf("%.3f x %.3f mm, holes %.3f mm apart, corner off by %.3f pixels", got.Width, got.Height, got.Holes[0].Centre.Dist(got.Holes[1].Centre), nearest)
		})
	}
}

// TestSquareOnPaper finds a square printed on a sheet that lies on a dark bed.
func TestSquareOnPaper(t *testing.T) {
	board, square := board()
	sheet := scantest.Layer{Shape: []geom.Contour{geom.Rect(geom.Pt(25, 78), geom.Pt(96, 142), 0)}, Colour: lid}
	s := scantest.Scene{Width: 120, Height: 150, DPI: 150, Bed: card, Noise: 3, Seed: 3,
		Layers: []scantest.Layer{{Shape: board.contours(), Colour: silver}, sheet, square}}
	got, err := scan.Find(picture(t, s), scan.Options{Square: 50, SquareAt: &geom.Point{X: 354, Y: 236}})
	require.NoError(t, err)
	assert.InDelta(t, 100, got.Width, 0.1)
	assert.InDelta(t, 60, got.Height, 0.1)
	assert.Len(t, got.Holes, 2)
}

// TestSeveralSquares demands to be told which of two is the reference.
func TestSeveralSquares(t *testing.T) {
	board, square := board()
	other := scantest.Layer{Shape: []geom.Contour{geom.Rect(geom.Pt(3, 90), geom.Pt(23, 110), 0)}, Colour: copper}
	s := scantest.Scene{Width: 120, Height: 150, DPI: 150, Bed: lid, Noise: 3, Seed: 3,
		Layers: []scantest.Layer{{Shape: board.contours(), Colour: copper}, square, other}}
	p := picture(t, s)
	_, err := scan.Find(p, scan.Options{Square: 50})
	var fault *scan.Error
	require.ErrorAs(t, err, &fault)
	assert.Equal(t, scan.SeveralSquares, fault.Fault)
	got, err := scan.Find(p, scan.Options{Square: 50, SquareAt: &geom.Point{X: 350, Y: 240}, Piece: 1})
	require.NoError(t, err)
	assert.InDelta(t, 100, got.Width, 0.1)
	// The square itself can be measured by the other.
	got, err = scan.Find(p, scan.Options{Square: 20, SquareAt: &geom.Point{X: 77, Y: 290}, Piece: 2})
	require.NoError(t, err)
	assert.InDelta(t, 50, got.Width, 0.2)
}
