package geom

import (
	"fmt"
	"math"
	"math/rand"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// genRegion draws up to 20 contours side by side, some with a round hole.
func genRegion(t *rapid.T) Region {
	var r Region
	for k := rapid.IntRange(0, 20).Draw(t, "contours"); k > 0; k-- {
		at := Pt(float64(rapid.IntRange(0, 4).Draw(t, "column"))*25, float64(len(r))*25)
		r = append(r, genContour(t, at))
		if rapid.Bool().Draw(t, "hole") {
			r = append(r, Circle(at, rapid.Float64Range(0.01, 1).Draw(t, "hole radius")).Reverse())
		}
	}
	return r
}

func TestIndexAgainstAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := genRegion(t)
		x := NewIndex(r)
		b := r.Bounds()
		if b.Empty() {
			b = Box{Pt(0, 0), Pt(1, 1)}
		}
		place := Scale(math.Max(b.Size().X, b.Size().Y) / 10).Then(Translate(b.Center()))
		for i := 0; i < 8; i++ {
			s := genSeg(t, "s").Transform(place)
			want, near := math.Inf(1), Ref{}
			for ci, c := range r {
				for si, o := range c {
					if d := o.DistanceTo(s); d < want {
						want, near = d, Ref{ci, si}
					}
				}
			}
			ref, d := x.Nearest(s)
			if len(r) == 0 {
				require.True(t, math.IsInf(d, 1))
			} else {
				require.InDelta(t, want, d, 1e-9)
				require.InDelta(t, r.BoundaryDistance(s.A), x.Closest(s.A).Dist(s.A), 1e-9)
				require.InDelta(t, want, r[ref.Contour][ref.Seg].DistanceTo(s), 1e-9, "%v, not %v", ref, near)
			}
			require.Equal(t, r.Contains(s.A), x.Contains(s.A))
			dist := x.Distance(s)
			if r.Contains(s.A) != Outside {
				require.Zero(t, dist)
			} else {
				require.Equal(t, d, dist)
			}
			require.True(t, x.Clear(s, dist*(1-1e-12)))
			require.False(t, x.Clear(s, dist*(1+1e-9)+1e-9) && !math.IsInf(dist, 1))

			seen := map[Ref]bool{}
			x.Visit(s.Bounds(), func(o Ref, _ Seg) bool { seen[o] = true; return true })
			for ci, c := range r {
				for si, o := range c {
					if o.Bounds().Overlaps(s.Bounds()) {
						require.True(t, seen[Ref{ci, si}])
					}
				}
			}
		}
	})
}

func TestIndexEdges(t *testing.T) {
	none := NewIndex(nil)
	assert.True(t, math.IsInf(none.Distance(Line(Pt(0, 0), Pt(1, 0))), 1))
	assert.Equal(t, Outside, none.Contains(Pt(0, 0)))
	assert.Equal(t, Pt(3, 4), none.Closest(Pt(3, 4)))
	assert.True(t, none.Bounds().Empty())
	none.Visit(Box{}, func(Ref, Seg) bool { t.Fatal("visited nothing"); return false })

	x := NewIndex(Region{nil, Circle(Pt(0, 0), 5)})
	assert.Equal(t, 1, x.Len())
	assert.Equal(t, 2.0, x.Distance(Line(Pt(7, -9), Pt(7, 9))))
	assert.Zero(t, x.Distance(Line(Pt(0, 0), Pt(1, 1))), "inside")
	assert.Zero(t, x.Distance(Line(Pt(7, 0), Pt(1, 1))), "entering")
	assert.Equal(t, 4.0, x.BoundaryDistance(Line(Pt(0, 0), Pt(0, 1))))
	assert.Equal(t, 4.0, x.Depth(Line(Pt(0, 0), Pt(0, 1))))
	assert.Zero(t, x.Depth(Line(Pt(0, 0), Pt(0, 7))), "leaving")
	assert.Zero(t, x.Depth(Line(Pt(9, 0), Pt(9, 7))), "outside")
	assert.Zero(t, x.Depth(Line(Pt(0, 0), Pt(0, math.NaN()))))
	assert.True(t, x.Clear(Line(Pt(7, -9), Pt(7, 9)), 2))
	assert.False(t, x.Clear(Line(Pt(7, -9), Pt(7, 9)), math.Nextafter(2, 3)))
	// Nothing safe may follow from numbers that are none.
	nan := math.NaN()
	assert.Zero(t, x.Distance(Line(Pt(nan, 0), Pt(100, 0))))
	assert.Zero(t, x.Distance(Line(Pt(100, 0), Pt(100, nan))))
	assert.Zero(t, x.BoundaryDistance(Line(Pt(math.Inf(1), 0), Pt(100, 0))))
	assert.False(t, x.Clear(Line(Pt(100, 0), Pt(100, nan)), 1))
	assert.False(t, x.Clear(Line(Pt(100, 0), Pt(101, 0)), nan))
	assert.Equal(t, Boundary, x.Contains(Pt(nan, 0)))
	for _, bad := range []float64{nan, math.Inf(1), 1e200} {
		x := NewIndex(Region{Circle(Pt(0, 0), 5), {Line(Pt(0, 0), Pt(bad, 0)), Line(Pt(bad, 0), Pt(0, 0))}})
		assert.Zero(t, x.Distance(Line(Pt(100, 0), Pt(101, 0))))
		assert.Zero(t, x.BoundaryDistance(Line(Pt(100, 0), Pt(101, 0))))
		assert.Zero(t, x.Depth(Line(Pt(1, 0), Pt(1, 0))))
		assert.False(t, x.Clear(Line(Pt(100, 0), Pt(101, 0)), 1))
		assert.Equal(t, Boundary, x.Contains(Pt(100, 0)))
		assert.Equal(t, Pt(100, 0), x.Closest(Pt(100, 0)))
		assert.True(t, x.Bounds().Contains(Pt(1e9, -1e9)))
		x.Visit(Box{Pt(-1, -1), Pt(1, 1)}, func(Ref, Seg) bool { return true })
	}
	// A gap within Tol does not let a ray through.
	c := Contour{Line(Pt(0, 0), Pt(10, 0)), Line(Pt(10, Tol/2), Pt(5, 10)), Line(Pt(5, 10), Pt(0, 0))}
	require.NoError(t, c.Validate())
	for _, r := range []Region{{c}, {c.Reverse()}} {
		assert.Equal(t, Inside, NewIndex(r).Contains(Pt(5, Tol/4)))
		assert.Equal(t, Inside, r.Contains(Pt(5, Tol/4)))
		assert.Equal(t, Outside, r.Contains(Pt(-5, Tol/4)))
	}

	p := NewPathIndex([]Path{mustPath(t, "M 0 0 L 10 0 L 10 10"), nil, mustPath(t, "M 0 5 L 5 5")})
	assert.Equal(t, Outside, p.Contains(Pt(9, 1)))
	assert.Equal(t, Boundary, p.Contains(Pt(10, 1)))
	assert.Equal(t, 1.0, p.Distance(Line(Pt(3, 4), Pt(4, 4))))
	ref, d := p.Nearest(Line(Pt(3, 4), Pt(4, 4)))
	assert.Equal(t, Ref{2, 0}, ref)
	assert.Equal(t, 1.0, d)
}

func TestHilbertKeyWalksByNeighbours(t *testing.T) {
	const n = 32
	cells := make([][2]uint32, n*n)
	for x := uint32(0); x < n; x++ {
		for y := uint32(0); y < n; y++ {
			cells[hilbertKey(x, y)] = [2]uint32{x, y}
		}
	}
	for i := 1; i < len(cells); i++ {
		dx, dy := int(cells[i][0])-int(cells[i-1][0]), int(cells[i][1])-int(cells[i-1][1])
		require.Equal(t, 1, dx*dx+dy*dy, "step %d", i)
	}
}

// comb is n teeth, 2 mm wide, 2 mm apart and 20 mm long, on a bar.
func comb(n int) Region {
	pts := []Point{{0, 0}, {float64(4*n - 2), 0}}
	for i := n - 1; i >= 0; i-- {
		x := float64(4 * i)
		pts = append(pts, Pt(x+2, 25), Pt(x, 25))
		if i > 0 {
			pts = append(pts, Pt(x, 5), Pt(x-2, 5))
		}
	}
	return Region{Polygon(pts...)}
}

func indexCases(n int) map[string]Region {
	pts := blob(n)
	isles := Region{Polygon(blob(n / 2)...)}
	k := int(math.Sqrt(float64(n) / 10))
	for i := 0; i < k; i++ {
		a := float64(i) * 2.39996 // the golden angle spreads them evenly
		c := Polar(28*math.Sqrt((float64(i)+0.5)/float64(k)), a)
		isles = append(isles, RegularPolygon(c, 15/math.Sqrt(float64(k)), max(3, n/2/k), 0).Reverse())
	}
	return map[string]Region{"blob": {Polygon(pts...)}, "isles": isles, "comb": comb(n / 4)}
}

func TestIndexQueriesDoNotAllocate(t *testing.T) {
	x := NewIndex(indexCases(1000)["isles"])
	s := Line(Pt(-60, 3), Pt(60, 5))
	assert.Zero(t, testing.AllocsPerRun(20, func() {
		x.Distance(s)
		x.Contains(Pt(3, 3))
		x.Closest(Pt(3, 3))
		x.Clear(s, 1)
		x.Visit(s.Bounds(), func(Ref, Seg) bool { return true })
	}))
}

func TestIndexConcurrently(t *testing.T) {
	r := indexCases(1000)["isles"]
	x := NewIndex(r)
	var wg sync.WaitGroup
	for g := 0; g < 4; g++ {
		wg.Add(1)
		go func() {
			defer wg.Done()
			rng := rand.New(rand.NewSource(7))
			for i := 0; i < 200; i++ {
				p := Pt(rng.Float64()*120-60, rng.Float64()*120-60)
				assert.Equal(t, r.Contains(p), x.Contains(p))
			}
		}()
	}
	wg.Wait()
}

func BenchmarkIndex(b *testing.B) {
	for _, family := range []string{"blob", "isles", "comb"} {
		for _, n := range []int{100, 1000, 10000, 100000} {
			r := indexCases(n)[family]
			x := NewIndex(r)
			box := r.Bounds()
			rng := rand.New(rand.NewSource(1))
			queries := make([]Seg, 1024)
			for i := range queries {
				p := box.Min.Add(Pt(rng.Float64()*box.Size().X, rng.Float64()*box.Size().Y))
				queries[i] = Line(p, p.Add(Polar(rng.Float64()*5, rng.Float64()*7)))
			}
			name := fmt.Sprintf("%s/n=%d", family, n)
			b.Run("make/"+name, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					NewIndex(r)
				}
			})
			b.Run("distance/"+name, func(b *testing.B) {
				b.ReportAllocs()
				for i := 0; b.Loop(); i++ {
					x.BoundaryDistance(queries[i%len(queries)])
				}
			})
			b.Run("clear/"+name, func(b *testing.B) {
				for i := 0; b.Loop(); i++ {
					x.Clear(queries[i%len(queries)], 0.5)
				}
			})
			b.Run("contains/"+name, func(b *testing.B) {
				b.ReportAllocs()
				for i := 0; b.Loop(); i++ {
					x.Contains(queries[i%len(queries)].A)
				}
			})
		}
	}
}
