package scan_test

import (
	"bytes"
	"encoding/csv"
	"image"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
	"proofcut/paths/slab"
	"proofcut/paths/slab/scan"
)

func traced(t testing.TB) (*scan.Picture, *scan.Trace) {
	t.Helper()
	p := picture(t, glass(150, lid))
	got, err := scan.Find(p, scan.Options{Resolution: dpi(150)})
	require.NoError(t, err)
	return p, got
}

// TestWriteSVG reads the drawing back: the same coordinates, arcs as arcs.
func TestWriteSVG(t *testing.T) {
	_, got := traced(t)
	var b, again bytes.Buffer
	require.NoError(t, got.WriteSVG(&b))
	require.NoError(t, got.WriteSVG(&again))
	assert.Equal(t, b.String(), again.String())
	shapes, err := slab.ReadSVG(&b, slab.SVGOptions{})
	require.NoError(t, err)
	require.Len(t, shapes, 1+len(got.Holes))
	assert.Equal(t, "outline", shapes[0].ID)
	want := got.Region()
	arcs := 0
	for i, s := range shapes {
		require.Len(t, s.Contours, 1)
		require.Empty(t, s.Paths)
		// 0.0001 mm in each axis, and as much in a radius.
		for _, p := range along(s.Contours[0], 0.1) {
			assert.LessOrEqual(t, want[i].Distance(p), 0.0003)
		}
		for _, p := range along(want[i], 0.1) {
			assert.LessOrEqual(t, s.Contours[0].Distance(p), 0.0003)
		}
		assert.InDelta(t, math.Abs(want[i].Area()), math.Abs(s.Contours[0].Area()), 0.02)
		for _, seg := range s.Contours[0] {
			if seg.IsArc() {
				arcs++
			}
		}
	}
	assert.Greater(t, arcs, 5)
}

// TestWritePoints checks that the chords keep within the tolerance.
func TestWritePoints(t *testing.T) {
	_, got := traced(t)
	var b bytes.Buffer
	require.NoError(t, got.WritePoints(&b))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, []string{"x", "y"}, rows[0])
	var pts []geom.Point
	for _, r := range rows[1:] {
		x, err1 := strconv.ParseFloat(r[0], 64)
		y, err2 := strconv.ParseFloat(r[1], 64)
		require.NoError(t, err1)
		require.NoError(t, err2)
		pts = append(pts, geom.Pt(x, y))
	}
	c := geom.Polygon(pts...)
	for _, p := range along(got.Outline, 0.1) {
		assert.LessOrEqual(t, c.Distance(p), got.Tolerance+0.0002)
	}
	b.Reset()
	require.NoError(t, got.WriteHoles(&b))
	rows, err = csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 5)
	assert.Equal(t, []string{"hole", "kind", "x", "y", "diameter", "residual"}, rows[0])
}

// TestOverlay looks for the colours of outline and holes where they belong.
func TestOverlay(t *testing.T) {
	p, got := traced(t)
	img, err := got.Overlay(p)
	require.NoError(t, err)
	magenta, blue := 0, 0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			switch c := img.RGBAAt(x, y); {
			case c.R > 200 && c.G < 40 && c.B > 90 && c.B < 150:
				magenta++
			case c.R < 40 && c.B > 190 && c.G < 120:
				blue++
			}
		}
	}
	perimeter := geom.Region{got.Outline}[0].Length() / got.Pixel * 1600 / 420 // about
	assert.Greater(t, magenta, int(perimeter/2))
	assert.Greater(t, blue, 500)
	other, err := scan.FromImage(image.NewGray(image.Rect(0, 0, 20, 20)))
	require.NoError(t, err)
	_, err = got.Overlay(other)
	assert.Error(t, err)
}
