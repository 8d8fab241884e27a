package proof

import "math"

// Load is what the cuts for a feature ask of a tool at most. Engagement is
// measured from the removed material in steps along the path; where the cutter is
// too fine for that the cut counts as a slot. Forces err to the safe side, see
// package cutdata. A cut for no feature has an empty name.
type Load struct {
	Tool       int     `json:"tool"`
	Feature    string  `json:"feature"`
	Length     float64 `json:"length_mm"`      // of side cuts
	Step       float64 `json:"step_mm"`        // over which engagement is measured
	Axial      Most    `json:"axial_mm"`       // depth of material met
	Radial     Most    `json:"radial_mm"`      // width of material met
	Engagement Most    `json:"engagement_deg"` // of the cutter's edge, 180 in a slot
	Removal    Most    `json:"removal_mm3_min"`
	ChipMax    Most    `json:"chip_max_mm"`
	ChipMean   Most    `json:"chip_mean_mm"`
	Force      Most    `json:"force_n"`  // tangential
	Lift       Most    `json:"lift_n"`   // along the axis, from the helix
	Thrust     Most    `json:"thrust_n"` // along the axis, of plunges
	Torque     Most    `json:"torque_nm"`
	Power      Most    `json:"power_kw"` // of the motor
	Deflection Most    `json:"deflection_mm"`
	Stress     Most    `json:"stress_n_mm2"`
}

// Most is the greatest value of a figure, its limit where there is one, and the
// block in which it is met.
type Most struct {
	Value float64 `json:"value"`
	Limit float64 `json:"limit,omitempty"`
	Block int     `json:"block"`
	Line  int     `json:"line"`
}

func (m most) record() Most { return Most{round(m.value), round(m.limit), m.block, m.line} }

// record lists the loads in the order in which the cuts began.
func (l *loads) record() []Load {
	out := []Load{}
	for _, t := range l.all {
		if t.most[axialFigure].block == 0 {
			continue // nothing was met
		}
		m := func(f figure) Most { return t.most[f].record() }
		out = append(out, Load{
			Tool: t.tool.Number, Feature: t.name(), Length: round(t.length),
			Step:  round(math.Max(binShare*t.tool.Diameter, binCells*l.gauge.m.res)),
			Axial: m(axialFigure), Radial: m(radialFigure), Engagement: m(arcFigure), Removal: m(removalFigure),
			ChipMax: m(chipFigure), ChipMean: m(meanChipFigure), Force: m(forceFigure), Lift: m(liftFigure), Thrust: m(thrustFigure),
			Torque: m(torqueFigure), Power: m(powerFigure), Deflection: m(deflectionFigure), Stress: m(stressFigure),
		})
	}
	return out
}
