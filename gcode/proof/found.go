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

// Face is the measured face of the stock that the program is proven against.
// Heights are those of the fitted surface; the proof counts with material as high
// as Largest above it.
type Face struct {
	Points    int     `json:"points"`
	Fit       string  `json:"fit"`       // plane or mesh
	Underside string  `json:"underside"` // flat or parallel
	Lowest    float64 `json:"lowest"`
	Highest   float64 `json:"highest"`
	Tilt      float64 `json:"tilt_deg"`
	Towards   float64 `json:"towards_deg"` // direction in which it rises, from X
	Bow       float64 `json:"bow_mm"`      // slice parallel to the tilted plane that holds all points
	Largest   float64 `json:"largest_mm"`  // of the points' distances from the surface
	Limit     float64 `json:"limit_mm"`
}

func measured(f *setup.Face) *Face {
	if f == nil {
		return nil
	}
	under := "flat"
	if f.Parallel {
		under = "parallel"
	}
	return &Face{
		Points: f.Probed, Fit: f.Fit, Underside: under, Lowest: round(f.Lowest - f.Worst), Highest: round(f.Highest - f.Worst),
		Tilt: round(f.Tilt * 180 / math.Pi), Towards: round(f.Towards * 180 / math.Pi), Bow: round(f.Bow), Largest: round(f.Worst), Limit: round(f.Limit),
	}
}
