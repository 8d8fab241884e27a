package setup

import "proofcut/paths/geom"

// Setup is everything that a program is planned for and proven against.
type Setup struct {
	Name     string
	Unit     Unit // of the program text
	Machine  Machine
	Stock    Stock
	Zones    []Zone
	Defects  []Defect
	Tools    []Tool
	Features []Feature
	Parts    []Part

	Probing      *Probing      // of a program that probes; nil for one that cuts
	Registration *Registration // how the slab was found; nil: it lies as it is drawn

	// ClearZ is the height at which a program starts and ends and at which
	// tools are changed; Approach is the gap above material at which a rapid
	// descent stops and a feed begins.
	ClearZ, Approach float64
}

// Tool returns the tool of that number.
func (s *Setup) Tool(number int) (Tool, bool) {
	for _, t := range s.Tools {
		if t.Number == number {
			return t, true
		}
	}
	return Tool{}, false
}

// Feature is a volume with upright walls that one operation cuts: what it may
// take away and what it has to. A tool below the stock's top is legal only
// inside a feature, and no deeper than its floor.
type Feature struct {
	Name string

	// May bounds the cut seen from above. For engraving it is empty and the
	// cut is bounded by Reach about the lines Along.
	May   geom.Region
	Along []geom.Path
	Reach float64

	// Must is what has to be gone down to Floor when the program ends, without
	// the corners that the tool cannot enter; empty when nothing is demanded.
	// For engraving every point of Along has to be visited at Floor.
	Must geom.Region

	// Around is the parts, as cut, that the feature goes round. Its cuts may enter
	// no part but one that holds these. Empty: it is not a cut round parts.
	Around geom.Region

	// Feed, Plunge and Speed are the cutting data that the cut is planned with:
	// the greatest feeds in mm/min, the spindle's speed in 1/min; 0: not stated.
	Feed, Plunge, Speed float64
	StepDown            float64 // depth of one pass that the cut is planned with; 0: not stated

	Floor float64 // lowest legal height of the tool's tip

	// Follows tells that the floor follows the stock's face: Floor is what it
	// would be under a face that is level at the stock's Top. Lift is how far
	// above the floor a tool may leave material because its end is level and the
	// face is not.
	Follows bool
	Lift    float64

	Tol   float64 // allowed error in height and plan, mm
	Tools []int   // numbers of the tools that may cut here; empty: any

	Coolant Coolant // what has to be on while it is cut; Dry: nothing is asked
}

// Part is a piece that the job is for.
type Part struct {
	Name     string
	At       geom.Point // centre of a disc, otherwise the shape's origin
	Diameter float64    // of a disc as cut, otherwise 0
	Finished float64    // diameter after finishing, otherwise 0

	// FinishedMin and FinishedMax are the limits of the finished diameter where the
	// disc is turned to a fit, otherwise 0.
	FinishedMin, FinishedMax float64

	Outline geom.Region // what remains as cut, holes included
	Skin    float64     // least thickness left under the cut round it
	Bridges int         // holding bridges left in the cut round it
}
