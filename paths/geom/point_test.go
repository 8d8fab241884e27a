package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestPoint(t *testing.T) {
	p, q := Pt(3, 4), Pt(-1, 2)
	assert.Equal(t, Pt(2, 6), p.Add(q))
	assert.Equal(t, Pt(4, 2), p.Sub(q))
	assert.Equal(t, 5.0, p.Len())
	assert.Equal(t, 5.0, p.Dot(q))
	assert.Equal(t, 10.0, p.Cross(q))
	assert.Equal(t, Pt(-4, 3), p.Left())
	assert.Equal(t, Point{}, Point{}.Unit())
	assert.InDelta(t, math.Pi/2, Pt(0, 2).Angle(), 0)
	assert.Equal(t, "3 4", p.String())
	assert.False(t, Pt(math.NaN(), 0).Finite())
	assert.False(t, Pt(0, math.Inf(-1)).Finite())
}

func TestBox(t *testing.T) {
	b := EmptyBox().AddPoint(Pt(1, 2)).AddPoint(Pt(4, 6))
	assert.Equal(t, Pt(3, 4), b.Size())
	assert.Equal(t, Pt(2.5, 4), b.Center())
	assert.True(t, EmptyBox().Empty())
	assert.False(t, EmptyBox().Overlaps(b))
	assert.Equal(t, b, EmptyBox().Union(b))
	for _, c := range []struct {
		o Box
		d float64
	}{
		{Box{Pt(4, 6), Pt(9, 9)}, 0},
		{Box{Pt(7, 10), Pt(9, 11)}, 5},
		{Box{Pt(-3, 3), Pt(-1, 4)}, 2},
		{Box{Pt(0, 0), Pt(9, 9)}, 0},
	} {
		assert.Equal(t, c.d, b.Distance(c.o))
		assert.Equal(t, c.d, c.o.Distance(b))
		assert.Equal(t, c.d == 0, b.Overlaps(c.o))
	}
	assert.Equal(t, Box{Pt(0, 1), Pt(5, 7)}, b.Grow(1))
	assert.True(t, b.Contains(Pt(4, 6)))
	assert.False(t, b.Contains(Pt(4, 6.001)))
}

func TestPoint3(t *testing.T) {
	p := Pt(3, 4).At(12)
	assert.Equal(t, Pt3(3, 4, 12), p)
	assert.Equal(t, 13.0, p.Dist(Point3{}))
	assert.Equal(t, Pt(3, 4), p.XY())
	assert.False(t, Pt3(0, 0, math.Inf(1)).Finite())
	assert.True(t, EmptyBox3().Empty())
	b := EmptyBox3().Add(Pt3(0, 0, -2)).Add(p)
	assert.True(t, b.Contains(Pt3(1, 1, 0)))
	assert.False(t, b.Contains(Pt3(1, 1, -3)))
	assert.Equal(t, Box{Pt(0, 0), Pt(3, 4)}, b.XY())
}
