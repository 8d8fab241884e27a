package interp

import (
	"proofcut/gcode"
	"proofcut/paths/geom"
)

// Kind names a canonical action.
type Kind uint8

// The canonical actions.
const (
	Traverse   Kind = iota // straight move at the rapid rate
	Feed                   // straight move at feed rate
	Arc                    // circular or helical move at feed rate
	Probe                  // straight move at feed rate that ends at contact
	Dwell                  // wait Seconds
	ToolSelect             // T
	ToolChange             // M6
	Spindle                // spindle started, stopped, reversed or its speed set
	Coolant                // coolant switched
	Stop                   // M0, M1, M60
	Message                // operator message
	ProgramEnd             // M2, M30 or closing %
)

// Plane is the plane of arcs and of radius compensation.
type Plane uint8

// The planes.
const (
	XY Plane = iota // G17
	ZX              // G18
	YZ              // G19
)

// Event is one canonical action, with the state in which it happens. Lengths
// are millimetres whatever the program's unit. The interpreter reuses one Event:
// a consumer that keeps one copies it.
type Event struct {
	Kind  Kind
	Block int       // 1-based count of blocks read, blank and comment lines included
	Pos   gcode.Pos // of the block's first word

	// From and To are where the controlled point is and goes, in the
	// coordinates of the work system in force (tool length offset taken out).
	From, To geom.Point3

	// Arcs: Centre lies in the plane of the start point's level; Turn is seen
	// from the positive end of the plane's normal. Sweep is the angle turned,
	// positive, at most one turn unless the machine allows more.
	Plane  Plane
	Centre geom.Point3
	Turn   geom.Turn
	Sweep  float64

	Seconds float64 // of a Dwell
	Text    string  // of a Message

	State *State // modal state when the action starts; read only
}

// State is the modal state of the control.
type State struct {
	FeedRate     float64 // mm/min, or moves a minute when InverseTime; 0 when never set
	InverseTime  bool
	SpindleTurn  geom.Turn // CW for M3, CCW for M4, Straight when stopped
	SpindleSpeed float64   // 1/min
	Mist, Flood  bool

	Tool         int     // in the spindle; 0 when the program has loaded none
	Selected     int     // by the last T word; 0 for none
	LengthOffset float64 // mm; valid when LengthOn
	LengthOn     bool    // G43 in force
	LengthIndex  int     // H of that G43

	UnitSet   bool // the program itself chose G20 or G21
	Inch      bool
	Plane     Plane
	PlaneSet  bool
	Relative  bool // G91
	DistSet   bool
	FeedSet   bool      // the program itself has given an F
	ModeSet   bool      // the program itself chose G93 or G94
	CompSide  geom.Turn // G41 CCW (left), G42 CW (right), Straight off
	System    int       // 1..9
	SystemSet bool
	OffsetOn  bool // G92 offsets in force
	Override  bool // M48
}
