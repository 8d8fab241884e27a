package setup

import "proofcut/paths/geom"

// Machine is what the control and the mechanics can do. A zero limit is not
// "no limit": Validate refuses a machine whose limits are not all given.
type Machine struct {
	Name     string
	Envelope geom.Box3 // where the tool's tip may be, in program coordinates
	SpindleMin,
	SpindleMax float64 // 1/min
	FeedMax   float64 // mm/min along the path
	PlungeMax float64 // mm/min downward; 0: as FeedMax
	Rapid     float64 // mm/min
	Accel     float64 // mm/s2 along the path; 0: not known, times leave it out
	BlockRate float64 // blocks a second that the control can take; 0: not known

	// Axes are the limits of X, Y and Z each. CornerDeviation is how far the
	// control may leave the path at a corner, mm, which lets it keep some speed
	// there; 0: not known. LookAhead is how many moves it plans ahead; 0: not known.
	Axes            [3]Axis
	CornerDeviation float64
	LookAhead       int
	NoPathModes     bool // the control has none of G61, G61.1 and G64

	// Travel is what the axes can reach, in machine coordinates; zero: not given.
	// WorkOffset is where program zero lies in them, without any tool length
	// offset; nil: not known, and Travel then says nothing about a program.
	Travel     geom.Box3
	WorkOffset *geom.Point3

	ToolChange    ToolChange
	LengthOffsets bool    // G43 H is understood and the tool table is kept
	Mist, Flood   bool    // M7, M8 exist
	DogLegRapids  bool    // G0 axes move at their own rate: the path is not straight
	SpinUp        float64 // s of dwell after the spindle starts
	Practice      Practice
	Drive         Drive
}

// Stray is how far the tool may be off a programmed path that the program cannot
// have the control keep to, mm.
func (m Machine) Stray() float64 {
	if m.NoPathModes {
		return m.CornerDeviation
	}
	return 0
}

// HasTravel reports whether the travel in machine coordinates is given.
func (m Machine) HasTravel() bool { return m.Travel != geom.Box3{} }

// ToolChange is how a machine changes tools.
type ToolChange uint8

// The ways to change a tool.
const (
	NoToolChange     ToolChange = iota // one tool a program, no T or M6 word
	ManualToolChange                   // T and M6 stop for the operator
	AutoToolChange                     // T and M6 change by themselves
)

// Stock is the piece to cut. Its top face lies at Top and it is Thickness deep.
type Stock struct {
	Outline   geom.Region // seen from above, existing holes as holes
	Top       float64
	Thickness float64
	Material  string
	Like      Like // what Material cuts like; empty: as its words say
	Backing   Backing

	// Face is the upper face as it was measured; nil: it is flat at Top. With it
	// Top is no lower than any place of the face, and Thickness reaches from there
	// to the lower face where it is flat.
	Face *Face
}

// Bottom returns the height of the stock's lower face.
func (s Stock) Bottom() float64 { return s.Top - s.Thickness }

// Backing is the sacrificial plate under the stock.
type Backing struct {
	Present  bool
	Material string
	Like     Like    // what Material cuts like; empty: as its words say
	Depth    float64 // how deep it may be cut into, 0: not at all
	Glued    bool    // the whole stock sticks to it: a part that is cut free stays
}

// Zone is an upright prism that no part of the tool, shank and holder included,
// may come nearer to than Clearance: a screw head, a jaw, a crack.
type Zone struct {
	Name        string
	Area        geom.Region
	Bottom, Top float64
	Clearance   float64
	Fixed       bool // belongs to the machine, such as a jaw, and not to the slab
}

// Coolant is what an operation asks to be blown or poured on the cut.
type Coolant uint8

// The kinds of coolant.
const (
	Dry Coolant = iota
	Mist
	Flood
)
