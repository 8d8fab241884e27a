package prooftest

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// columns calls f for the columns of material within radius rad of p.
func (r *run) columns(p geom.Point3, rad float64, f func(at *float64, rho float64)) {
	lo := func(v, o float64) int { return max(0, int((v-o)/judgeCell)-1) }
	for y := lo(p.Y-rad, r.y0); y < r.ny && r.y0+float64(y)*judgeCell <= p.Y+rad; y++ {
		for x := lo(p.X-rad, r.x0); x < r.nx && r.x0+float64(x)*judgeCell <= p.X+rad; x++ {
			d := r.centre(x, y).Sub(p.XY())
			if q := d.Dot(d); q <= rad*rad {
				f(&r.heights[y*r.nx+x], math.Sqrt(q))
			}
		}
	}
}

func (j *Judge) centre(x, y int) geom.Point {
	return geom.Pt(j.x0+(float64(x)+0.5)*judgeCell, j.y0+(float64(y)+0.5)*judgeCell)
}

// lower returns how much lower a probed face is at a place than the stock's top.
func (j *Judge) lower(p geom.Point) float64 {
	if j.s.Stock.Face == nil {
		return 0
	}
	return j.s.Stock.Top - j.s.Stock.Face.Height(p)
}

// floor returns how deep a feature may be cut at a place.
func (j *Judge) floor(f *setup.Feature, p geom.Point) float64 {
	if f.Follows {
		return f.Floor - j.lower(p)
	}
	return f.Floor
}

// waste returns how low each column may become: the lowest floor of the features
// that allow it to go. A part is no waste of a cut round another one.
func (j *Judge) waste() []float64 {
	may := append([]float64(nil), j.blank...)
	var parts [][]geom.Point
	for _, p := range j.s.Parts {
		parts = append(parts, polygons(p.Outline)...)
	}
	for _, f := range j.s.Features {
		area := polygons(f.May)
		for y := range j.ny {
			for x := range j.nx {
				at := &may[y*j.nx+x]
				p := j.centre(x, y)
				if floor := j.floor(&f, p); floor < *at && within(area, p) && (len(f.Around) == 0 || !within(parts, p)) {
					*at = floor
				}
			}
		}
	}
	return may
}

// compare holds what is left against what the good program leaves; what the
// set-up allows to go besides is no harm. A column counts when all its
// neighbours agree, so that an edge a cell aside does not.
func (j *Judge) compare(r *run) {
	r.line = 0
	for y := 1; y < j.ny-1; y++ {
		for x := 1; x < j.nx-1; x++ {
			h := r.heights[y*j.nx+x]
			low, high := math.Inf(1), math.Inf(-1)
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					at := (y+dy)*j.nx + x + dx
					low, high = math.Min(low, math.Min(j.ref[at], j.may[at])), math.Max(high, j.ref[at])
				}
			}
			if h < low-judgeDepth {
				r.hurt("material gone that has to stay")
			}
			if h > high+judgeDepth {
				r.hurt("material left that has to go")
			}
		}
	}
}
