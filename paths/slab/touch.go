package slab

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"proofcut/paths/geom"
)

// Touch is one measurement of where a drawn slab lies on the machine: a point
// such as the middle of a hole, or a straight edge that a tip was brought
// against, which tells one coordinate only.
type Touch struct {
	Drawing geom.Point // in the drawing; of an edge any point on it
	Touched geom.Point // where it was found on the machine; of an edge the tip's axis

	// Normal is the direction away from the material, across an edge, in the
	// drawing; its length does not matter. Zero: the touch is of a point.
	Normal geom.Point

	Radius float64 // of the tip that was brought against an edge, mm
}

func (t Touch) edge() bool { return t.Normal != (geom.Point{}) }

const (
	// roughTurn bounds the turn where fewer than two points are touched off:
	// edges alone fit a slab on either side of their lines, and one that lies
	// about as it is drawn is what was meant.
	roughTurn = math.Pi / 4

	// mostDoubt is how many times the error of one touch may come through in the
	// shift: edges that cross at less than about 20 degrees give more.
	mostDoubt = 4

	// turnSteps is in how many steps a full turn is looked through for a least
	// sum of squares, which has four stationary places at most (see RegisterTouches).
	turnSteps = 1440
)

// RegisterTouches is Register for points and edges together. Each edge counts
// with the square of the distance by which the tip misses it (point to line), a
// point with that of both coordinates. For any turn the rest of the problem is
// linear with the same matrix, so that the least sum of squares is a
// trigonometric polynomial of degree two in the turn and all its minima can be
// found; nothing is started from a guess.
//
// With fewer than two points among the touches the slab has to lie within 45
// degrees of how it is drawn. Fit.Spare tells how many measurements there are
// beyond the unknowns: 0 means that nothing checks the fit.
//
// Errors beside those of Register: touches that leave a shift or the turn open,
// such as edges that all run the same way; two turns that fit within the limit;
// a normal or a radius that is no number.
func RegisterTouches(touches []Touch, o FitOptions) (Fit, error) {
	var from, to []geom.Point
	for i, t := range touches {
		switch {
		case !t.Normal.Finite():
			return Fit{}, &PointError{[]int{i}, "the edge has no direction"}
		case !(t.Radius >= 0 && t.Radius <= maxExtent):
			return Fit{}, &PointError{[]int{i}, fmt.Sprintf("a tip's radius of %g mm is out of range", t.Radius)}
		case !t.edge() && t.Radius != 0:
			return Fit{}, &PointError{[]int{i}, "a point is touched off at its middle and has no tip's radius"}
		}
		from, to = append(from, t.Drawing), append(to, t.Touched)
	}
	if err := checkPoints(from, 2, maxFitPoints); err != nil {
		return Fit{}, fmt.Errorf("of the drawing: %w", err)
	}
	if err := checkPoints(to, 2, maxFitPoints); err != nil {
		return Fit{}, fmt.Errorf("touched off: %w", err)
	}
	var points []int
	for i, t := range touches {
		if !t.edge() {
			points = append(points, i)
		}
	}
	if len(points) == len(touches) {
		return Register(from, to, o)
	}
	if err := o.normal(); err != nil {
		return Fit{}, err
	}
	if err := apart(touches, points, o.Spacing); err != nil {
		return Fit{}, err
	}
	s, err := newTouchSystem(touches, o)
	if err != nil {
		return Fit{}, err
	}
	var fits []Fit
	for _, angle := range s.minima() {
		if len(points) < 2 && math.Abs(angle) > roughTurn {
			continue
		}
		if f, ok := s.fit(angle); ok {
			fits = append(fits, f)
		}
	}
	if len(fits) == 0 {
		return Fit{}, errors.New("the slab does not lie within 45 degrees of how it is drawn: touch off two points, or turn the drawing")
	}
	best := 0
	for i := range fits {
		if fits[i].RMS < fits[best].RMS {
			best = i
		}
	}
	f := fits[best]
	if doubt := 1 / math.Sqrt(s.information(f.Angle)); !(doubt <= math.Sqrt2/o.Spacing) {
		return f, fmt.Errorf("the touches hardly tell how far the slab is turned: take two on one edge, or two points, at least %g mm apart", o.Spacing)
	}
	if f.Largest() > o.Limit {
		return f, &PointError{[]int{f.Worst}, fmt.Sprintf("lies %.3f mm from where the others put it, over the limit of %g mm", f.Largest(), o.Limit)}
	}
	for i := range fits {
		if i != best && fits[i].Largest() <= o.Limit {
			return f, fmt.Errorf("the touches fit a slab turned by %.1f degrees and one turned by %.1f degrees: touch off one more point",
				f.Angle*180/math.Pi, fits[i].Angle*180/math.Pi)
		}
	}
	return f, nil
}

// apart refuses two points too near each other.
func apart(touches []Touch, points []int, spacing float64) error {
	for k, i := range points {
		for _, j := range points[:k] {
			for _, d := range []float64{touches[i].Drawing.Dist(touches[j].Drawing), touches[i].Touched.Dist(touches[j].Touched)} {
				if d < spacing {
					return &PointError{[]int{j, i}, fmt.Sprintf("only %.3f mm apart, which fixes no direction: take points at least %g mm apart", d, spacing)}
				}
			}
		}
	}
	return nil
}

// touchSystem is the least-squares problem in the frame of the drawing. With the
// turn R fixed, u = R^T shift and the scale k are found from
//
//	point: u + k a = R^T c      edge: n.u + k n.a = n.R^T c - r
//
// where a is the drawing's point from the middle of all. The matrix does not
// depend on R, and the right side is cos b1 + sin b2 + b0.
type touchSystem struct {
	touches []Touch
	o       FitOptions
	middle  geom.Point
	qr      mat.QR
	right   [3]*mat.VecDense // b0, b1, b2
	gram    [3][3]float64    // of what the matrix leaves of them
	rows    int
	columns int
}

func newTouchSystem(touches []Touch, o FitOptions) (*touchSystem, error) {
	s := &touchSystem{touches: touches, o: o, columns: 2}
	if o.Scale {
		s.columns = 3
	}
	for _, t := range touches {
		s.middle = s.middle.Add(t.Drawing.Mul(1 / float64(len(touches))))
		s.rows++
		if !t.edge() {
			s.rows++
		}
	}
	if s.rows < s.columns+1 {
		return nil, fmt.Errorf("%d coordinates touched off for %d unknowns: touch off more", s.rows, s.columns+1)
	}
	a := mat.NewDense(s.rows, s.columns, nil)
	for k := range s.right {
		s.right[k] = mat.NewVecDense(s.rows, nil)
	}
	row := 0
	put := func(n, at, c geom.Point, r float64) {
		a.Set(row, 0, n.X)
		a.Set(row, 1, n.Y)
		along := n.Dot(at)
		if o.Scale {
			a.Set(row, 2, along)
			along = 0
		}
		s.right[0].SetVec(row, -along-r)
		s.right[1].SetVec(row, n.Dot(c))   // R^T c = cos c + sin (c.Y, -c.X)
		s.right[2].SetVec(row, n.Cross(c)) // n.(c.Y, -c.X)
		row++
	}
	for _, t := range touches {
		at := t.Drawing.Sub(s.middle)
		if t.edge() {
			put(t.Normal.Mul(1/t.Normal.Len()), at, t.Touched, t.Radius)
			continue
		}
		put(geom.Pt(1, 0), at, t.Touched, 0)
		put(geom.Pt(0, 1), at, t.Touched, 0)
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDNone) {
		return nil, errors.New("the touches leave the slab's place open")
	}
	v := svd.Values(nil)
	if !(v[s.columns-1] > 0) || doubtOf(a, s.columns) > mostDoubt {
		return nil, errors.New("the touches leave a shift open: edges that run nearly the same way tell nothing along them; touch off a point, or an edge across")
	}
	if o.Scale {
		var inv mat.Dense
		if err := invertNormal(a, &inv); err != nil || !(math.Sqrt(inv.At(2, 2)) <= math.Sqrt2/o.Spacing) {
			return nil, errors.New("the touches leave the scale open: touch off points or edges on both sides")
		}
	}
	s.qr.Factorize(a)
	var left [3]mat.VecDense
	for k := range left {
		var x mat.VecDense
		if err := s.qr.SolveVecTo(&x, false, s.right[k]); err != nil {
			return nil, errors.New("the touches leave the slab's place open")
		}
		left[k].MulVec(a, &x)
		left[k].SubVec(s.right[k], &left[k])
	}
	for i := range left {
		for j := range left {
			s.gram[i][j] = mat.Dot(&left[i], &left[j])
		}
	}
	return s, nil
}

// doubtOf returns by how much the error of one touch comes through in the shift
// at most, the scale taken for known.
func doubtOf(a *mat.Dense, columns int) float64 {
	rows, _ := a.Dims()
	var svd mat.SVD
	if !svd.Factorize(a.Slice(0, rows, 0, min(columns, 2)), mat.SVDNone) {
		return math.Inf(1)
	}
	return 1 / svd.Values(nil)[1]
}

func invertNormal(a *mat.Dense, inv *mat.Dense) error {
	var n mat.Dense
	n.Mul(a.T(), a)
	return inv.Inverse(&n)
}

// slope returns how the least sum of squares changes with the turn.
func (s *touchSystem) slope(angle float64) float64 {
	sin, cos := math.Sincos(angle)
	w := [3]float64{1, cos, sin}
	dw := [3]float64{0, -sin, cos}
	d := 0.0
	for i := range w {
		for j := range w {
			d += 2 * s.gram[i][j] * w[i] * dw[j]
		}
	}
	return d
}

// information returns how sharply the touches tell the turn: the sum of squares
// rises by this times the square of a small turn, the residuals left aside.
func (s *touchSystem) information(angle float64) float64 {
	sin, cos := math.Sincos(angle)
	dw := [3]float64{0, -sin, cos}
	v := 0.0
	for i := range dw {
		for j := range dw {
			v += s.gram[i][j] * dw[i] * dw[j]
		}
	}
	return v
}

// minima returns the turns at which the sum of squares is least, in (-pi, pi].
func (s *touchSystem) minima() []float64 {
	var out []float64
	step := 2 * math.Pi / turnSteps
	at := func(i int) float64 { return -math.Pi + float64(i)*step }
	// Each place is asked once: where it is a minimum itself rounding decides on
	// the sign, and both of its neighbours have to see the same.
	var falls [turnSteps + 1]bool
	for i := range turnSteps {
		falls[i] = s.slope(at(i)) < 0
	}
	falls[turnSteps] = falls[0]
	for i := range turnSteps {
		lo, hi := at(i), at(i+1)
		if !falls[i] || falls[i+1] {
			continue
		}
		const halvings = 60 // more than a float64 has digits
		for range halvings {
			mid := lo + (hi-lo)/2
			if s.slope(mid) < 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		out = append(out, hi)
	}
	return out
}

// fit returns the fit at a turn; false when it would turn the slab inside out.
func (s *touchSystem) fit(angle float64) (Fit, bool) {
	sin, cos := math.Sincos(angle)
	b := mat.NewVecDense(s.rows, nil)
	b.AddScaledVec(s.right[0], cos, s.right[1])
	b.AddScaledVec(b, sin, s.right[2])
	var x mat.VecDense
	if err := s.qr.SolveVecTo(&x, false, b); err != nil {
		return Fit{}, false
	}
	f := Fit{Angle: angle, Scale: 1, Ratio: 1, Spare: s.rows - s.columns - 1}
	if s.o.Scale {
		f.Scale = x.AtVec(2)
		f.Ratio = f.Scale
	}
	if !(f.Scale > 0) {
		return Fit{}, false
	}
	shift := geom.Rotate(angle).ApplyVector(geom.Pt(x.AtVec(0), x.AtVec(1)))
	f.compose(s.middle, shift, false)
	sum := 0.0
	for i, t := range s.touches {
		r := t.Touched.Sub(f.Map.Apply(t.Drawing))
		if t.edge() {
			n := geom.Rotate(angle).ApplyVector(t.Normal.Mul(1 / t.Normal.Len()))
			r = n.Mul(n.Dot(r) - t.Radius)
		}
		f.Residuals = append(f.Residuals, r)
		sum += r.Dot(r)
		if r.Len() > f.Residuals[f.Worst].Len() {
			f.Worst = i
		}
	}
	f.RMS = math.Sqrt(sum / float64(len(s.touches)))
	return f, true
}
