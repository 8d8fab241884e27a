package slab

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

func probe(t testing.TB, name string, unit setup.Unit) []geom.Point3 {
	f, err := os.Open("testdata/" + name)
	require.NoError(t, err)
	defer f.Close()
	p, err := ReadProbe(f, unit)
	require.NoError(t, err)
	return p
}

func TestPlaneAgainstLeastSquares(t *testing.T) {
	// Outside check: gonum's least squares by QR (gonum.org/v1/gonum/mat).
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		n := rapid.IntRange(3, 20).Draw(t, "n")
		a, b := mat.NewDense(n, 3, nil), mat.NewVecDense(n, nil)
		var pts []geom.Point3
		for i := range n {
			p := geom.Polar(num("r", 30, 60), 2*math.Pi*float64(i)/float64(n))
			q := geom.Pt3(p.X+200, p.Y-100, 5+0.03*p.X+num("e", -0.2, 0.2))
			pts = append(pts, q)
			a.SetRow(i, []float64{1, q.X, q.Y})
			b.SetVec(i, q.Z)
		}
		var x mat.VecDense
		require.NoError(t, x.SolveVec(a, b))
		p, f, err := FitPlane(pts, 0)
		require.NoError(t, err)
		require.InDelta(t, x.AtVec(0), p.Height(geom.Pt(0, 0)), 1e-9)
		require.InDelta(t, x.AtVec(1), p.SlopeX, 1e-12)
		require.InDelta(t, x.AtVec(2), p.SlopeY, 1e-12)
		var r mat.VecDense
		r.MulVec(a, &x)
		r.SubVec(b, &r)
		for i, v := range f.Residuals {
			require.InDelta(t, r.AtVec(i), v, 1e-9)
		}
		require.InDelta(t, mat.Max(&r)-mat.Min(&r), f.Bow, 1e-9)
	})
}

func TestPlaneTilt(t *testing.T) {
	// A slab that rises 1 mm in 50 to the upper left, by hand.
	var pts []geom.Point3
	for _, p := range []geom.Point{{X: 0, Y: 0}, {X: 60, Y: 0}, {X: 60, Y: 40}, {X: 0, Y: 40}} {
		pts = append(pts, p.At(3+(-p.X+p.Y)/math.Sqrt2/50))
	}
	p, f, err := FitPlane(pts, 0.001)
	require.NoError(t, err)
	assert.InDelta(t, math.Atan(0.02), p.Tilt(), 1e-12)
	assert.InDelta(t, 3*math.Pi/4, p.Direction(), 1e-9)
	assert.InDelta(t, 0, f.Bow, 1e-12)
}

func TestFitsRefuse(t *testing.T) {
	square := []geom.Point3{{}, {X: 40}, {X: 40, Y: 30}, {Y: 30}}
	with := func(p ...geom.Point3) []geom.Point3 { return append(append([]geom.Point3{}, square...), p...) }
	for _, c := range []struct {
		name   string
		points []geom.Point3
		want   string
	}{
		{"none", nil, "0 points: at least"},
		{"two", square[:2], "2 points: at least"},
		{"line", []geom.Point3{{}, {X: 10}, {X: 20}, {X: 30}}, "all 4 points lie in one line"},
		{"NaN", with(geom.Pt3(5, 5, math.NaN())), "point 5: the height is not a finite number"},
		{"infinite", with(geom.Pt3(5, math.Inf(1), 0)), "point 5: a coordinate is not a finite number"},
		{"far", with(geom.Pt3(5, 5, 1e5)), "point 5: the height 100000 is beyond"},
		{"steep", []geom.Point3{{}, {X: 40, Z: 20}, {X: 40, Y: 30, Z: 20}, {Y: 30}}, "probe"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := FitPlane(c.points, 0)
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			_, _, err = FitMesh(c.points)
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
	_, _, err := FitPlane(with(geom.Pt3(20, 15, 1)), 0.5)
	assert.ErrorContains(t, err, "point 5: lies 0.800 mm from the plane, over the limit of 0.5 mm")
	_, _, err = FitPlane(square, math.NaN())
	assert.ErrorContains(t, err, "limit of NaN")
	_, _, err = FitMesh(with(geom.Pt3(20, 15, 0), geom.Pt3(20, 15.001, 0)))
	assert.ErrorContains(t, err, "points 5 and 6: the same place twice")
	_, _, err = FitMesh(with(geom.Pt3(5, 0, 3)))
	assert.ErrorContains(t, err, "points 1 and 5: the height changes by 3.000 mm over 5.000 mm")
	many := make([]geom.Point3, maxSpline+1)
	for i := range many {
		many[i] = geom.Polar(float64(i), float64(i)).At(0)
	}
	_, _, err = FitMesh(many)
	assert.ErrorContains(t, err, "401 points that are not a full grid")
}

func TestMeshGrid(t *testing.T) {
	pts := probe(t, "probe.csv", setup.MM)
	m, f, err := FitMesh(pts)
	require.NoError(t, err)
	assert.Equal(t, geom.Box{Min: geom.Pt(5, 4), Max: geom.Pt(55, 40)}, m.Bounds())
	assert.InDelta(t, 0, f.Bow, 1e-12)
	for _, p := range pts {
		assert.InDelta(t, p.Z, m.Height(p.XY()), 1e-12)
	}
	// The middle of a cell is the mean of its corners.
	mean := (m.Height(geom.Pt(5, 4)) + m.Height(geom.Pt(15, 4)) + m.Height(geom.Pt(5, 13)) + m.Height(geom.Pt(15, 13))) / 4
	assert.InDelta(t, mean, m.Height(geom.Pt(10, 8.5)), 1e-12)
	// Outside it is level away from the border.
	assert.Equal(t, m.Height(geom.Pt(5, 20)), m.Height(geom.Pt(-100, 20)))
	assert.Equal(t, m.Height(geom.Pt(55, 40)), m.Height(geom.Pt(1e9, 1e9)))
	// The probe reads back a few thousandths beside the lines of the grid.
	for i := range pts {
		pts[i].X += 0.002 * float64(i%3-1)
	}
	m, f, err = FitMesh(pts)
	require.NoError(t, err)
	assert.Len(t, m.x, 6)
	assert.Less(t, f.RMS, 1e-4)
}

func TestMeshGaps(t *testing.T) {
	// The same face with places left out: the spline fills them to a few hundredths.
	pts := probe(t, "probe-gaps.csv", setup.Inch)
	m, f, err := FitMesh(pts)
	require.NoError(t, err)
	assert.Greater(t, len(m.x), 6)
	assert.LessOrEqual(t, math.Abs(f.Residuals[f.Worst]), meshTolerance)
	full := Deviation(m, probe(t, "probe.csv", setup.MM))
	assert.Less(t, math.Abs(full.Residuals[full.Worst]), 0.05)
}

func TestSplineIsPlaneForPlane(t *testing.T) {
	// A plate that need not bend does not: the spline of points in a plane is it.
	var pts []geom.Point3
	for i := range 9 {
		p := geom.Polar(float64(20+3*i), float64(i))
		pts = append(pts, p.At(2+0.01*p.X-0.02*p.Y))
	}
	m, _, err := FitMesh(pts)
	require.NoError(t, err)
	for _, p := range []geom.Point{{X: 1, Y: 2}, {X: -10, Y: 5}, {X: 12, Y: -9}} {
		assert.InDelta(t, 2+0.01*p.X-0.02*p.Y, m.Height(p), 1e-9)
	}
	assert.InDelta(t, math.Hypot(0.01, 0.02), m.Lipschitz(), 1e-8)
}

func TestSurfaceProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		nx, ny := rapid.IntRange(2, 5).Draw(t, "nx"), rapid.IntRange(2, 5).Draw(t, "ny")
		var pts []geom.Point3
		for j := range ny {
			for i := range nx {
				pts = append(pts, geom.Pt3(12*float64(i), 9*float64(j), num("z", -0.3, 0.3)))
			}
		}
		if rapid.Bool().Draw(t, "gap") && len(pts) > 5 {
			pts = pts[1:]
		}
		m, f, err := FitMesh(rapid.Permutation(pts).Draw(t, "order"))
		require.NoError(t, err)
		// (1) It goes through the points.
		require.LessOrEqual(t, math.Abs(f.Residuals[f.Worst]), meshTolerance)
		// (2) The slope is bounded, inside and out.
		for range 20 {
			p, q := geom.Pt(num("px", -20, 80), num("py", -20, 60)), geom.Pt(num("qx", -20, 80), num("qy", -20, 60))
			require.LessOrEqual(t, math.Abs(m.Height(p)-m.Height(q)), m.Lipschitz()*p.Dist(q)+1e-12)
		}
		// (3) The bound is reached, nearly, in some cell.
		steepest := 0.0
		const d = 1e-4
		for j := range len(m.y) {
			for i := range len(m.x) {
				for _, s := range []geom.Point{{X: d, Y: d}, {X: -d, Y: d}, {X: d, Y: -d}, {X: -d, Y: -d}} {
					c := geom.Pt(m.x[i], m.y[j]).Add(s)
					dx := (m.Height(c.Add(geom.Pt(d/2, 0))) - m.Height(c.Sub(geom.Pt(d/2, 0)))) / d
					dy := (m.Height(c.Add(geom.Pt(0, d/2))) - m.Height(c.Sub(geom.Pt(0, d/2)))) / d
					steepest = math.Max(steepest, math.Hypot(dx, dy))
				}
			}
		}
		require.GreaterOrEqual(t, steepest, 0.7*m.Lipschitz()-1e-6)
	})
}

func TestReadTables(t *testing.T) {
	pts, err := ReadPoints(strings.NewReader("\xef\xbb\xbf# edge\nnote,Y, X\n a,2,1\nb, -.5 ,+10.\n"), setup.Inch)
	require.NoError(t, err)
	assert.Equal(t, []geom.Point{{X: 25.4, Y: 50.8}, {X: 254, Y: -12.7}}, pts)
	for _, c := range []struct{ text, want string }{
		{"", "no row of numbers"},
		{"x,y\n", "no row of numbers"},
		{"1,2\n3,4\n", "there is no column x"},
		{"x,z\n3,4\n", "there is no column y"},
		{"x,y,X\n3,4,5\n", "the column x stands twice"},
		{"x,y\n3,4\n5\n", "line 3, column 1: wrong number of fields"},
		{"x,y\n3,four\n", `line 2, column 3: y: "four" is not a number`},
		{"x,y\n3,\n", "line 2, column 3: y: the cell is empty"},
		{"x,y\n1e3,4\n", "is not a number"},
		{"x,y\nNaN,4\n", "is not a number"},
		{"x,y\n0x1p4,4\n", "is not a number"},
		{"x,y\n1_0,4\n", "is not a number"},
		{"x,y\n1-2,4\n", "is not a number"},
		{"x,y\n3,20000\n", "beyond 10 m"},
		{"x,y\n\"3,4\n", "line 2, column 6: extraneous or missing"},
		{"x,y\n3,\xff\n", "not UTF-8"},
		{"x,y\n" + strings.Repeat("1,2\n", maxTablePoints+1), "more than 20000 rows"},
		{strings.Repeat("#", maxTableBytes+1), "more than 4194304 bytes"},
	} {
		_, err := ReadPoints(strings.NewReader(c.text), setup.MM)
		require.Error(t, err, "%.40q", c.text)
		assert.Contains(t, err.Error(), c.want)
	}
}

func FuzzReadProbe(f *testing.F) {
	for _, name := range []string{"probe.csv", "probe-gaps.csv"} {
		data, err := os.ReadFile("testdata/" + name)
		require.NoError(f, err)
		f.Add(string(data))
	}
	f.Fuzz(func(t *testing.T, text string) {
		pts, err := ReadProbe(strings.NewReader(text), setup.Inch)
		if err != nil {
			return
		}
		for _, p := range pts {
			require.True(t, p.Finite())
		}
		if len(pts) > 60 {
			return
		}
		if m, _, err := FitMesh(pts); err == nil {
			lo, hi := m.Range(m.Bounds())
			h := m.Height(pts[0].XY())
			require.True(t, lo-1e-9 <= h && h <= hi+1e-9)
		}
	})
}

func BenchmarkFitMesh(b *testing.B) {
	for _, name := range []string{"probe.csv", "probe-gaps.csv"} {
		pts := probe(b, name, setup.MM)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, _, err := FitMesh(pts); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Tilt and bow of the probed offcut, and its height where the player's name goes.
func ExampleFitMesh() {
	f, err := os.Open("testdata/probe.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer f.Close()
	points, err := ReadProbe(f, setup.MM)
	if err != nil {
		fmt.Println(err)
		return
	}
	plane, flat, err := FitPlane(points, 0)
	fmt.Printf("tilt %.3f deg toward %.0f deg, bow %.3f mm, %v\n", plane.Tilt()*180/math.Pi, plane.Direction()*180/math.Pi, flat.Bow, err)
	mesh, _, err := FitMesh(points)
	fmt.Printf("height %.3f mm, slope %.4f at most, %v\n", mesh.Height(geom.Pt(30, 22)), mesh.Lipschitz(), err)
	// Output:
	// tilt 0.206 deg toward -30 deg, bow 0.068 mm, <nil>
	// height -0.117 mm, slope 0.0073 at most, <nil>
}
