package nest

import "math"

// skyline is a symmetric positive definite matrix stored by rows of its lower
// triangle, each from its first nonzero on, and factorised in place. With discs
// numbered along the stock the rows are short, and only the last, which couples
// everything to the common size, is long (A. Jennings, A compact storage scheme
// for the solution of symmetric linear simultaneous equations, 1966).
type skyline struct {
	first []int // column of the first element of each row
	start []int // where row i begins in data, so that data[start[i]+j-first[i]] is (i, j)
	data  []float64
}

// shape lays out rows with the given first columns and clears the matrix.
func (m *skyline) shape(first []int) {
	m.first = append(m.first[:0], first...)
	m.start = m.start[:0]
	total := 0
	for i, f := range first {
		m.start = append(m.start, total)
		total += i - f + 1
	}
	m.data = resize(m.data, total)
	clear(m.data)
}

func (m *skyline) row(i int) []float64 {
	return m.data[m.start[i] : m.start[i]+i-m.first[i]+1]
}

// add adds v to element (i, j) and, by symmetry, (j, i).
func (m *skyline) add(i, j int, v float64) {
	if i < j {
		i, j = j, i
	}
	m.data[m.start[i]+j-m.first[i]] += v
}

// factorise replaces the matrix by its Cholesky factor; false when it is not
// positive definite to working precision.
func (m *skyline) factorise() bool {
	for i := range m.first {
		ri, fi := m.row(i), m.first[i]
		diagonal := ri[i-fi]
		for j := fi; j < i; j++ {
			rj, fj := m.row(j), m.first[j]
			from := max(fi, fj)
			v := ri[j-fi] - dot(ri[from-fi:j-fi], rj[from-fj:j-fj])
			v /= rj[j-fj]
			ri[j-fi] = v
			diagonal -= v * v
		}
		if !(diagonal > 0) {
			return false
		}
		ri[i-fi] = math.Sqrt(diagonal)
	}
	return true
}

// solve overwrites b with the solution for the factorised matrix.
func (m *skyline) solve(b []float64) {
	for i := range b {
		r, f := m.row(i), m.first[i]
		b[i] = (b[i] - dot(r[:i-f], b[f:i])) / r[i-f]
	}
	for i := len(b) - 1; i >= 0; i-- {
		r, f := m.row(i), m.first[i]
		b[i] /= r[i-f]
		v := b[i]
		for k, a := range r[:i-f] {
			b[f+k] -= a * v
		}
	}
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+4 <= len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return (s0 + s1) + (s2 + s3)
}
