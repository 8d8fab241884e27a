package interp

import (
	"math"

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
	Stop                   // M0, M1, M60, and the operator's turn in G88
	Message                // operator message
	ProgramEnd             // M2, M30 or closing %
)

var kindNames = [...]string{"traverse", "feed", "arc", "probe", "dwell", "tool select",
	"tool change", "spindle", "coolant", "stop", "message", "program end"}

// String returns the kind in words.
func (k Kind) String() string {
	if int(k) < len(kindNames) {
		return kindNames[k]
	}
	return "unknown"
}

// Plane is the plane of arcs and of radius compensation.
type Plane uint8

// The planes.
const (
	XY Plane = iota // G17
	ZX              // G18
	YZ              // G19
)

// String returns the G code of the plane.
func (p Plane) String() string { return [...]string{"G17", "G18", "G19"}[p%3] }

// axes returns the indices of the plane's first and second axis and of its
// normal: turning counter-clockwise leads from the first to the second.
func (p Plane) axes() (first, second, normal int) {
	switch p {
	case ZX:
		return 2, 0, 1
	case YZ:
		return 1, 2, 0
	}
	return 0, 1, 2
}

// PathMode is how the control rounds corners.
type PathMode uint8

// The path control modes.
const (
	PathUnset  PathMode = iota // as the machine has it
	ExactPath                  // G61
	ExactStop                  // G61.1
	Continuous                 // G64
)

// Event is one canonical action, with the state in which it happens. Lengths
// are millimetres whatever the program's unit. The interpreter reuses one Event:
// a consumer that keeps one copies it, State included.
type Event struct {
	Kind  Kind
	Block int       // 1-based count of blocks read, blank and comment lines included
	Pos   gcode.Pos // of the block's first word

	// From and To are where the controlled point is and goes, in the
	// coordinates of the work system in force (tool length offset and G92
	// offsets taken out). From equals the To before unless the program has
	// changed work system or length offset in between, or the operator has
	// moved the tool in a G88.
	From, To       geom.Point3
	FromABC, ToABC [3]float64 // rotary axes, degrees

	// Arcs: Centre lies in the plane of the start point's level; Turn is seen
	// from the positive end of the plane's normal. Sweep is the angle turned,
	// positive, at most one turn. The axis along the normal moves linearly. The
	// radii at From and To may differ by the published tolerance.
	Plane  Plane
	Centre geom.Point3
	Turn   geom.Turn
	Sweep  float64

	Seconds float64 // of a Dwell
	Text    string  // of a Message
	Code    int     // of a Stop or ProgramEnd: 0, 1, 60, 2, 30; of a ProgramEnd by %: -1

	// State is the modal state while the action happens; read only. Actions that
	// set something (ToolSelect, Spindle, Coolant) see it set. At a ToolChange
	// Tool is the one that leaves and Selected the one that comes; at a
	// ProgramEnd the state is as the program leaves it, before the control's
	// resets.
	State *State
}

// Rotates reports whether a rotary axis moves.
func (e *Event) Rotates() bool { return e.FromABC != e.ToABC }

// Length returns how far the controlled point travels in millimetres, rotary
// axes left out.
func (e *Event) Length() float64 {
	if e.Kind != Arc {
		return e.From.Dist(e.To)
	}
	r, rise := 0.0, 0.0
	switch e.Plane {
	case XY:
		r, rise = math.Hypot(e.From.X-e.Centre.X, e.From.Y-e.Centre.Y), e.To.Z-e.From.Z
	case ZX:
		r, rise = math.Hypot(e.From.Z-e.Centre.Z, e.From.X-e.Centre.X), e.To.Y-e.From.Y
	default:
		r, rise = math.Hypot(e.From.Y-e.Centre.Y, e.From.Z-e.Centre.Z), e.To.X-e.From.X
	}
	return math.Hypot(r*e.Sweep, rise)
}

// Minutes returns how long a move at feed rate takes at the programmed feed: by
// the path of X, Y and Z if any of them moves, else by the rotary axes (NISTIR
// 6556, section 2.1.2.5, from memory). It is 0 for other actions.
func (e *Event) Minutes() float64 {
	if e.Kind != Feed && e.Kind != Arc && e.Kind != Probe || e.State == nil || e.State.FeedRate <= 0 {
		return 0
	}
	if e.State.InverseTime {
		return 1 / e.State.FeedRate
	}
	if l := e.Length(); l > 0 {
		return l / e.State.FeedRate
	}
	sum := 0.0
	for i, a := range e.ToABC {
		d := a - e.FromABC[i]
		sum += d * d
	}
	rate := e.State.FeedRate // F counts degrees when only rotary axes move
	if e.State.Inch {
		rate /= mmPerInch
	}
	return math.Sqrt(sum) / rate
}

// State is the modal state of the control.
type State struct {
	FeedRate     float64 // mm/min, or moves a minute when InverseTime; 0 when not set
	InverseTime  bool
	SpindleTurn  geom.Turn // CW for M3, CCW for M4, Straight when stopped
	SpindleSpeed float64   // 1/min
	SpeedSet     bool      // the program itself has given an S
	Oriented     bool      // the spindle was stopped at its mark (G87)
	Synchronised bool      // feed and spindle run in step (tapping)
	Mist, Flood  bool

	Tool         int     // in the spindle; as the options say until the program loads one
	Selected     int     // by the last T word; 0 for none
	LengthOffset float64 // mm; valid when LengthOn
	LengthOn     bool    // G43 in force
	LengthIndex  int     // H of that G43

	Motion     int  // active motion mode: 0, 10, 20, 30, 331, 382, 730, 740, 800 .. 890: ten times the G code
	UnitSet    bool // the program itself chose G20 or G21
	Inch       bool
	Plane      Plane
	PlaneSet   bool
	Relative   bool // G91
	DistSet    bool
	FeedSet    bool      // the program itself has given an F
	ModeSet    bool      // the program itself chose G93 or G94
	CompSide   geom.Turn // G41 CCW (left), G42 CW (right), Straight off
	CompRadius float64   // mm, may be negative: the tool is then on the other side
	CompIndex  int       // D of that G41 or G42
	CompSet    bool      // the program itself chose G40, G41 or G42
	System     int       // 1..9
	SystemSet  bool
	OffsetOn   bool // G92 offsets in force
	Override   bool // M48
	RetractR   bool // G99
	RetractSet bool
	Path       PathMode

	// Origin is the place of the work system in machine coordinates and Offset
	// the G92 offsets, both X Y Z in mm and A B C in degrees. Program coordinates
	// are those of the work system less Offset; machine coordinates are those of
	// the work system plus Origin, plus LengthOffset on Z.
	Origin, Offset [6]float64

	// Placed tells which of X Y Z A B C the program has brought to a place of its
	// own choosing, so that they no longer depend on where the machine stood. A
	// tool change and another length offset take Z back.
	Placed [6]bool
}
