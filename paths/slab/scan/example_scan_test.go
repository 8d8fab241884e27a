package scan_test

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
	"proofcut/paths/slab/scan"
	"proofcut/paths/slab/scan/scantest"
)

var update = flag.Bool("update", false, "write the scan of the example anew")

// exampleScan is the scan of examples/inlays-from-scan: the laminated offcut on
// black card, with a hair across its edge, dust, and three screw holes and a
// slot. Its light is kept in eight greys of each colour, so that the file is small.
func exampleScan() image.Image {
	turned := geom.RotateAbout(geom.Pt(31, 22), -2*math.Pi/180).Then(geom.Translate(geom.Pt(6, 6)))
	s := scantest.Scene{Width: 75, Height: 58, DPI: 200, Bed: card, Noise: 1.2, Blur: 1, Seed: 5,
		Layers: []scantest.Layer{
			laminate(offcut().moved(turned)),
			{Colour: color.NRGBA{235, 235, 235, 255}, Shape: []geom.Contour{
				geom.Slot(geom.Pt(56, 40), geom.Pt(68, 50), 0.1),
				geom.Circle(geom.Pt(12, 3), 0.12),
			}},
		}}
	img := s.Render()
	const step = 4
	for i, v := range img.Pix {
		if i%4 != 3 {
			img.Pix[i] = v/step*step + step/2
		}
	}
	return img
}

// TestExampleScan checks that the scan in the repository is this one.
func TestExampleScan(t *testing.T) {
	file := filepath.Join("..", "..", "..", "examples", "inlays-from-scan", "offcut.png")
	img := exampleScan()
	if *update {
		data, err := scantest.PNG(img, 200)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(file, data, 0o644))
	}
	kept, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Less(t, len(kept), 300_000)
	// The pixels, not the bytes: how well a file is packed may change.
	a, err := scan.FromImage(img)
	require.NoError(t, err)
	b, err := scan.Decode(bytes.NewReader(kept))
	require.NoError(t, err)
	require.NotNil(t, b.Resolution)
	assert.InDelta(t, 200, b.Resolution.X*25.4, 0.01)
	w, h := a.Size()
	for y := range h {
		for x := range w {
			if a.At(x, y) != b.At(x, y) {
				t.Fatalf("pixel (%d, %d) differs: go test ./paths/slab/scan -update", x, y)
			}
		}
	}
}
