// Package plain is a second reader of RS-274/NGC programs, for the judge of the
// fault injection: text in, a list of straight and circular moves in machine
// coordinates out. It shares nothing with gcode and gcode/interp, so that a wrong
// reading of the language there shows as a difference.
//
// It follows the rules of Kramer, Proctor, Messina, "The NIST RS274NGC
// Interpreter - Version 3", NISTIR 6556 (2000), most of which were known from
// memory only. It is slow and simple: the position is that of the machine, and a
// word is turned into it by the one published sum (section 3.2.2): machine =
// programmed + G92 offset + origin of the system, + length offset on Z.
//
// Where the rules leave something open it does not guess: the Fault says Open,
// and whoever asked cannot know what a control would do.
package plain

import "fmt"

// Kind names what a step does.
type Kind uint8

// The steps.
const (
	Rapid  Kind = iota // straight at the rapid rate
	Feed               // straight at feed rate
	Arc                // circular or helical at feed rate
	Probe              // straight at feed rate until contact
	Dwell              // wait Seconds
	Change             // M6; the state is that before it
	Switch             // spindle or coolant switched; the state is that after it
	Stop               // M0, M1, M60
	End                // of the program; the state is that which it leaves
)

// Moves reports whether the step is one that moves an axis.
func (k Kind) Moves() bool { return k <= Probe }

// Step is one thing that the machine does.
type Step struct {
	Kind Kind
	Line int

	// From and To are where the controlled point is: X Y Z in mm, A B C in
	// degrees, in machine coordinates, length offset and all included.
	From, To [6]float64

	// Of an Arc: the index of the axis that it turns about, its centre on the other
	// two, 1 for counter-clockwise seen from that axis's positive end and -1 for
	// clockwise, and the angle in radians, at most one turn.
	Normal int
	Centre [3]float64
	Turn   int
	Sweep  float64

	Seconds float64
	State
}

// State is what is in force during a step.
type State struct {
	Rate     float64 // mm/min, or moves a minute when Inverse
	Inverse  bool    // G93
	Spindle  int     // -1 clockwise (M3), 1 counter-clockwise (M4), 0 stopped
	Speed    float64 // 1/min
	Mist     bool
	Flood    bool
	Tool     int // in the spindle
	Index    int // H of the length offset in force, 0 without
	UnitSet  bool
	Distance bool // the program has chosen G90 or G91

	// Known tells of X Y Z whether the place no longer depends on where the machine
	// stood at the start.
	Known [3]bool
}

// Tool is an entry of the tool table.
type Tool struct{ Length, Diameter float64 } // mm

// Control is what the program does not say. The zero value stands at zero with an
// empty table of DefaultSlots slots and knows the published language only.
type Control struct {
	Tools      map[int]Tool
	Slots      int             // highest tool slot, 0 for DefaultSlots
	Tool       int             // in the spindle
	Parameters map[int]float64 // in mm and degrees
	Start      [6]float64      // machine coordinates
	Inch       bool            // unit until the program chooses
	Delete     bool            // the switch: blocks with / are skipped

	Most int // lines and steps that are read, 0 for DefaultMost

	// Common practice that is not published.
	Semicolon    bool // ; begins a comment
	Subprograms  bool // M98 P L, M99, O
	Milliseconds bool // P of dwells
	Tapping      bool // G74 and G33.1, the latter not read
	Chips        bool // G73, not read

	// Touch tells where a probe that goes from one place to another, both in
	// machine coordinates, meets something.
	Touch func(from, to [3]float64) ([3]float64, bool)
}

// What a Control has that does not say.
const (
	DefaultSlots = 99
	DefaultMost  = 1_000_000
)

// Fault is why a program is not read to its end.
type Fault struct {
	Line int
	Open bool // the published rules leave it open; else they forbid it
	Msg  string
}

// Error returns the fault with its line.
func (f *Fault) Error() string {
	if f.Open {
		return fmt.Sprintf("line %d: not read: %s", f.Line, f.Msg)
	}
	return fmt.Sprintf("line %d: %s", f.Line, f.Msg)
}

// fail and open leave the reading of a program; Read catches them.
func (r *reader) fail(format string, args ...any) {
	panic(&Fault{Line: r.line, Msg: fmt.Sprintf(format, args...)})
}

func (r *reader) open(format string, args ...any) {
	panic(&Fault{Line: r.line, Open: true, Msg: fmt.Sprintf(format, args...)})
}
