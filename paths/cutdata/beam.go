package cutdata

import (
	"fmt"
	"math"

	"proofcut/paths/setup"
)

// Substrate is what a tool is made of.
type Substrate uint8

// The tool materials. Coated is carbide with a coating, or diamond where the
// table says so; its strength is that of carbide.
const (
	Carbide Substrate = iota
	Coated
	HSS
)

func (s Substrate) String() string {
	switch s {
	case Carbide:
		return "carbide"
	case Coated:
		return "coated carbide"
	case HSS:
		return "high-speed steel"
	}
	return fmt.Sprintf("Substrate(%d)", uint8(s))
}

// Modulus returns Young's modulus in N/mm2, the lower end: 550 to 630 GPa for
// carbide of 6 to 12 % cobalt, 210 to 230 for high-speed steel (from memory).
// NaN for an unknown substrate.
func (s Substrate) Modulus() float64 {
	switch s {
	case Carbide, Coated:
		return 550e3
	case HSS:
		return 210e3
	}
	return math.NaN()
}

// Strength returns the working stress in N/mm2, the lower end: 1000 to 1500 for
// carbide, 800 to 1200 for high-speed steel (common practice, no source). NaN
// for an unknown substrate.
func (s Substrate) Strength() float64 {
	switch s {
	case Carbide, Coated:
		return 1000
	case HSS:
		return 800
	}
	return math.NaN()
}

// brittle reports whether the substrate breaks without giving way first, by its
// greatest normal stress.
func (s Substrate) brittle() bool { return s != HSS }

// Margin divides the strength before it is a limit (common practice, no source):
// a stress over its limit has lost that margin, over Margin times its limit it
// passes the working stress itself.
const Margin = 2

// FluteCore is the diameter of a plain bar as stiff as the flutes, as a share of
// their diameter: about 0.8, measured and by finite elements on cutters with 2
// and 4 flutes (KOV).
const FluteCore = 0.8

// SharpTip is the least tip diameter in mm that a vee cutter is reckoned with: a
// nominal point is really rounded or crumbles to about this (estimate).
const SharpTip = 0.05

// Beam is a tool clamped at its upper end, as bars from the tip up. No bar is
// thinner than the tool is stiff.
type Beam []Bar

// Bar is a piece of a Beam: a straight taper or a cylinder.
type Bar struct {
	From, To float64 // mm above the tip
	D0, D1   float64 // equivalent diameters at both ends
}

// ToolBeam returns the beam of a tool from its tip to the holder: the cutting end
// and the flutes at FluteCore of their diameter, then the shank. A ball or a
// drill's point counts as a cylinder: short and near the load, it hardly bends.
func ToolBeam(t setup.Tool) (Beam, error) {
	if err := t.Validate(); err != nil {
		return nil, err
	}
	var b Beam
	d, z := FluteCore*t.Diameter, 0.0
	if t.Shape == setup.Vee {
		z = math.Min(t.ConeHeight(), t.FluteLength)
		tip := math.Min(math.Max(t.TipDiameter, SharpTip), t.Diameter)
		b = append(b, Bar{0, z, FluteCore * tip, d})
	}
	if t.FluteLength > z {
		b = append(b, Bar{z, t.FluteLength, d, d})
	}
	if t.StickOut > t.FluteLength {
		b = append(b, Bar{t.FluteLength, t.StickOut, t.Shank, t.Shank})
	}
	return b, nil
}

// Deflection returns how far the tip gives way in mm under a force across it at
// the tip, with Young's modulus e in N/mm2: the stepped cantilever F/(3E) sum
// (b^3 - a^3)/I over its bars, a taper by its closed integral (elastic beam;
// shear is left out). NaN for a beam without positive diameters.
func (b Beam) Deflection(force, e float64) float64 {
	sum := 0.0
	for _, s := range b {
		sum += s.flexibility()
	}
	return domain(force/e*sum, force, e, sum)
}

// flexibility returns the integral of x^2/I over the bar, I = pi d^4/64.
func (s Bar) flexibility() float64 {
	if !(s.D0 > 0 && s.D1 > 0 && s.To > s.From && s.From >= 0) {
		return math.NaN()
	}
	f := func(x, d float64) float64 { return x * x * x / (3 * d * d * d) }
	slope := (s.D1 - s.D0) / (s.To - s.From)
	// d = p + slope x; x^3/(3 p d^3) is the integral of x^2/d^4.
	p := s.D0 - slope*s.From
	switch {
	case slope == 0 || math.Abs(s.D1-s.D0) < tiny*s.D0:
		d := math.Min(s.D0, s.D1)
		return 64 / math.Pi * (f(s.To, d) - f(s.From, d)) / d
	case math.Abs(p) > tiny*s.D1:
		return 64 / math.Pi * (f(s.To, s.D1) - f(s.From, s.D0)) / p
	}
	return 64 / math.Pi * (1/s.From - 1/s.To) / (slope * slope * slope * slope) // apex at the tip
}

// tiny tells a taper from a cylinder and an apex at the tip from one beside it:
// far above rounding, far below any real tool.
const tiny = 1e-6

// BendingStress returns the stress in N/mm2 of a round bar of diameter d under a
// force across it at distance x: 32 F x / (pi d^3) (textbook beam).
func BendingStress(force, x, d float64) float64 {
	return domain(32*force*x/(math.Pi*d*d*d), force, x, d)
}

// pressure is what a cut does to the tool from its tip up to depth.
type pressure struct {
	depth                  float64 // mm
	flank, flankTorque     float64 // N, N·mm: of a side cut, spread evenly over depth
	end, endTorque, thrust float64 // N, N·mm, N: of a plunge, spread over the end's radius
}

// station is a height of a beam at which stress is reckoned.
type station struct{ x, d float64 }

// taperCuts is at how many diameters, in a geometric row, a taper is checked. The
// stress along a cone is a hump with its top near three times the tip's diameter;
// steps of a tenth find it to better than a percent.
const taperCuts = 48

// stations returns where stress may be greatest: the upper end of every bar and a
// row of heights in each taper.
func (b Beam) stations() []station {
	var out []station
	for _, s := range b {
		if s.D0 != s.D1 {
			for i := range taperCuts {
				d := s.D0 * math.Pow(s.D1/s.D0, float64(i)/taperCuts)
				out = append(out, station{s.From + (s.To-s.From)*(d-s.D0)/(s.D1-s.D0), d})
			}
		}
		out = append(out, station{s.To, s.D1})
	}
	return out
}

// diameter returns the equivalent diameter at height x.
func (b Beam) diameter(x float64) float64 {
	d := math.NaN()
	for _, s := range b {
		if x <= s.To {
			return s.D0 + (s.D1-s.D0)*(x-s.From)/(s.To-s.From)
		}
		d = s.D1
	}
	return d
}

// stress returns the greatest stress in N/mm2 from s = 32 M/(pi d^3) + 4 P/(pi d^2)
// and t = 16 T/(pi d^3) (textbook beam): in a brittle tool the greatest principal
// stress s/2 + sqrt(s^2/4 + t^2), else von Mises's sqrt(s^2 + 3 t^2). Only what presses on the tool under a
// station bends it there. An even load over the depth bounds every load that is
// nowhere stronger; that of a plunge counts as at the tip.
func (b Beam) stress(at []station, p pressure, brittle bool) float64 {
	top := station{p.depth, b.diameter(p.depth)}
	most := p.stress(top, top, brittle)
	for _, s := range at {
		most = math.Max(most, p.stress(s, top, brittle))
	}
	return most
}

func (p pressure) stress(at, top station, brittle bool) float64 {
	moment, twist, thrust := p.flank*(at.x-top.x/2)+p.end*at.x, p.flankTorque+p.endTorque, p.thrust
	if at.x < top.x {
		up, out := at.x/top.x, math.Min(1, at.d/top.d)
		moment = p.flank*up*at.x/2 + p.end*out*at.x
		twist = p.flankTorque*up*out + p.endTorque*out*out
		thrust *= out
	}
	area := math.Pi * at.d * at.d
	bend := 32*moment/(area*at.d) + 4*thrust/area
	twist *= 16 / (area * at.d)
	if brittle {
		return bend/2 + math.Sqrt(bend*bend/4+twist*twist)
	}
	return math.Sqrt(bend*bend + 3*twist*twist)
}

// BucklingLoad returns the thrust in N at which the beam, clamped above and free
// at its tip, buckles (Euler; for one bar pi^2 E I / (4 L^2)). A taper counts as
// steps, each as thick as its thinner end. NaN for a beam without positive
// diameters.
func (b Beam) BucklingLoad(e float64) float64 {
	b = b.steps()
	high := math.Inf(1)
	for _, s := range b {
		l, d := s.To-s.From, math.Min(s.D0, s.D1)
		if !(d > 0 && l > 0) {
			return math.NaN()
		}
		high = math.Min(high, math.Pi*math.Pi*e*inertia(d)/(4*l*l))
	}
	low := 0.0
	for range 60 { // halving to the last digit
		mid := (low + high) / 2
		if b.stands(mid, e) {
			low = mid
		} else {
			high = mid
		}
	}
	return domain(low, low, e)
}

// steps returns the beam with each taper as steps no thicker than it, their
// diameters in a geometric row.
func (b Beam) steps() Beam {
	var out Beam
	for _, s := range b {
		if s.D0 == s.D1 || !(s.D0 > 0 && s.D1 > 0) {
			out = append(out, s)
			continue
		}
		x, d := s.From, s.D0
		for i := range taperCuts {
			nd := s.D0 * math.Pow(s.D1/s.D0, float64(i+1)/taperCuts)
			nx := s.From + (s.To-s.From)*(nd-s.D0)/(s.D1-s.D0)
			thin := math.Min(d, nd)
			out = append(out, Bar{x, nx, thin, thin})
			x, d = nx, nd
		}
	}
	return out
}

// stands reports whether the beam stays straight under a thrust: from the tip
// down, the deflection u with second derivative -F u/(E I) starts with slope 1, and
// below the buckling load the slope is still positive at the clamp.
func (b Beam) stands(thrust, e float64) bool {
	u, slope := 0.0, 1.0
	for _, s := range b {
		k := math.Sqrt(thrust / (e * inertia(math.Min(s.D0, s.D1))))
		sin, cos := math.Sincos(k * (s.To - s.From))
		u, slope = u*cos+slope*sin/k, slope*cos-u*k*sin
		if slope <= 0 {
			return false
		}
	}
	return true
}

func inertia(d float64) float64 { return math.Pi * d * d * d * d / 64 }
