package job

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestDrawing takes the stock's outline and holes from a drawing.
func TestDrawing(t *testing.T) {
	j, err := Load(example(t, "inlays-from-scan"))
	require.NoError(t, err)
	assert.Len(t, j.Stock.Outline, 5) // the outline and four holes
	require.NoError(t, j.Stock.Outline.Validate())
	box := j.Stock.Outline.Bounds()
	assert.InDelta(t, 0, box.Min.Len(), 0.001)
	assert.InDelta(t, 61.77, box.Max.X, 0.05)
	assert.InDelta(t, 45.36, box.Max.Y, 0.05)
}

func TestDrawingFaults(t *testing.T) {
	good, err := os.ReadFile(example(t, "inlays-from-scan"))
	require.NoError(t, err)
	const (
		head = `<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">` + "\n"
		slab = `<rect width="60" height="40"/>` + "\n"
	)
	for _, c := range []struct{ name, key, drawing, want string }{
		{"good", "drawing: {file: offcut.svg}", head + slab + `<circle cx="9" cy="9" r="2"/></svg>`, ""},
		{"no size, unit given", "drawing: {file: offcut.svg, unit: 1mm}", `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40">` + slab + "</svg>", ""},
		{"no size", "drawing: {file: offcut.svg}", `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40">` + slab + "</svg>", "offcut.svg:1:1: the drawing does not say how large it is"},
		{"missing file", "drawing: {file: none.svg}", "", `job.yaml:20:19: stock: drawing: there is no file "none.svg" beside the job`},
		{"no file key", "drawing: {unit: 1mm}", "", `stock: drawing lacks "file"`},
		{"unknown key", "drawing: {file: offcut.svg, scale: 2}", head + slab + "</svg>", `stock: drawing has no key "scale"; known keys: unit, file`},
		{"bad unit", "drawing: {file: offcut.svg, unit: -1mm}", head + slab + "</svg>", "unit has to be more than 0"},
		{"two shapes", "drawing: {file: offcut.svg}\n  circle: {at: [1, 1], diameter: 3}", head + slab + "</svg>", "stock has two shapes, drawing and circle; give one"},
		{"no shape", "top: 0", "", "stock lacks a shape; give one of rectangle, circle, slot, regular_polygon, polygon, points_file, measured_points, drawing"},
		{"open path", "drawing: {file: offcut.svg}", head + slab + `<path d="M1 1L2 2"/></svg>`, "offcut.svg:3:1: path is not closed"},
		{"two pieces", "drawing: {file: offcut.svg}", head + `<rect width="20" height="20"/>` + "\n" + `<rect x="30" width="9" height="9"/></svg>`, "offcut.svg:3:1: rect at (30.000, 40.000) lies beside the outline"},
		{"crosses itself", "drawing: {file: offcut.svg}", head + `<path d="M0 0L60 40L60 0L0 35Z"/></svg>`, "offcut.svg:2:1: path: "},
		{"text", "drawing: {file: offcut.svg}", head + slab + "<text>slab</text></svg>", "offcut.svg:3:1: "},
		{"no XML", "drawing: {file: offcut.svg}", "M0 0L60 40", "offcut.svg"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			if c.drawing != "" {
				require.NoError(t, os.WriteFile(filepath.Join(dir, "offcut.svg"), []byte(c.drawing), 0o600))
			}
			text := strings.Replace(string(good), "drawing: {file: offcut.svg}", c.key, 1)
			_, err := Parse("job.yaml", dir, []byte(text))
			if c.want == "" {
				assert.NoError(t, err)
				return
			}
			assert.ErrorContains(t, err, c.want)
		})
	}
}
