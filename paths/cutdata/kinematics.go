package cutdata

import "math"

// The functions of this file and of chip.go, effective.go and force.go are the
// bare formulas: they return NaN for arguments outside their domain, so that an
// impossible figure never passes a one-sided comparison.

// domain returns NaN unless every argument is finite and positive; then it
// returns v.
func domain(v float64, positive ...float64) float64 {
	for _, x := range positive {
		if !(x > 0) || math.IsInf(x, 0) {
			return math.NaN()
		}
	}
	return v
}

// SpindleSpeed returns n in 1/min for a cutting speed vc in m/min on a diameter
// d in mm: n = 1000 vc / (pi d) (CAT).
func SpindleSpeed(vc, d float64) float64 { return domain(1000*vc/(math.Pi*d), vc, d) }

// CuttingSpeed returns vc in m/min, the inverse of SpindleSpeed.
func CuttingSpeed(n, d float64) float64 { return domain(math.Pi*d*n/1000, n, d) }

// TableFeed returns vf in mm/min: vf = n z fz (CAR p187).
func TableFeed(n float64, teeth int, fz float64) float64 {
	return domain(n*float64(teeth)*fz, n, float64(teeth), fz)
}

// FeedPerTooth returns fz in mm, the inverse of TableFeed.
func FeedPerTooth(vf, n float64, teeth int) float64 {
	return domain(vf/(n*float64(teeth)), vf, n, float64(teeth))
}

// RemovalRate returns Q in mm3/min of a cut ap deep, ae wide at feed vf:
// Q = ap ae vf (CAT). It is an upper bound for a cutter that is not straight.
func RemovalRate(ap, ae, vf float64) float64 { return domain(ap*ae*vf, ap, ae, vf) }

// DrillRemovalRate returns Q in mm3/min of a drill of diameter d fed f mm a
// turn at n 1/min: Q = pi d^2 f n / 4 (TUT2).
func DrillRemovalRate(d, f, n float64) float64 { return domain(math.Pi*d*d*f*n/4, d, f, n) }

// SlabApproach returns how far before the work the axis of a peripheral cutter
// of diameter d stands when it begins to cut depth deep: sqrt(depth (d - depth))
// (geometry).
func SlabApproach(d, depth float64) float64 {
	if depth > d/2 {
		depth = d / 2
	}
	return domain(math.Sqrt(depth*(d-depth)), d, depth)
}

// FaceApproach returns the overtravel of a face mill of diameter d centred on a
// width w: (d - sqrt(d^2 - w^2)) / 2 (geometry); NaN when w > d.
func FaceApproach(d, w float64) float64 {
	return domain((d-math.Sqrt(d*d-w*w))/2, d, w)
}

// MachiningTime returns the minutes that a path of that length takes at feed vf.
func MachiningTime(length, vf float64) float64 { return domain(length/vf, length, vf) }
