package proof

import (
	"math"

	"proofcut/paths/setup"
)

// Registration is how the slab was found, as the set-up says: it is not proven,
// but a program is for a slab that lies there and nowhere else.
type Registration struct {
	Turn    float64    `json:"turn_deg"`
	Shift   [2]float64 `json:"shift"` // where the origin of the drawing lies
	Scale   float64    `json:"scale"`
	RMS     float64    `json:"rms_mm"`
	Largest float64    `json:"largest_mm"`
	Limit   float64    `json:"limit_mm"`
	Spare   int        `json:"spare"` // measured coordinates beyond the unknowns
	Touches []Touched  `json:"touches"`
}

// Touched is by how much one touched point or edge misses.
type Touched struct {
	Name     string     `json:"name"`
	Edge     bool       `json:"edge,omitempty"`
	Residual [2]float64 `json:"residual"`
	Length   float64    `json:"residual_mm"`
}

func registration(r *setup.Registration) *Registration {
	if r == nil {
		return nil
	}
	out := &Registration{
		Turn: round(r.Turn * 180 / math.Pi), Shift: [2]float64{round(r.Shift.X), round(r.Shift.Y)},
		Scale: r.Scale, RMS: round(r.RMS), Limit: round(r.Limit), Spare: r.Spare, Touches: []Touched{},
	}
	for i, t := range r.Touches {
		out.Touches = append(out.Touches, Touched{t.Name, t.Edge, [2]float64{round(t.Residual.X), round(t.Residual.Y)}, round(t.Residual.Len())})
		if i == r.Worst() {
			out.Largest = round(t.Residual.Len())
		}
	}
	return out
}
