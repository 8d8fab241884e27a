package fonts_test

import (
	"math"
	"strings"

	"proofcut/paths/geom"
)

// drawing shows paths as text: a cell is # when its middle lies within half of
// width from a path. Cells are twice as high as wide, as on a screen.
func drawing(paths []geom.Path, box geom.Box, cell, width float64) []string {
	cols := int(math.Ceil(box.Size().X / cell))
	rows := int(math.Ceil(box.Size().Y / (2 * cell)))
	out := make([]string, rows)
	for row := range out {
		var b strings.Builder
		for col := range cols {
			p := geom.Pt(box.Min.X+(float64(col)+0.5)*cell, box.Max.Y-(float64(row)+0.5)*2*cell)
			mark := byte(' ')
			for _, path := range paths {
				if path.Distance(p) <= width/2 {
					mark = '#'
					break
				}
			}
			b.WriteByte(mark)
		}
		out[row] = strings.TrimRight(b.String(), " ")
	}
	return out
}

// filled shows a region as text.
func filled(r geom.Region, box geom.Box, cell float64) []string {
	cols := int(math.Ceil(box.Size().X / cell))
	rows := int(math.Ceil(box.Size().Y / (2 * cell)))
	out := make([]string, rows)
	for row := range out {
		var b strings.Builder
		for col := range cols {
			p := geom.Pt(box.Min.X+(float64(col)+0.5)*cell, box.Max.Y-(float64(row)+0.5)*2*cell)
			if r.Contains(p) == geom.Outside {
				b.WriteByte(' ')
			} else {
				b.WriteByte('#')
			}
		}
		out[row] = strings.TrimRight(b.String(), " ")
	}
	return out
}
