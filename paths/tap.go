package paths

import (
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Tap cuts threads in drilled holes, down and up again in step with the spindle.
// Bottom is where the tip goes: below the last full turn by the tap's Lead. The
// feeds follow from pitch and speed; Feed, Plunge and MaxStep of Op are not read.
type Tap struct {
	Op
	At []geom.Point

	// HoleFloor is how deep the holes have their full diameter. TapRoom of the
	// pitch has to be left between it and Bottom for the chips.
	HoleFloor float64
}

// TapRoom is the room under a tap for its chips, in pitches: 1 to 2 (from memory).
const TapRoom = 2

// Plan works the operation out.
func (t Tap) Plan(s *setup.Setup) (Plan, error) {
	tool := t.Tool
	if tool.Shape != setup.Tap {
		return Plan{Op: t.Op}, t.errorf("tool %d is no tap", tool.Number)
	}
	// The program says whole turns a minute.
	t.Speed = math.Round(t.Speed)
	t.Feed = tool.Pitch * t.Speed
	t.Plunge, t.MaxStep = t.Feed, 0
	p := Plan{Op: t.Op}
	if err := t.validate(s); err != nil {
		return p, err
	}
	room := t.Bottom - t.HoleFloor
	switch {
	case !finite(t.HoleFloor) || room < TapRoom*tool.Pitch-geom.Tol:
		return p, t.errorf("the holes end at %.3f mm and the tap goes down to %.3f mm: %.3f mm have to be free under it for its chips", t.HoleFloor, t.Bottom, TapRoom*tool.Pitch)
	case tool.Lead >= t.Top-t.Bottom:
		return p, t.errorf("the tap goes %.3f mm deep and its lead is %.3f mm long: there is no full thread", t.Top-t.Bottom, tool.Lead)
	case s.Machine.FeedMax > 0 && t.Feed > s.Machine.FeedMax:
		return p, t.errorf("a pitch of %g mm at %g 1/min makes a feed of %.4g mm/min, the machine's limit is %g: tap slower", tool.Pitch, t.Speed, t.Feed, s.Machine.FeedMax)
	case s.Machine.PlungeMax > 0 && t.Feed > s.Machine.PlungeMax:
		return p, t.errorf("a pitch of %g mm at %g 1/min makes a feed of %.4g mm/min downward, the machine's limit is %g: tap slower", tool.Pitch, t.Speed, t.Feed, s.Machine.PlungeMax)
	}
	holes, findings, err := t.places(s, t.At, "a hole comes too near to it")
	if err != nil {
		return p, err
	}
	p.Findings = findings
	for _, at := range holes {
		// The tap has to stand above the work for a turn or more: it gets into
		// step before it cuts.
		start := at.At(math.Max(t.Top, t.Top+tapRunUp*tool.Pitch-s.Approach))
		top := at.At(start.Z + s.Approach) // where the rapid down to a cut ends
		p.Cuts = append(p.Cuts, Cut{Start: start, Moves: []Move{
			{To: at.At(t.Bottom), Feed: t.Feed, Tap: true},
			{To: top, Feed: t.Feed, Tap: true},
		}})
	}
	p.Features, err = drilled(s, t.Op, holes)
	return p, err
}

// tapRunUp is how many pitches above the work a tap starts: two turns to get
// into step (common practice, no source).
const tapRunUp = 2
