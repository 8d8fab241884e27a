package job

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"proofcut/paths/geom"
)

// TestSameTwice: a point that comes again is found wherever it stands, also when a
// list closes itself with its first point.
func TestSameTwice(t *testing.T) {
	square := []geom.Point{geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 10), geom.Pt(0, 10)}
	_, _, twice := sameTwice(square)
	assert.False(t, twice)
	for _, c := range []struct {
		at   int
		p    geom.Point
		i, j int
	}{
		{4, geom.Pt(0, 0), 0, 4},
		{1, geom.Pt(0, geom.Tol/2), 0, 1},
		{2, geom.Pt(0, 10), 2, 4},
	} {
		pts := append(append(append([]geom.Point{}, square[:c.at]...), c.p), square[c.at:]...)
		i, j, twice := sameTwice(pts)
		assert.True(t, twice)
		assert.Equal(t, [2]int{c.i, c.j}, [2]int{i, j})
	}
}
