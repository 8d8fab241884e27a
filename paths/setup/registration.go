package setup

import "proofcut/paths/geom"

// Registration is how the slab's drawing was found on the machine: the turn,
// shift and scale that take its coordinates to those of the program, and by how
// much each touch misses.
type Registration struct {
	Turn  float64    // counter-clockwise, radians
	Shift geom.Point // where the origin of the drawing comes to lie
	Scale float64
	RMS   float64 // root of the mean square of the residuals, mm
	Limit float64 // largest residual allowed, mm
	Spare int     // measured coordinates beyond the unknowns: 0 means that nothing checks it

	Touches []Touched
}

// Touched is one point or edge of a Registration.
type Touched struct {
	Name     string
	Edge     bool
	Residual geom.Point // where it was touched off minus where the registration puts it, mm
}

// Worst returns the index of the longest residual.
func (r *Registration) Worst() int {
	worst := 0
	for i, t := range r.Touches {
		if t.Residual.Len() > r.Touches[worst].Residual.Len() {
			worst = i
		}
	}
	return worst
}
