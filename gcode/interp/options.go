package interp

import (
	"fmt"
	"math"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// Tool is an entry of the control's tool table.
type Tool struct {
	Length   float64 // offset that G43 takes, mm
	Diameter float64 // twice the radius that G41 and G42 take, mm; may be negative
}

// DefaultSlots is the highest tool slot when Options do not say: what two digits
// can name (common practice, no source).
const DefaultSlots = 99

// Defaults of Limits: far beyond any honest program, near enough that a hostile
// one ends.
const (
	DefaultMaxBlocks  = 100_000_000
	DefaultMaxEvents  = 1_000_000_000
	DefaultMaxRepeats = 10_000
	DefaultMaxPecks   = 10_000
	DefaultMaxDepth   = 8
)

// Limits bound the work that a program can ask for. Zero means the default.
type Limits struct {
	Blocks  int // executed, those of subprograms each time
	Events  int
	Repeats int // L of a cycle or a subprogram call
	Pecks   int // of one hole
	Depth   int // of subprogram calls
}

// Lacks says what the machine does not have. The zero value has it all.
type Lacks struct {
	Mist, Flood        bool // M7; M8
	ToolChange         bool // T, M6
	LengthOffsets      bool // G43 (G49 is harmless)
	RadiusCompensation bool // G41, G42 (G40 is harmless)
	A, B, C            bool // rotary axes
	CannedCycles       bool // G81 .. G89 (G80 is harmless)
	Arcs               bool // G2, G3
	RadiusArcs         bool // R of G2, G3
	Helices            bool // arcs that also move along the plane's normal
	OtherPlanes        bool // G18, G19
	Inch               bool // G20
	InverseTime        bool // G93
	PathControl        bool // G61, G61.1, G64
	Probe              bool // G38.2
	WorkSystems        bool // G55 .. G59.3
	MoreSystems        bool // G59.1 .. G59.3
	SetSystems         bool // G10
	AxisOffsets        bool // G92, G92.1, G92.2, G92.3
	Home               bool // G28, G30
	MachineMoves       bool // G53
	Reverse            bool // M4
	Overrides          bool // M48, M49
	OptionalStop       bool // M1
	Pallet             bool // M60
	Parameters         bool // # in values and settings
	Expressions        bool // [ ] and functions
	BlockDelete        bool // / at the start of a block
}

// Practice switches on common practice beyond the published language. Comments
// with semicolons and the words of subprograms must be allowed to the reader of
// the text too: see ReadOptions.
type Practice struct {
	SemicolonComments bool // ; begins a comment that ends with the line
	RigidTapping      bool // G74 (left-hand tap) and G33.1 with K as pitch
	HighSpeedPeck     bool // G73 breaks the chip without leaving the hole
	Subprograms       bool // M98 P calls O, L times; M99 returns
	DwellMilliseconds bool // P of G4 and of cycles counts milliseconds
}

// Options is what the interpreter is told about machine and switches. The zero
// value is the published machine with an empty tool table, at the origin.
type Options struct {
	Tools map[int]Tool // by slot; slots not listed read as zeros
	Slots int          // highest slot; 0: DefaultSlots
	Tool  int          // slot of the tool in the spindle at the start

	// Parameters are the values that the control keeps from one program to the
	// next, by number: origins, homes and offsets in millimetres and degrees,
	// 5220 the work system. Those not listed are 0, 5220 is 1.
	Parameters map[int]float64

	Start    geom.Point3 // of the controlled point, in the first work system
	StartABC [3]float64
	Inch     bool // the unit in force before the program chooses; also State.Inch

	Lacks        Lacks
	Practice     Practice
	BlockDelete  bool // the switch: blocks with / are skipped
	OptionalStop bool // the switch: M1 stops

	// Surface is where the probe meets the work: the first place on the way from
	// one point to the other, both in work coordinates, and whether there is one.
	// Without it G38.2 is an error.
	Surface func(from, to geom.Point3) (at geom.Point3, hit bool)

	// Watch, when given, sees the words of each block that is executed, with the
	// state before; both are read only.
	Watch func(w Words, before *State)

	Limits Limits
}

// ReadOptions returns the options with which a text for the machine is to be read.
func (o Options) ReadOptions(name string) gcode.Options {
	return gcode.Options{Name: name, Semicolon: o.Practice.SemicolonComments, Subprograms: o.Practice.Subprograms}
}

// maxLength bounds coordinates, origins and offsets in millimetres or degrees: a
// kilometre, beyond which a float64 would no longer hold the nanometre that
// geometry needs.
const maxLength = 1e6

func (o *Options) validate() error {
	bad := func(format string, args ...any) error {
		return &gcode.Error{Msg: "options: " + fmt.Sprintf(format, args...)}
	}
	within := func(v ...float64) bool {
		for _, x := range v {
			if !(math.Abs(x) <= maxLength) {
				return false
			}
		}
		return true
	}
	if o.Slots == 0 {
		o.Slots = DefaultSlots
	}
	if o.Slots < 0 || o.Tool < 0 || o.Tool > o.Slots {
		return bad("tool %d does not lie in the slots 0 to %d", o.Tool, o.Slots)
	}
	for slot, t := range o.Tools {
		if slot < 0 || slot > o.Slots {
			return bad("tool table: slot %d does not lie in 0 to %d", slot, o.Slots)
		}
		if !within(t.Length, t.Diameter) {
			return bad("tool table: slot %d: length %v or diameter %v is out of range", slot, t.Length, t.Diameter)
		}
	}
	for n, v := range o.Parameters {
		if n < gcode.FirstParameter || n > gcode.LastParameter {
			return bad("there is no parameter %d", n)
		}
		if math.IsNaN(v) || math.IsInf(v, 0) || isPosition(n) && !within(v) {
			return bad("parameter %d: %v is out of range", n, v)
		}
	}
	if !within(o.Start.X, o.Start.Y, o.Start.Z) || !within(o.StartABC[:]...) {
		return bad("the start position is out of range")
	}
	for _, l := range []struct {
		v *int
		d int
	}{
		{&o.Limits.Blocks, DefaultMaxBlocks}, {&o.Limits.Events, DefaultMaxEvents},
		{&o.Limits.Repeats, DefaultMaxRepeats}, {&o.Limits.Pecks, DefaultMaxPecks},
		{&o.Limits.Depth, DefaultMaxDepth},
	} {
		if *l.v == 0 {
			*l.v = l.d
		}
		if *l.v < 0 {
			return bad("a limit is negative")
		}
	}
	return nil
}
