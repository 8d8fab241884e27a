package cutdata

import "math"

// SpecificForce returns kc = kc11 h^-mc in N/mm2 for a chip h mm thick (CAT).
// Laws are fitted to about 0.05 to 2.5 mm; see SizeEffect below that.
func SpecificForce(kc11, mc, h float64) float64 {
	if !(mc >= 0 && mc < 1) {
		return math.NaN()
	}
	return domain(kc11*math.Pow(h, -mc), kc11, h)
}

// SizeEffect returns by how much the real specific force of a thin chip exceeds
// the law: 1 from 0.05 mm, 1.2 at 0.01 mm and 2 at 0.002 mm, straight lines in
// the logarithms between, and 2 below. The corners are from memory (the law is
// low by a factor of 1.2 to 2 under 0.01 mm); the lines join them so that force
// still grows with the chip.
func SizeEffect(h float64) float64 {
	points := [...][2]float64{{0.002, 2}, {0.01, 1.2}, {0.05, 1}}
	if h <= points[0][0] {
		return domain(points[0][1], h)
	}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if h < b[0] {
			return a[1] * math.Pow(h/a[0], math.Log(b[1]/a[1])/math.Log(b[0]/a[0]))
		}
	}
	return domain(1, h)
}

// ToothForce returns the tangential force in N on a tooth that takes a chip b
// mm wide and h mm thick at specific force kc: kc b h.
func ToothForce(kc, b, h float64) float64 { return domain(kc*b*h, kc, b, h) }

// TeethInCut returns how many teeth can cut at once: ceil(z phi / 2 pi), an
// upper bound (common practice, no source). All of them for an angle outside 0 to
// 2 pi.
func TeethInCut(teeth int, angle float64) int {
	if !(angle >= 0 && angle <= 2*math.Pi) {
		return teeth
	}
	n := int(math.Ceil(float64(teeth)*angle/(2*math.Pi) - angleTol))
	return max(1, min(n, teeth))
}

// angleTol absorbs rounding of pi in TeethInCut: a slot has z/2 teeth, not one
// more.
const angleTol = 1e-9

// RadialShare is the radial force as a share of the tangential one, 0.3 to 0.5
// (from memory), the upper end.
const RadialShare = 0.5

// Resultant returns the force across the tool's axis for a tangential force fc.
func Resultant(fc float64) float64 {
	return domain(fc*math.Sqrt(1+RadialShare*RadialShare), fc)
}

// MeanPower returns the power in kW of a cut at specific force kc, taken at the
// mean chip: ap ae vf kc / (60e6 efficiency) (CAT).
func MeanPower(ap, ae, vf, kc, efficiency float64) float64 {
	return domain(ap*ae*vf*kc/(60e6*efficiency), ap, ae, vf, kc, efficiency)
}

// Torque returns the N·m of a power in kW at n 1/min: 9550 P / n (MH p1152).
func Torque(kw, n float64) float64 { return domain(9550*kw/n, kw, n) }

// Power returns the kW of a torque in N·m at n 1/min, the inverse of Torque.
func Power(nm, n float64) float64 { return domain(nm*n/9550, nm, n) }
