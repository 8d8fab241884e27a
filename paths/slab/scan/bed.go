package scan

import (
	"errors"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// Bed says what the piece lies on.
type Bed uint8

// The beds.
const (
	AutoBed  Bed = iota // as it is along the picture's edge
	LightBed            // lighter than the piece
	DarkBed             // darker than the piece
)

// String returns "light", "dark" or "automatic".
func (b Bed) String() string { return [...]string{"automatic", "light", "dark"}[min(b, 2)] }

// model tells bed from piece: how far a pixel's colour is from that of the bed
// at its place, along the direction in colour space in which the two are
// furthest apart.
type model struct {
	bed    Bed          // found or given
	colour [6]rgb       // of the bed: coefficients of 1, x, y, x2, xy, y2
	weight rgb          // the direction
	limit  float64      // distances above it are the piece
	w, h   float64      // of the picture, to scale x and y to -1..1
	sample []sampleSpot // pixels that it was made from
}

type sampleSpot struct {
	c    rgb
	x, y float64 // -1..1
	rim  bool    // near the picture's edge
}

const (
	// sampleSize is about how many pixels the model is made from: enough for a
	// histogram that is smooth to a percent.
	sampleSize = 100_000
	// rimShare is the part of the shorter side that counts as the picture's edge.
	rimShare = 0.01
	// apart is how many standard deviations the means of two populations have to
	// be apart to be two. The halves of one are 2.65 (normal) and 3.46 (even)
	// apart.
	apart = 5.0
	// leastApart is the same for the first division, where a piece of many tones
	// has to pass.
	leastApart = 3.0
	// leastShade is the least distance between bed and piece, of full scale: a
	// scanner's own noise is a third of it (common practice, no source).
	leastShade = 0.03
	// levels is the number of classes of a histogram.
	levels = 512
)

var errNoPiece = errors.New("no piece stands out from the bed: put a sheet of another tone behind it and scan again")

// newModel learns the colours of bed and piece from a sample of the pixels.
//
// The bed's colour is that along the picture's edge, or the median of the class
// that was asked for. Of the channels, the brightness and the direction of R. A.
// Fisher's linear discriminant (1936) the one is taken in which the tenth of
// the piece that is nearest to the bed is furthest from it, measured in the
// bed's own spread. Then the bed's light is let vary as a quadratic over the
// picture, and all is done again.
func newModel(p *Picture, bed Bed) (*model, error) {
	m := &model{w: float64(p.w), h: float64(p.h), bed: bed}
	m.take(p)
	m.colour[0] = m.bedColour()
	if bed == AutoBed {
		m.rimLight()
	}
	candidates := []rgb{luma, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for round := range 3 {
		if err := m.choose(candidates); err != nil {
			return nil, err
		}
		if f, ok := m.fisher(); ok {
			if err := m.choose(append(candidates, f)); err != nil {
				return nil, err
			}
		}
		if round < 2 {
			near := *m // the choice at hand, while the light changes
			m.light(func(s sampleSpot) bool {
				// Not the other half: it may be the blurred border of the piece.
				return near.distance(s) <= near.limit/2
			})
		}
	}
	if m.bed == AutoBed {
		m.bed = m.tell()
	}
	m.sample = nil
	return m, nil
}

// take gathers the sample.
func (m *model) take(p *Picture) {
	step := max(1, int(math.Ceil(math.Sqrt(float64(p.w)*float64(p.h)/sampleSize))))
	m.sample = make([]sampleSpot, 0, (p.w/step+1)*(p.h/step+1))
	rim := max(step, int(rimShare*float64(min(p.w, p.h))))
	for y := step / 2; y < p.h; y += step {
		for x := step / 2; x < p.w; x += step {
			m.sample = append(m.sample, sampleSpot{c: encoded(p.at(x, y)), x: m.unitX(x), y: m.unitY(y),
				rim: x < rim || y < rim || x >= p.w-rim || y >= p.h-rim})
		}
	}
}

func (m *model) unitX(x int) float64 { return (2*float64(x)+1)/m.w - 1 }
func (m *model) unitY(y int) float64 { return (2*float64(y)+1)/m.h - 1 }

// bedColour returns the first guess of the bed's colour.
func (m *model) bedColour() rgb {
	split := 0.0
	if m.bed != AutoBed {
		values := make([]float64, len(m.sample))
		for i, s := range m.sample {
			values[i] = luma.dot(s.c)
		}
		split = newHistogram(values).divide(0, levels).at
	}
	var channel [3][]float64
	for _, s := range m.sample {
		if m.bed == AutoBed && s.rim || m.bed == LightBed && luma.dot(s.c) > split || m.bed == DarkBed && luma.dot(s.c) <= split {
			for k := range 3 {
				channel[k] = append(channel[k], s.c[k])
			}
		}
	}
	var c rgb
	for k := range 3 {
		sort.Float64s(channel[k])
		if n := len(channel[k]); n > 0 {
			c[k] = channel[k][n/2]
		}
	}
	return c
}

// bedAt returns the bed's colour at a place.
func (m *model) bedAt(x, y float64) rgb {
	q := &m.colour
	var c rgb
	for k := range 3 {
		c[k] = q[0][k] + x*(q[1][k]+x*q[3][k]+y*q[4][k]) + y*(q[2][k]+y*q[5][k])
	}
	return c
}

// distance returns how far a colour is from the bed's at its place.
func (m *model) distance(s sampleSpot) float64 {
	return math.Abs(m.weight.dot(s.c.sub(m.bedAt(s.x, s.y))))
}

// choose takes the direction that tells bed and piece apart best.
func (m *model) choose(directions []rgb) error {
	best := 0.0
	for _, w := range directions {
		values := make([]float64, len(m.sample))
		for i, s := range m.sample {
			values[i] = math.Abs(w.dot(s.c.sub(m.bedAt(s.x, s.y))))
		}
		h := newHistogram(values)
		limit, ok := h.bedLimit()
		if !ok {
			continue
		}
		if score := h.score(limit); score > best {
			best, m.weight, m.limit = score, w, limit
		}
	}
	if best == 0 {
		return errNoPiece
	}
	return nil
}

// fisher returns the direction that separates the classes of the present choice
// best, for their means and common covariance, in absolute weights that sum to 1.
func (m *model) fisher() (rgb, bool) {
	var mean [2]rgb
	var n [2]float64
	class := func(s sampleSpot) int {
		if m.distance(s) > m.limit {
			return 1
		}
		return 0
	}
	for _, s := range m.sample {
		k := class(s)
		mean[k], n[k] = mean[k].add(s.c.sub(m.bedAt(s.x, s.y))), n[k]+1
	}
	if n[0] == 0 || n[1] == 0 {
		return rgb{}, false
	}
	mean[0], mean[1] = mean[0].times(1/n[0]), mean[1].times(1/n[1])
	var sums [3][3]float64
	for _, s := range m.sample {
		k := class(s)
		d := s.c.sub(m.bedAt(s.x, s.y)).sub(mean[k])
		for i := range 3 {
			for j := i; j < 3; j++ {
				sums[i][j] += d[i] * d[j] / n[k]
			}
		}
	}
	scatter := mat.NewSymDense(3, nil)
	for i := range 3 {
		for j := i; j < 3; j++ {
			scatter.SetSym(i, j, sums[i][j])
		}
		// A channel is never known better than to half a level of 255.
		scatter.SetSym(i, i, sums[i][i]+1.0/(512*512))
	}
	d := mean[1].sub(mean[0])
	var w mat.VecDense
	if err := w.SolveVec(scatter, mat.NewVecDense(3, d[:])); err != nil {
		return rgb{}, false
	}
	f := rgb{w.AtVec(0), w.AtVec(1), w.AtVec(2)}
	sum := math.Abs(f[0]) + math.Abs(f[1]) + math.Abs(f[2])
	if !(sum > 0) || math.IsInf(sum, 0) {
		return rgb{}, false
	}
	return f.times(1 / sum), true
}

// light fits the bed's colour as a quadratic over the picture, to the pixels that
// are taken for bed.
func (m *model) light(bed func(sampleSpot) bool) {
	const terms = 6
	var normal [terms][terms]float64
	var right [terms][3]float64
	count := 0
	for _, s := range m.sample {
		if !bed(s) {
			continue
		}
		count++
		t := [terms]float64{1, s.x, s.y, s.x * s.x, s.x * s.y, s.y * s.y}
		for i := range terms {
			for j := i; j < terms; j++ {
				normal[i][j] += t[i] * t[j]
			}
			for k := range 3 {
				right[i][k] += t[i] * s.c[k]
			}
		}
	}
	n, r := mat.NewSymDense(terms, nil), mat.NewDense(terms, 3, nil)
	for i := range terms {
		for j := i; j < terms; j++ {
			n.SetSym(i, j, normal[i][j])
		}
		r.SetRow(i, right[i][:])
	}
	var chol mat.Cholesky
	if count < 10*terms || !chol.Factorize(n) || chol.Cond() > 1e8 {
		return // too little bed to say more than its colour
	}
	var q mat.Dense
	if err := chol.SolveTo(&q, r); err != nil {
		return
	}
	for i := range terms {
		for k := range 3 {
			m.colour[i][k] = q.At(i, k)
		}
	}
}

// rimLight fits the bed's light along the picture's edge, where something else
// than bed may lie too: by least trimmed squares (P. J. Rousseeuw, 1984), that is
// to the rimTrust of the pixels that are nearest to the fit, again and again (the
// C-steps of P. J. Rousseeuw, K. Van Driessen, 1999).
func (m *model) rimLight() {
	var off []float64
	for range 10 {
		off = off[:0]
		for _, s := range m.sample {
			if s.rim {
				off = append(off, m.rimError(s))
			}
		}
		if len(off) == 0 {
			return
		}
		sort.Float64s(off)
		before, limit := *m, off[int(rimTrust*float64(len(off)-1))]
		m.light(func(s sampleSpot) bool { return s.rim && before.rimError(s) <= limit })
	}
}

// rimError is how far in brightness a pixel is from the bed.
func (m *model) rimError(s sampleSpot) float64 {
	return math.Abs(luma.dot(s.c.sub(m.bedAt(s.x, s.y))))
}

// rimTrust is the share of the picture's edge that is bed at least.
const rimTrust = 0.6

// tell says whether the bed is lighter than the piece.
func (m *model) tell() Bed {
	var sum float64
	for _, s := range m.sample {
		if m.distance(s) > m.limit {
			sum += luma.dot(s.c.sub(m.bedAt(s.x, s.y)))
		}
	}
	if sum > 0 {
		return DarkBed
	}
	return LightBed
}

// plane returns every pixel's distance from the bed, a byte each, of which half
// the range is the limit.
func (m *model) plane(p *Picture) []uint8 {
	out := make([]uint8, p.w*p.h)
	var q [6]float64
	for i := range q {
		q[i] = m.weight.dot(m.colour[i])
	}
	scale := planeLimit / m.limit
	for y := range p.h {
		v := m.unitY(y)
		row := out[y*p.w : (y+1)*p.w]
		for x := range row {
			u := m.unitX(x)
			bed := q[0] + u*(q[1]+u*q[3]+v*q[4]) + v*(q[2]+v*q[5])
			row[x] = uint8(min(255, scale*math.Abs(m.weight.dot(encoded(p.at(x, y)))-bed)))
		}
	}
	return out
}

// planeLimit is the limit between bed and piece in a plane.
const planeLimit = 128
