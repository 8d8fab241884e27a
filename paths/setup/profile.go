package setup

import "math"

// ballCones is how many tangent cones stand for the round end of a ball: with
// 16 over a quarter turn the enclosing polygon lies at most
// r (1/cos(pi/64) - 1) = 0.0012 r outside, 1 um on a 1/16 in cutter.
const ballCones = 16

// Sections returns the whole tool as stacked truncated cones from the tip up:
// cutting end, flutes, shank, holder. The stack encloses the true body: a ball
// end is replaced by cones tangent to it from outside.
func (t Tool) Sections() []Section {
	r := t.Diameter / 2
	var s []Section
	switch t.Shape {
	case Ball:
		s = ballSections(r)
	case Vee:
		s = append(s, Section{0, t.TipDiameter / 2, t.ConeHeight(), r})
	case Drill:
		s = append(s, Section{0, 0, t.ConeHeight(), r})
	}
	z := 0.0
	if len(s) > 0 {
		z = s[len(s)-1].Z1
	}
	if t.FluteLength > z {
		s = append(s, Section{z, r, t.FluteLength, r})
		z = t.FluteLength
	}
	if t.StickOut > z {
		s = append(s, Section{z, t.Shank / 2, t.StickOut, t.Shank / 2})
	}
	return append(s, t.Holder...)
}

// ballSections returns the cones tangent to a sphere of radius r that stands on
// its lowest point, in equal steps of angle.
func ballSections(r float64) []Section {
	step := math.Pi / 2 / ballCones
	corner := r / math.Cos(step/2)
	// Corners of the circumscribed polygon lie between the points of contact;
	// the first and the last contact are the tip and the equator.
	z, rad := 0.0, 0.0
	var s []Section
	add := func(nz, nr float64) {
		s = append(s, Section{z, rad, nz, nr})
		z, rad = nz, nr
	}
	rad = corner * math.Sin(step/2) // flat disc that touches at the tip
	for i := 1; i < ballCones; i++ {
		a := (float64(i) + 0.5) * step
		add(r-corner*math.Cos(a), corner*math.Sin(a))
	}
	add(r, r)
	return s
}

// ConeHeight returns the height of the cone of a vee or of a drill's point, 0
// for other tools.
func (t Tool) ConeHeight() float64 {
	switch t.Shape {
	case Vee:
		return (t.Diameter - t.TipDiameter) / 2 / math.Tan(t.Angle/2)
	case Drill:
		return t.Diameter / 2 / math.Tan(t.Angle/2)
	}
	return 0
}

// CutRadius returns the radius of the cutting end at height h above the tip,
// exact; above the cutting end it is that of the flutes.
func (t Tool) CutRadius(h float64) float64 {
	r := t.Diameter / 2
	switch {
	case h < 0:
		return 0
	case t.Shape == Ball && h < r:
		return math.Sqrt(h * (2*r - h))
	case (t.Shape == Vee || t.Shape == Drill) && h < t.ConeHeight():
		tip := t.TipDiameter / 2
		if t.Shape == Drill {
			tip = 0
		}
		return tip + h*math.Tan(t.Angle/2)
	}
	return r
}

// MaxRadius returns the greatest radius of the assembly between the heights h0
// and h1 above the tip, 0 when nothing of it lies there.
func (t Tool) MaxRadius(h0, h1 float64) float64 {
	most := 0.0
	for _, s := range t.Sections() {
		lo, hi := math.Max(h0, s.Z0), math.Min(h1, s.Z1)
		if lo > hi {
			continue
		}
		at := func(h float64) float64 {
			if s.Z1 == s.Z0 {
				return math.Max(s.R0, s.R1)
			}
			return s.R0 + (s.R1-s.R0)*(h-s.Z0)/(s.Z1-s.Z0)
		}
		most = math.Max(most, math.Max(at(lo), at(hi)))
	}
	return most
}
