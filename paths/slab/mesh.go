package slab

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"proofcut/paths/geom"
)

// Mesh is a surface of heights at the crossings of lines X and Y, bilinear
// between them. Outside it has the height of the nearest place on its border.
type Mesh struct {
	x, y  []float64 // of the lines, ascending, two at least
	z     []float64 // heights, a row for each y
	slope float64   // the greatest
	twist float64   // the greatest of a cell, see Bend
}

const (
	// gridTolerance is how far in mm a probed point may lie from its line of the
	// grid: a few steps of the machine's resolution. At the greatest slope it is
	// worth a thousandth of height.
	gridTolerance = 0.005

	// maxSpline bounds the points that are not a grid: the equations for them
	// take time that grows as the cube.
	maxSpline = 400
)

// newMesh computes the greatest slope. Within a cell the slope along x depends on
// y alone and runs straight, and the other way round, so the square of the slope
// is convex in each and greatest at a corner.
func newMesh(x, y, z []float64) *Mesh {
	m := &Mesh{x: x, y: y, z: z}
	for j := range len(y) - 1 {
		for i := range len(x) - 1 {
			dx, dy := x[i+1]-x[i], y[j+1]-y[j]
			low, high := (m.at(i+1, j)-m.at(i, j))/dx, (m.at(i+1, j+1)-m.at(i, j+1))/dx
			left, right := (m.at(i, j+1)-m.at(i, j))/dy, (m.at(i+1, j+1)-m.at(i+1, j))/dy
			m.twist = math.Max(m.twist, math.Abs(high-low)/dy)
			m.slope = math.Max(m.slope, math.Hypot(math.Max(math.Abs(low), math.Abs(high)), math.Max(math.Abs(left), math.Abs(right))))
		}
	}
	return m
}

func (m *Mesh) at(i, j int) float64 { return m.z[j*len(m.x)+i] }

// Bounds returns the rectangle that was probed.
func (m *Mesh) Bounds() geom.Box {
	return geom.Box{Min: geom.Pt(m.x[0], m.y[0]), Max: geom.Pt(m.x[len(m.x)-1], m.y[len(m.y)-1])}
}

// Lipschitz returns the greatest slope, of which rounding takes nothing.
func (m *Mesh) Lipschitz() float64 {
	const rounding = 1e-9 // far above that of a height over a cell's width
	return m.slope*(1+rounding) + rounding
}

// Height returns the height in mm at p.
func (m *Mesh) Height(p geom.Point) float64 {
	i, u := cell(m.x, p.X)
	j, v := cell(m.y, p.Y)
	low := m.at(i, j) + u*(m.at(i+1, j)-m.at(i, j))
	high := m.at(i, j+1) + u*(m.at(i+1, j+1)-m.at(i, j+1))
	return low + v*(high-low)
}

// cell returns the interval of the lines in which v lies, and how far in it.
func cell(lines []float64, v float64) (i int, along float64) {
	i = min(max(sort.SearchFloat64s(lines, v)-1, 0), len(lines)-2)
	along = (v - lines[i]) / (lines[i+1] - lines[i])
	return i, math.Min(math.Max(along, 0), 1)
}

// FitMesh returns a surface through probed points. Points on a full grid, in any
// order, become its crossings, with straight lines between. Any others, such as a
// grid with gaps where a zone was in the way, are joined by a thin-plate spline
// (J. Duchon, 1977), the surface of an elastic plate held at the points, which is
// then taken at crossings close enough together that straight lines between them
// leave the points by little.
//
// The Flatness tells by how much, and is 0 but for the grid's tolerance; the bow
// of the slab itself is that of FitPlane. Errors: fewer than 4 points, more than
// 20 000 on a grid or 400 off one, coordinates that are not finite or beyond 10 m,
// all points in one line, two points within 0.01 mm of each other, a slope over
// 1 in 5 (between which lines, or points, it is), and points so uneven that 257
// lines each way do not follow them to 0.002 mm.
func FitMesh(points []geom.Point3) (*Mesh, Flatness, error) {
	flat, err := checkProbe(points, 4)
	if err != nil {
		return nil, Flatness{}, err
	}
	m, full := gridMesh(points)
	if !full {
		if len(points) > maxSpline {
			return nil, Flatness{}, fmt.Errorf("%d points that are not a full grid: at most %d are taken", len(points), maxSpline)
		}
		if i, j, near := nearPair(flat, samePlace); near {
			return nil, Flatness{}, &PointError{[]int{i, j}, fmt.Sprintf("the same place twice (%.3f, %.3f): leave one out", flat[i].X, flat[i].Y)}
		}
		if err := checkSteps(points); err != nil {
			return nil, Flatness{}, err
		}
		if m, err = splineMesh(points); err != nil {
			return nil, Flatness{}, err
		}
	}
	f := Deviation(m, points)
	if !(m.slope <= maxSlope) {
		return m, f, m.steep()
	}
	return m, f, nil
}

// steep says where the slope is too great.
func (m *Mesh) steep() error {
	for j := range m.y {
		for i := range m.x {
			p := geom.Pt(m.x[i], m.y[j])
			for _, to := range [2][2]int{{i + 1, j}, {i, j + 1}} {
				if to[0] == len(m.x) || to[1] == len(m.y) {
					continue
				}
				q := geom.Pt(m.x[to[0]], m.y[to[1]])
				// One of the two slopes in a cell is over this share of the whole.
				if rise := m.at(to[0], to[1]) - m.at(i, j); math.Abs(rise) > maxSlope/math.Sqrt2*p.Dist(q) {
					return fmt.Errorf("the height changes by %.3f mm between (%.3f, %.3f) and (%.3f, %.3f): probe there again", rise, p.X, p.Y, q.X, q.Y)
				}
			}
		}
	}
	return fmt.Errorf("the surface rises %.3g in 1, over %g: probe again", m.slope, maxSlope)
}

// checkSteps refuses two points between which the height jumps.
func checkSteps(points []geom.Point3) error {
	for i, p := range points {
		for j, q := range points[:i] {
			if d := p.XY().Dist(q.XY()); math.Abs(p.Z-q.Z) > maxSlope*d {
				return &PointError{[]int{j, i}, fmt.Sprintf("the height changes by %.3f mm over %.3f mm: probe there again", p.Z-q.Z, d)}
			}
		}
	}
	return nil
}

// gridMesh returns the mesh of points that are a full grid.
func gridMesh(points []geom.Point3) (*Mesh, bool) {
	xs, ys := make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		xs[i], ys[i] = p.X, p.Y
	}
	x, y := gridLines(xs), gridLines(ys)
	if len(x) < 2 || len(y) < 2 || len(x)*len(y) != len(points) {
		return nil, false
	}
	z := make([]float64, len(points))
	have := make([]bool, len(points))
	for _, p := range points {
		i, okX := nearestLine(x, p.X)
		j, okY := nearestLine(y, p.Y)
		k := j*len(x) + i
		if !okX || !okY || have[k] {
			return nil, false
		}
		z[k], have[k] = p.Z, true
	}
	return newMesh(x, y, z), true
}

// gridLines returns the middles of the groups in which the values lie.
func gridLines(v []float64) []float64 {
	slices.Sort(v)
	var lines []float64
	for from := 0; from < len(v); {
		to := from + 1
		for to < len(v) && v[to]-v[from] <= 2*gridTolerance {
			to++
		}
		lines = append(lines, v[from]+(v[to-1]-v[from])/2)
		from = to
	}
	return lines
}

func nearestLine(lines []float64, v float64) (int, bool) {
	i := sort.SearchFloat64s(lines, v)
	if i == len(lines) || i > 0 && v-lines[i-1] < lines[i]-v {
		i--
	}
	return i, math.Abs(lines[i]-v) <= 1.5*gridTolerance
}
