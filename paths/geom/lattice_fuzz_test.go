package geom

import (
	"encoding/binary"
	"math"
	"testing"
)

// fuzzContours reads contours from bytes: for each segment two bytes of
// position on a grid of tenths, and one that chooses a line, an arc or the end
// of the contour. Grids make the touching and overlapping that random numbers
// never do; the last eight bytes give one coordinate any value at all.
func fuzzContours(data []byte) []Contour {
	var cs []Contour
	var c Contour
	var odd float64
	if len(data) > 8 {
		odd = math.Float64frombits(binary.LittleEndian.Uint64(data[len(data)-8:]))
		data = data[:len(data)-8]
	}
	if len(data) > 300 {
		data = data[:300]
	}
	flush := func() {
		for i := range c {
			c[i].B = c[(i+1)%len(c)].A
			s := &c[i]
			if s.Turn != Straight {
				h := s.C.X // the bulge, until the ends are known
				d := s.B.Sub(s.A)
				s.C = s.A.Lerp(s.B, 0.5).Add(d.Left().Mul(h))
			}
		}
		if len(c) > 0 {
			cs = append(cs, c)
		}
		c = nil
	}
	for ; len(data) >= 3; data = data[3:] {
		p := Pt(float64(int8(data[0]))/10, float64(int8(data[1]))/10)
		if data[2] == 255 {
			p.X = odd
		}
		switch k := data[2] % 8; {
		case k < 4:
			c = append(c, Seg{A: p})
		case k < 7:
			c = append(c, Seg{A: p, Turn: Turn(1 - 2*(int8(k)&1)), C: Pt(float64(int8(data[2]))/64, 0)})
		default:
			c = append(c, Seg{A: p})
			flush()
		}
	}
	flush()
	return cs
}

var fuzzSeeds = [][]byte{
	{0, 0, 0, 10, 0, 0, 10, 10, 0, 0, 10, 7},
	{0, 0, 4, 10, 0, 5, 10, 10, 4, 0, 10, 7, 5, 5, 0, 20, 5, 0, 20, 20, 0, 5, 20, 7},
	{0, 0, 0, 20, 0, 0, 10, 0, 0, 10, 10, 7, 0, 0, 12, 0, 0, 12, 0, 0, 7},
	{1, 2, 255, 3, 4, 0, 5, 9, 7, 0, 0, 0, 0, 0, 0, 0xf0, 0x7f},
}

// FuzzBoolean holds that no input panics or runs on, and that what succeeds
// obeys area(A) + area(B) = area(A or B) + area(A and B).
func FuzzBoolean(f *testing.F) {
	for _, s := range fuzzSeeds {
		f.Add(s, s[3:])
	}
	f.Fuzz(func(t *testing.T, x, y []byte) {
		a, err := Resolve(fuzzContours(x), NonZero)
		if err != nil {
			return
		}
		b, err := Resolve(fuzzContours(y), EvenOdd)
		if err != nil {
			return
		}
		u, err := Union(a, b)
		if err != nil {
			t.Fatal(err)
		}
		i, err := Intersection(a, b)
		if err != nil {
			t.Fatal(err)
		}
		sum := a.Area() + b.Area()
		// Rounding grows with the square of the coordinates.
		size := u.Bounds().Union(i.Bounds())
		reach := math.Max(math.Abs(size.Min.X), math.Abs(size.Max.X)) + math.Abs(size.Max.Y) + math.Abs(size.Min.Y)
		tol := 1e-9*sum + 1e-12*reach*reach
		if off := sum - u.Area() - i.Area(); len(u) > 0 && math.Abs(off) > tol {
			t.Fatalf("areas are off by %g of %g", off, sum)
		}
	})
}

// FuzzOffset holds that no input panics or runs on, and that no offset comes
// nearer to its source than the distance.
func FuzzOffset(f *testing.F) {
	for _, s := range fuzzSeeds {
		f.Add(s, 0.3)
		f.Add(s, -0.3)
	}
	f.Fuzz(func(t *testing.T, x []byte, d float64) {
		src, err := Resolve(fuzzContours(x), NonZero)
		if err != nil || !(math.Abs(d) < 1e3) {
			return
		}
		got, err := Offset(src, d, OffsetOptions{})
		if err != nil {
			t.Fatal(err)
		}
		b := src.Bounds()
		if len(src) == 0 || math.Abs(d) < 1e-4 || b.Max.Len()+b.Min.Len() > 1e3 {
			return
		}
		for _, c := range got {
			for _, s := range c {
				for _, u := range [...]float64{0, 0.5} {
					if off := src.BoundaryDistance(s.At(u)) - math.Abs(d); off < -safe {
						t.Fatalf("%v at %g comes within %g of %g", s, u, off, d)
					}
				}
			}
		}
	})
}
