package paths

import (
	"container/heap"
	"math"

	"proofcut/paths/geom"
)

// poleTol is how near to the best place, in tool radii, an entry has to be.
const poleTol = 0.05

// poleCells bounds the search for a pole.
const poleCells = 4000

// pole returns the place in a region that is furthest from its boundary, to
// within tol: cells of a quadtree are halved, the most promising first.
func pole(r geom.Region, index *geom.Index, tol float64) geom.Point {
	b := r.Bounds()
	size := b.Size()
	side := math.Min(size.X, size.Y)
	best := r[0][0].A
	if !(side > geom.Tol) {
		return best
	}
	most := 0.0
	depth := func(q geom.Point) float64 {
		d := index.BoundaryDistance(geom.Line(q, q))
		if index.Contains(q) == geom.Outside {
			return -d
		}
		return d
	}
	var q cellHeap
	push := func(c geom.Point, h float64) {
		d := depth(c)
		if d > most {
			best, most = c, d
		}
		if top := d + h*math.Sqrt2; top > most+tol {
			q = append(q, cell{c, h, top})
			heap.Fix(&q, len(q)-1)
		}
	}
	push(r.Centroid(), 0)
	h := side / 2
	nx, ny := int(math.Ceil(size.X/side)), int(math.Ceil(size.Y/side))
	for i := range nx {
		for j := range ny {
			push(geom.Pt(b.Min.X+h*float64(2*i+1), b.Min.Y+h*float64(2*j+1)), h)
		}
	}
	for n := 0; len(q) > 0 && n < poleCells; n++ {
		c := heap.Pop(&q).(cell)
		if c.top <= most+tol {
			break
		}
		for _, s := range [4][2]float64{{-1, -1}, {1, -1}, {-1, 1}, {1, 1}} {
			push(c.at.Add(geom.Pt(s[0]*c.h/2, s[1]*c.h/2)), c.h/2)
		}
	}
	return best
}

type cell struct {
	at     geom.Point
	h, top float64 // half side; the most that any place in the cell can have
}

type cellHeap []cell

func (q cellHeap) Len() int           { return len(q) }
func (q cellHeap) Less(i, j int) bool { return q[i].top > q[j].top }
func (q cellHeap) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q *cellHeap) Push(x any)        { *q = append(*q, x.(cell)) }
func (q *cellHeap) Pop() any {
	old := *q
	n := len(old) - 1
	c := old[n]
	*q = old[:n]
	return c
}
