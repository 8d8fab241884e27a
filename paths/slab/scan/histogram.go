package scan

import "math"

// histogram counts values from 0 to its greatest.
type histogram struct {
	count [levels]float64
	width float64 // of a class
}

func newHistogram(values []float64) *histogram {
	var most float64
	for _, v := range values {
		most = math.Max(most, v)
	}
	h := &histogram{width: math.Max(most, 1e-9) / levels}
	for _, v := range values {
		h.count[min(levels-1, int(v/h.width))]++
	}
	return h
}

// moments returns number, mean and standard deviation of classes from..to.
func (h *histogram) moments(from, to int) (n, mean, sd float64) {
	var s, s2 float64
	for i := from; i < to; i++ {
		v := (float64(i) + 0.5) * h.width
		n, s, s2 = n+h.count[i], s+v*h.count[i], s2+v*v*h.count[i]
	}
	if n == 0 {
		return 0, 0, 0
	}
	mean = s / n
	return n, mean, math.Sqrt(math.Max(0, s2/n-mean*mean))
}

// division is a place to divide a histogram in two.
type division struct {
	class    int
	at       float64 // the value there
	distance float64 // between the means
	ratio    float64 // the distance in standard deviations (mean of the two)
}

// divide returns the division of classes from..to that makes the variance
// between the two sides greatest (N. Otsu, "A Threshold Selection Method from
// Gray-Level Histograms", 1979). In the middle of an empty stretch, where all
// divisions are the same.
func (h *histogram) divide(from, to int) division {
	var total, sum float64
	for i := from; i < to; i++ {
		total += h.count[i]
		sum += float64(i) * h.count[i]
	}
	var n, s, best float64
	first, last := from, from
	for i := from; i < to-1; i++ {
		n += h.count[i]
		s += float64(i) * h.count[i]
		if n == 0 || n == total {
			continue
		}
		d := s/n - (sum-s)/(total-n)
		switch v := n * (total - n) * d * d; {
		case v > best*(1+1e-12):
			best, first, last = v, i+1, i+1
		case v >= best*(1-1e-12):
			last = i + 1
		}
	}
	d := division{class: (first + last) / 2}
	d.at = float64(d.class) * h.width
	_, m0, s0 := h.moments(from, d.class)
	_, m1, s1 := h.moments(d.class, to)
	d.distance = m1 - m0
	d.ratio = d.distance / math.Max((s0+s1)/2, h.width/4)
	return d
}

// bedLimit returns the value that divides bed from piece in a histogram of
// distances from the bed. It is Otsu's, found again on the side of the bed as
// long as two populations are left there: a piece of two materials, or a black
// mark beside it, must not pass its lighter part to the bed.
func (h *histogram) bedLimit() (float64, bool) {
	d := h.divide(0, levels)
	if d.ratio < leastApart || d.distance < leastShade {
		return 0, false
	}
	for range 3 {
		next := h.divide(0, d.class)
		if next.ratio < apart || next.distance < leastShade || !h.compact(next.class, d.class) {
			break
		}
		d = next
	}
	return d.at, true
}

// compact reports whether the classes from..to hold a population of their own.
// Blurred borders and hairs have all tones between bed and piece: a tail, whose
// spread is that of an even distribution, 1/3.46 of its width, or not far below.
func (h *histogram) compact(from, to int) bool {
	_, _, sd := h.moments(from, to)
	return sd < float64(to-from)*h.width/compactness
}

// compactness is how many times a population's spread the classes that it has to
// itself are wide at least.
const compactness = 6

// score returns how far the nearest tenth of the piece is from the bed, in the
// bed's own spread.
func (h *histogram) score(limit float64) float64 {
	class := int(limit / h.width)
	_, mean, sd := h.moments(0, class)
	n, _, _ := h.moments(class, levels)
	var seen float64
	for i := class; i < levels; i++ {
		if seen += h.count[i]; seen >= n/10 {
			return float64(i) * h.width / math.Max(mean+sd, 1.0/512)
		}
	}
	return 0
}
