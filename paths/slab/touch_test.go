package slab

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
)

// drawTouches draws a square slab with holes in its corners and edges, laid
// somewhere and touched off with a tip by a hand that errs by noise.
func drawTouches(t *rapid.T, noise, turn float64, least int) ([]Touch, geom.Similarity, float64) {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	angle := num("angle", -turn, turn)
	m := geom.Rotate(angle).Then(geom.Translate(geom.Pt(num("dx", -300, 300), num("dy", -300, 300))))
	var out []Touch
	for i := range rapid.IntRange(least, 4).Draw(t, "points") {
		p := geom.Polar(40, math.Pi/4+float64(i)*math.Pi/2)
		out = append(out, Touch{Drawing: p, Touched: m.Apply(p).Add(geom.Pt(num("ex", -noise, noise), num("ey", -noise, noise)))})
	}
	for i := range rapid.IntRange(3, 6).Draw(t, "edges") {
		// Two touches far apart on the front edge, then one on each other edge.
		side := []int{0, 0, 1, 2, 3, 1}[i]
		n := geom.Polar(1, -math.Pi/2+float64(side)*math.Pi/2)
		along := []float64{-25, 25, 0, 5, -5, 20}[i] + num("along", -3, 3)
		at := n.Mul(30).Add(geom.Pt(-n.Y, n.X).Mul(along))
		r := num("tip", 0, 3)
		out = append(out, Touch{
			Drawing: at.Add(geom.Pt(-n.Y, n.X).Mul(num("elsewhere", -10, 10))), Normal: n.Mul(num("any length", 0.1, 9)), Radius: r,
			Touched: m.Apply(at).Add(geom.Rotate(angle).ApplyVector(n).Mul(r + num("en", -noise, noise))),
		})
	}
	return out, m, angle
}

// gaussNewton solves the same problem from a start near by, with the equations
// written down in the coordinates of the machine and gonum's least squares by QR
// (gonum.org/v1/gonum/mat) for every step.
func gaussNewton(t *rapid.T, touches []Touch, scale bool, angle float64, shift geom.Point) (a, k float64, sh geom.Point) {
	k = 1
	for range 50 {
		var rows [][]float64
		var rest []float64
		sin, cos := math.Sincos(angle)
		row := func(nx, ny float64, touch Touch, r, turned float64) {
			p := touch.Drawing
			x, y := cos*p.X-sin*p.Y, sin*p.X+cos*p.Y
			gap := nx*(touch.Touched.X-k*x-shift.X) + ny*(touch.Touched.Y-k*y-shift.Y) - r
			one := []float64{nx, ny, nx*k*(-y) + ny*k*x - turned}
			if scale {
				one = append(one, nx*x+ny*y)
			}
			rows, rest = append(rows, one), append(rest, gap)
		}
		for _, touch := range touches {
			if touch.Normal == (geom.Point{}) {
				row(1, 0, touch, 0, 0)
				row(0, 1, touch, 0, 0)
				continue
			}
			u := touch.Normal.Mul(1 / touch.Normal.Len())
			nx, ny := cos*u.X-sin*u.Y, sin*u.X+cos*u.Y
			p := touch.Drawing
			x, y := cos*p.X-sin*p.Y, sin*p.X+cos*p.Y
			// The normal turns, too: d/da n = (-ny, nx).
			turned := -ny*(touch.Touched.X-k*x-shift.X) + nx*(touch.Touched.Y-k*y-shift.Y)
			row(nx, ny, touch, touch.Radius, turned)
		}
		m := mat.NewDense(len(rows), len(rows[0]), nil)
		for i, r := range rows {
			m.SetRow(i, r)
		}
		var d mat.VecDense
		require.NoError(t, d.SolveVec(m, mat.NewVecDense(len(rest), rest)))
		shift = shift.Add(geom.Pt(d.AtVec(0), d.AtVec(1)))
		angle += d.AtVec(2)
		if scale {
			k += d.AtVec(3)
		}
		if mat.Norm(&d, math.Inf(1)) < 1e-13 {
			break
		}
	}
	return angle, k, shift
}

func TestRegisterTouchesAgainstGaussNewton(t *testing.T) {
	for _, scale := range []bool{false, true} {
		t.Run(fmt.Sprintf("scale %v", scale), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				touches, m, angle := drawTouches(t, 0.05, 3, 2)
				f, err := RegisterTouches(touches, FitOptions{Limit: 1, Scale: scale})
				require.NoError(t, err)
				a, k, shift := gaussNewton(t, touches, scale, angle, m.Apply(geom.Point{}))
				// Gauss-Newton leaves a little where the residuals are not zero.
				assert.InDelta(t, 0, math.Remainder(f.Angle-a, 2*math.Pi), 1e-8)
				assert.InDelta(t, k, f.Scale, 1e-8)
				assert.InDelta(t, 0, f.Map.Apply(geom.Point{}).Dist(shift), 1e-6)
				assert.Equal(t, k == 1, f.Scale == 1)
				unknowns := 3
				if scale {
					unknowns = 4
				}
				rows := 0
				for _, touch := range touches {
					rows++
					if touch.Normal == (geom.Point{}) {
						rows++
					}
				}
				assert.Equal(t, rows-unknowns, f.Spare)
			})
		})
	}
}

func TestRegisterTouchesExact(t *testing.T) {
	// Without an error of the hand the true place comes out, with edges alone too
	// as long as the slab lies about as it is drawn.
	rapid.Check(t, func(t *rapid.T) {
		touches, m, angle := drawTouches(t, 0, 0.7, 0)
		f, err := RegisterTouches(touches, FitOptions{})
		require.NoError(t, err)
		assert.InDelta(t, angle, f.Angle, 1e-9)
		for _, p := range []geom.Point{{}, geom.Pt(30, 30), geom.Pt(-30, 10)} {
			assert.InDelta(t, 0, f.Map.Apply(p).Dist(m.Apply(p)), 1e-7)
			assert.InDelta(t, 0, f.Rigid.Apply(p).Dist(m.Apply(p)), 1e-7)
		}
		assert.InDelta(t, 0, f.Largest(), 1e-7)
	})
}

func TestRegisterTouchesMatchesRegister(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to, _ := drawPairs(t, 0.5)
		var touches []Touch
		for i := range from {
			touches = append(touches, Touch{Drawing: from[i], Touched: to[i]})
		}
		o := loose
		o.Scale = true
		a, err := Register(from, to, o)
		require.NoError(t, err)
		b, err := RegisterTouches(touches, o)
		require.NoError(t, err)
		assert.Equal(t, a, b)
		// The same by the other way of solving.
		s, err := newTouchSystem(touches, o)
		require.NoError(t, err)
		best := math.Inf(1)
		for _, angle := range s.minima() {
			if c, ok := s.fit(angle); ok && c.RMS < best {
				best = c.RMS
				assert.InDelta(t, a.RMS, c.RMS, 1e-9)
				assert.InDelta(t, a.Scale, c.Scale, 1e-9)
			}
		}
	})
}

func TestRegisterTouchesErrors(t *testing.T) {
	pt, none := geom.Pt, geom.Point{}
	hole := Touch{Drawing: pt(5, 5), Touched: pt(15, 25)}
	front := func(x float64) Touch { return Touch{Drawing: pt(x, 0), Touched: pt(10+x, 20), Normal: pt(0, -1)} }
	left := Touch{Drawing: pt(0, 20), Touched: pt(10, 40), Normal: pt(-1, 0)}
	skew := Touch{Drawing: pt(0, 20), Touched: pt(10, 40), Normal: pt(-0.1, 1)}
	off := front(60)
	off.Touched.Y += 0.5
	for name, c := range map[string]struct {
		touches []Touch
		o       FitOptions
		want    string
	}{
		"one touch":              {[]Touch{hole}, FitOptions{}, "at least 2"},
		"one edge only":          {[]Touch{front(10), front(60)}, FitOptions{}, "2 coordinates touched off for 3 unknowns"},
		"all edges along X":      {[]Touch{front(10), front(40), front(60)}, FitOptions{}, "leave a shift open"},
		"edges nearly parallel":  {[]Touch{front(10), front(60), skew}, FitOptions{}, "leave a shift open"},
		"turn hardly known":      {[]Touch{front(10), front(11), left}, FitOptions{}, "hardly tell how far the slab is turned"},
		"scale open":             {[]Touch{front(10), front(60), left, front(35)}, FitOptions{Scale: true}, "leave the scale open"},
		"one is off":             {[]Touch{hole, front(10), front(35), off, left}, FitOptions{}, "point 3: lies 0.185 mm"},
		"normal is no number":    {[]Touch{hole, {Drawing: pt(1, 1), Normal: pt(math.NaN(), 1)}}, FitOptions{}, "point 2: the edge has no direction"},
		"tip out of range":       {[]Touch{hole, {Drawing: pt(1, 1), Normal: pt(0, 1), Radius: math.Inf(1)}}, FitOptions{}, "point 2: a tip's radius"},
		"tip of a point":         {[]Touch{hole, {Drawing: pt(1, 1), Radius: 1}}, FitOptions{}, "point 2: a point is touched off at its middle"},
		"a place is no number":   {[]Touch{hole, {Drawing: pt(1, math.NaN()), Normal: pt(0, 1)}}, FitOptions{}, "point 2: a coordinate is not a finite number"},
		"points too near":        {[]Touch{hole, {Drawing: pt(6, 5), Touched: pt(16, 25)}, front(10), left}, FitOptions{}, "points 1 and 2: only 1.000 mm apart"},
		"limit out of range":     {[]Touch{hole, front(10), front(60), left}, FitOptions{Limit: -1}, "limit of -1 mm"},
		"turned more than drawn": {[]Touch{hole, {Drawing: pt(0, 0), Touched: pt(10, 20), Normal: pt(-1, 0)}, {Drawing: pt(0, 50), Touched: pt(-40, 20), Normal: pt(-1, 0)}}, FitOptions{}, "45 degrees"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := RegisterTouches(c.touches, c.o)
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
	f, err := RegisterTouches([]Touch{front(10), front(60), left}, FitOptions{})
	require.NoError(t, err, "three touches of edges are what a corner is found with")
	assert.Zero(t, f.Spare)
	assert.InDelta(t, 0, f.Map.Apply(none).Dist(pt(10, 20)), 1e-9)
}

// A corner found with a 4 mm tip: two touches on the front edge, one on the
// left one, the slab turned by 2 degrees.
func ExampleRegisterTouches() {
	turn := geom.Rotate(2 * math.Pi / 180)
	at := func(x, y float64) geom.Point { return turn.Apply(geom.Pt(x, y)).Add(geom.Pt(12, 7)) }
	f, err := RegisterTouches([]Touch{
		{Drawing: geom.Pt(0, 0), Normal: geom.Pt(0, -1), Radius: 2, Touched: at(10, -2)},
		{Drawing: geom.Pt(0, 0), Normal: geom.Pt(0, -1), Radius: 2, Touched: at(50, -2)},
		{Drawing: geom.Pt(0, 0), Normal: geom.Pt(-1, 0), Radius: 2, Touched: at(-2, 20)},
	}, FitOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	o := f.Map.Apply(geom.Point{})
	fmt.Printf("turned %.3f degrees, the corner at %.3f %.3f, %d to spare\n", f.Angle*180/math.Pi, o.X, o.Y, f.Spare)
	// Output: turned 2.000 degrees, the corner at 12.000 7.000, 0 to spare
}
