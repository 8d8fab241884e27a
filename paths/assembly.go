package paths

import (
	"math"
	"sort"

	"proofcut/paths/setup"
)

// assembly is the outline of tool, shank and holder for questions of room. Its
// radius never falls with height: what hides above a thicker part counts as
// thick as that part, and the last radius goes on upward for ever. So whatever
// clears it clears the real assembly as well.
//
// Corner i has radius r[i] at height z[i] above the tip; between two corners
// the outline is a cone, and corners at one height make a step.
type assembly struct{ z, r []float64 }

func newAssembly(t setup.Tool) assembly {
	var a assembly
	for _, s := range t.Sections() {
		a.step(s.Z0, s.R0)
		a.add(s.Z1, s.R1)
	}
	return a
}

// add ends a cone at height z, or goes straight up when the radius would fall
// or the height has been passed already.
func (a *assembly) add(z, r float64) {
	if n := len(a.z); n > 0 {
		z, r = math.Max(z, a.z[n-1]), math.Max(r, a.r[n-1])
	}
	a.z, a.r = append(a.z, z), append(a.r, r)
}

// step widens the outline to r at height z. Sections come from the tip up; of
// two that overlap the upper one counts from its own lower end.
func (a *assembly) step(z, r float64) {
	for i := range a.z {
		if a.z[i] > z {
			a.r[i] = math.Max(a.r[i], r)
		}
	}
	a.add(z, 0)
	a.add(z, r)
}

// radius returns the greatest radius of the assembly from its tip up to height
// z above it, z >= 0.
func (a assembly) radius(z float64) float64 {
	i := sort.Search(len(a.z), func(i int) bool { return a.z[i] > z })
	switch {
	case i == 0:
		return a.r[0]
	case i == len(a.z):
		return a.r[i-1]
	}
	return a.r[i-1] + (a.r[i]-a.r[i-1])*(z-a.z[i-1])/(a.z[i]-a.z[i-1])
}

// height returns how far up the assembly is no thicker than r: 0 when already
// the tip is thicker, positive infinity when nothing is.
func (a assembly) height(r float64) float64 {
	if a.r[0] > r {
		return 0
	}
	for i := 1; i < len(a.z); i++ {
		if a.r[i] > r {
			return a.z[i-1] + (a.z[i]-a.z[i-1])*(r-a.r[i-1])/(a.r[i]-a.r[i-1])
		}
	}
	return math.Inf(1)
}
