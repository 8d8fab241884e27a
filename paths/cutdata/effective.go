package cutdata

import "math"

// BallDiameter returns the effective diameter of a ball cutter of diameter d at
// depth ap with its axis upright: 2 sqrt(ap (d - ap)), d from ap = d/2 (CAT).
func BallDiameter(d, ap float64) float64 {
	if ap >= d/2 {
		return domain(d, d, ap)
	}
	return domain(2*math.Sqrt(ap*(d-ap)), d, ap)
}

// TiltedBallDiameter returns the effective diameter of a ball cutter whose axis
// leans tilt from the surface's normal: d sin(tilt + arccos(1 - 2 ap/d)), at
// most d (from memory).
func TiltedBallDiameter(d, ap, tilt float64) float64 {
	if !(tilt >= 0 && tilt <= math.Pi/2) {
		return math.NaN()
	}
	a := tilt + math.Acos(1-2*math.Min(ap/d, 1))
	if a >= math.Pi/2 {
		return domain(d, d, ap)
	}
	return domain(d*math.Sin(a), d, ap)
}

// VeeWidth returns the width at the surface of a vee groove ap deep: tip + 2 ap
// tan(angle/2), angle the included angle (geometry).
func VeeWidth(tip, angle, ap float64) float64 {
	if !(tip >= 0 && angle < math.Pi) {
		return math.NaN()
	}
	return domain(tip+2*ap*math.Tan(angle/2), angle, ap)
}

// VeeDepth returns how deep a vee cutter goes for a groove of that width, the
// inverse of VeeWidth; NaN when the groove is no wider than the tip.
func VeeDepth(tip, angle, width float64) float64 {
	if !(tip >= 0 && angle < math.Pi) {
		return math.NaN()
	}
	return domain((width-tip)/(2*math.Tan(angle/2)), angle, width, width-tip)
}

// VeeWidthError returns how much wider a vee groove gets for an error dz of its
// depth: 2 dz tan(angle/2) (geometry).
func VeeWidthError(angle, dz float64) float64 {
	return domain(2*dz*math.Tan(angle/2), angle, math.Pi-angle)
}

// VeeCusp returns the height of the cusps that a vee cutter leaves on a floor at
// that stepover: 0 up to the tip's width, else (step - tip) / (2 tan(angle/2))
// (geometry).
func VeeCusp(tip, angle, step float64) float64 {
	if !(tip >= 0 && angle < math.Pi) {
		return math.NaN()
	}
	return domain(math.Max(0, step-tip)/(2*math.Tan(angle/2)), angle, step)
}

// BullDiameter returns the effective diameter of a cutter with corner radius r
// at depth ap: d - 2r + 2 sqrt(2 r ap - ap^2), d from ap = r (geometry); NaN when
// d < 2r.
func BullDiameter(d, r, ap float64) float64 {
	if !(r >= 0 && d >= 2*r) {
		return math.NaN()
	}
	if ap >= r {
		return domain(d, d, ap)
	}
	return domain(d-2*r+2*math.Sqrt(2*r*ap-ap*ap), d, ap)
}

// Scallop returns the height of the ridges that a ball of radius r leaves at
// that stepover: r - sqrt(r^2 - step^2/4) (geometry); NaN when step > 2r. On a
// slope of angle theta give step/cos(theta).
func Scallop(r, step float64) float64 {
	// Rationalised: the plain form loses all digits at small steps.
	q := step * step / 4
	return domain(q/(r+math.Sqrt(r*r-q)), r, step)
}

// ScallopStep returns the stepover for ridges of that height, the inverse of
// Scallop.
func ScallopStep(r, height float64) float64 {
	return domain(2*math.Sqrt(2*r*height-height*height), r, height)
}
