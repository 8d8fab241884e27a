package slab

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"proofcut/paths/geom"
)

// affine is the map x' = a x + c y + e, y' = b x + d y + f (SVG 1.1, 7.4).
type affine struct{ a, b, c, d, e, f float64 }

var identity = affine{a: 1, d: 1}

// after returns the map that applies o first and m after it.
func (m affine) after(o affine) affine {
	return affine{
		m.a*o.a + m.c*o.b, m.b*o.a + m.d*o.b,
		m.a*o.c + m.c*o.d, m.b*o.c + m.d*o.d,
		m.a*o.e + m.c*o.f + m.e, m.b*o.e + m.d*o.f + m.f,
	}
}

func (m affine) apply(p geom.Point) geom.Point {
	return geom.Pt(m.a*p.X+m.c*p.Y+m.e, m.b*p.X+m.d*p.Y+m.f)
}

func (m affine) finite() bool {
	return plausible(m.a) && plausible(m.b) && plausible(m.c) && plausible(m.d) && plausible(m.e) && plausible(m.f)
}

// flat reports whether the map has no inverse that rounding leaves anything of.
func (m affine) flat() bool {
	const least = 1e-12 // of the size of the products
	return !(math.Abs(m.a*m.d-m.b*m.c) > least*(m.a*m.a+m.b*m.b+m.c*m.c+m.d*m.d))
}

// axes returns the singular values s1 >= s2 >= 0 of the linear part [p r; q s]
// (columns (p, q) and (r, s)), with the map written as: turn by -in, scale by s1
// and s2 (the second with the sign of the determinant), turn by out.
func axes(p, q, r, s float64) (s1, s2, in, out float64) {
	e, f, g, h := (p+s)/2, (p-s)/2, (q+r)/2, (q-r)/2
	u, v := math.Hypot(e, h), math.Hypot(f, g)
	// A 2 x 2 matrix is a turn scaled by u plus a mirrored turn scaled by v.
	a1, a2 := math.Atan2(g, f), math.Atan2(h, e)
	return u + v, u - v, (a1 - a2) / 2, (a1 + a2) / 2
}

// parseTransform reads the attribute (SVG 1.1, 7.6): functions that apply from
// the last to the first.
func parseTransform(s string) (affine, error) {
	m := identity
	rest := strings.Trim(s, blanks)
	if rest == "none" {
		return m, nil
	}
	for n := 0; rest != ""; n++ {
		if n == maxSVGDepth {
			return m, fmt.Errorf("more than %d functions", maxSVGDepth)
		}
		if n > 0 {
			rest = strings.TrimLeft(strings.TrimPrefix(rest, ","), blanks)
		}
		name, after, ok := strings.Cut(rest, "(")
		if !ok {
			return m, fmt.Errorf("%.40q is not a function: want its numbers in ( )", rest)
		}
		list, tail, ok := strings.Cut(after, ")")
		if !ok {
			return m, errors.New(") is missing")
		}
		f, err := transformFunction(strings.Trim(name, blanks), list)
		if err != nil {
			return m, err
		}
		m = m.after(f)
		rest = strings.TrimLeft(tail, blanks)
	}
	return m, nil
}

func transformFunction(name, list string) (affine, error) {
	v, err := numberList(list)
	if err != nil {
		return affine{}, fmt.Errorf("%s: %w", name, err)
	}
	count, ok := map[string][]int{"matrix": {6}, "translate": {1, 2}, "scale": {1, 2}, "rotate": {1, 3}, "skewX": {1}, "skewY": {1}}[name]
	if !ok {
		return affine{}, fmt.Errorf("the function %.40q is not known", name)
	}
	if n := len(v); n != count[0] && n != count[len(count)-1] {
		return affine{}, fmt.Errorf("%s with %d numbers", name, n)
	}
	const degree = math.Pi / 180
	switch name {
	case "matrix":
		return affine{v[0], v[1], v[2], v[3], v[4], v[5]}, nil
	case "translate":
		if len(v) == 1 {
			v = append(v, 0)
		}
		return affine{a: 1, d: 1, e: v[0], f: v[1]}, nil
	case "scale":
		if len(v) == 1 {
			v = append(v, v[0])
		}
		return affine{a: v[0], d: v[1]}, nil
	case "rotate":
		// Through geom for exact quarter turns.
		u := geom.Rotate(math.Mod(v[0], 360) * degree).ApplyVector(geom.Pt(1, 0))
		turn := affine{a: u.X, b: u.Y, c: -u.Y, d: u.X}
		if len(v) == 3 {
			to := affine{a: 1, d: 1, e: v[1], f: v[2]}
			back := affine{a: 1, d: 1, e: -v[1], f: -v[2]}
			turn = to.after(turn).after(back)
		}
		return turn, nil
	case "skewX":
		return affine{a: 1, d: 1, c: math.Tan(v[0] * degree)}, nil
	default:
		return affine{a: 1, d: 1, b: math.Tan(v[0] * degree)}, nil
	}
}
