// Package differ reads a program with the project's interpreter and with the
// plain reader and tells where they disagree.
package differ

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"proofcut/gcode"
	"proofcut/gcode/interp"
	"proofcut/gcode/proof/prooftest/plain"
	"proofcut/paths/geom"
)

// alike is how near moves of both readers have to be, mm and radians.
const alike = 1e-6

// Verdict is what came of reading a program twice.
type Verdict struct {
	Steps int          // that the interpreter told and that were compared
	Ours  error        // of the interpreter
	Plain *plain.Fault // of the plain reader
	Diff  string       // not empty: the readers tell different things
}

// control returns the options of the interpreter for the plain reader.
func control(o interp.Options) plain.Control {
	c := plain.Control{Tools: map[int]plain.Tool{}, Slots: o.Slots, Tool: o.Tool, Parameters: o.Parameters, Inch: o.Inch, Delete: o.BlockDelete,
		Semicolon: o.Practice.SemicolonComments, Subprograms: o.Practice.Subprograms, Milliseconds: o.Practice.DwellMilliseconds,
		Tapping: o.Practice.RigidTapping, Chips: o.Practice.HighSpeedPeck}
	if o.Limits.Events > 0 {
		c.Most = 2 * o.Limits.Events
	}
	for n, t := range o.Tools {
		c.Tools[n] = plain.Tool(t)
	}
	number := 1
	if n, ok := o.Parameters[5220]; ok {
		number = int(math.Round(n))
	}
	start := [6]float64{o.Start.X, o.Start.Y, o.Start.Z, o.StartABC[0], o.StartABC[1], o.StartABC[2]}
	for i := range start {
		c.Start[i] = start[i] + o.Parameters[5201+20*number+i]
	}
	return c
}

// Read reads a text twice and holds the steps against each other as far as both
// go. The interpreter may refuse what the plain reader reads; what the rules
// forbid it must not run, and what they leave open it may.
func Read(text string, o interp.Options) Verdict {
	var v Verdict
	c := control(o)
	if o.Surface != nil {
		// Surfaces of tests are the same in all coordinates.
		c.Touch = func(from, to [3]float64) ([3]float64, bool) {
			at, hit := o.Surface(geom.Pt3(from[0], from[1], from[2]), geom.Pt3(to[0], to[1], to[2]))
			return [3]float64{at.X, at.Y, at.Z}, hit
		}
	}
	all, err := plain.Read(text, c)
	errors.As(err, &v.Plain)
	var steps []plain.Step
	for _, s := range all {
		if counts(s) {
			steps = append(steps, s)
		}
	}
	n := 0
	_, v.Ours = interp.Run(gcode.NewReader(strings.NewReader(text), o.ReadOptions("program")), o, func(e *interp.Event) error {
		s, ok := step(e)
		if !ok || !counts(s) {
			return nil
		}
		if n < len(steps) && v.Diff == "" {
			v.Diff = differ(steps[n], s)
		}
		if n >= len(steps) && v.Plain == nil && v.Diff == "" {
			v.Diff = fmt.Sprintf("line %d: only the interpreter: %+v", s.Line, s)
		}
		n++
		return nil
	})
	v.Steps = n
	switch {
	case v.Diff != "":
	case v.Plain != nil && !v.Plain.Open && v.Ours == nil:
		v.Diff = fmt.Sprintf("only the plain reader refuses: %v", v.Plain)
	case v.Ours == nil && n < len(steps):
		v.Diff = fmt.Sprintf("line %d: only the plain reader: %+v", steps[n].Line, steps[n])
	}
	return v
}

// counts reports whether a step is compared: whatever moves, and waits.
func counts(s plain.Step) bool {
	if s.Kind == plain.Dwell || s.Kind == plain.End || s.Kind == plain.Arc || s.Kind == plain.Change {
		return true
	}
	d := 0.0
	for i := range 6 {
		d = math.Max(d, math.Abs(s.To[i]-s.From[i]))
	}
	return s.Kind.Moves() && d > alike
}

// step returns an event as the plain reader would tell it.
func step(e *interp.Event) (plain.Step, bool) {
	kinds := map[interp.Kind]plain.Kind{interp.Traverse: plain.Rapid, interp.Feed: plain.Feed, interp.Arc: plain.Arc, interp.Probe: plain.Probe,
		interp.Dwell: plain.Dwell, interp.ToolChange: plain.Change, interp.ProgramEnd: plain.End}
	k, ok := kinds[e.Kind]
	st := e.State
	s := plain.Step{Kind: k, Line: e.Pos.Line, Seconds: e.Seconds, State: plain.State{Rate: st.FeedRate, Inverse: st.InverseTime,
		Spindle: int(st.SpindleTurn), Speed: st.SpindleSpeed, Mist: st.Mist, Flood: st.Flood, Tool: st.Tool}}
	place := func(p geom.Point3, abc [3]float64) (at [6]float64) {
		at = [6]float64{p.X, p.Y, p.Z, abc[0], abc[1], abc[2]}
		for i := range at {
			at[i] += st.Origin[i]
		}
		at[2] += st.LengthOffset
		return at
	}
	s.From, s.To = place(e.From, e.FromABC), place(e.To, e.ToABC)
	if e.Kind == interp.Arc {
		s.Normal = map[interp.Plane]int{interp.XY: 2, interp.ZX: 1, interp.YZ: 0}[e.Plane]
		c := place(e.Centre, [3]float64{})
		copy(s.Centre[:], c[:3])
		s.Turn, s.Sweep = int(e.Turn), e.Sweep
	}
	return s, ok
}

// differ tells what is different in two steps, "" for nothing.
func differ(a, b plain.Step) string {
	off := func(x, y float64) bool { return !(math.Abs(x-y) <= alike*math.Max(1, math.Abs(x)/1e3)) }
	bad := a.Kind != b.Kind || a.Line != b.Line || a.Normal != b.Normal || a.Turn != b.Turn || off(a.Sweep, b.Sweep) || off(a.Seconds, b.Seconds) ||
		off(a.Speed, b.Speed) || a.Spindle != b.Spindle || a.Mist != b.Mist || a.Flood != b.Flood || a.Tool != b.Tool
	if a.Kind == plain.Feed || a.Kind == plain.Arc || a.Kind == plain.Probe {
		bad = bad || off(a.Rate, b.Rate) || a.Inverse != b.Inverse
	}
	for i := range 6 {
		bad = bad || off(a.From[i], b.From[i]) || off(a.To[i], b.To[i])
	}
	for i := range 3 {
		bad = bad || off(a.Centre[i], b.Centre[i])
	}
	if !bad {
		return ""
	}
	return fmt.Sprintf("line %d: plain %+v, interpreter %+v", a.Line, a, b)
}
