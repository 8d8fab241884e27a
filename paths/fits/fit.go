package fits

import (
	"fmt"
	"math"
	"strings"
)

// Fit is a hole and a shaft of one nominal size.
type Fit struct{ Hole, Shaft Limits }

// ParseFit reads a fit such as H7/p6 for a nominal size, mm.
func ParseFit(s string, nominal float64) (Fit, error) {
	h, sh, ok := strings.Cut(s, "/")
	if !ok {
		return Fit{}, fmt.Errorf("%q is not a fit such as H7/p6: the hole's class, a stroke, the shaft's", s)
	}
	hole, err := ParseClass(h)
	if err != nil {
		return Fit{}, err
	}
	shaft, err := ParseClass(sh)
	if err != nil {
		return Fit{}, err
	}
	if !hole.Hole || shaft.Hole {
		return Fit{}, fmt.Errorf("%q: the hole's class (capitals) comes first, the shaft's (small letters) second", s)
	}
	var f Fit
	if f.Hole, err = hole.Limits(nominal); err != nil {
		return Fit{}, err
	}
	f.Shaft, err = shaft.Limits(nominal)
	return f, err
}

func (f Fit) String() string { return f.Hole.Class.String() + "/" + f.Shaft.Class.String() }

// Clearance returns the least and the greatest clearance, mm; below zero it is
// interference.
func (f Fit) Clearance() (least, greatest float64) {
	return f.Hole.Min - f.Shaft.Max, f.Hole.Max - f.Shaft.Min
}

// Kind says in the standard's words what the limits make of the fit.
func (f Fit) Kind() string {
	least, greatest := f.Clearance()
	switch {
	case least >= -zero:
		return "clearance fit"
	case greatest <= zero:
		return "interference fit"
	}
	return "transition fit"
}

// zero is what two limits that meet may differ by in floating point, mm.
const zero = 1e-9

// tidy takes the last binary digits out of a length, so that 12.718 prints as such.
func tidy(mm float64) float64 { return math.Round(mm*1e9) / 1e9 }

// Measured returns the fit for a bore that was measured: the shaft keeps the fit's
// least and greatest clearance against this one bore as far as its tolerance
// allows. Its limits move with the bore's place in its own tolerance: by the
// difference between the bore and the middle of the hole's limits. A bore outside
// the limits of the hole is refused, because the fit then says nothing.
func (f Fit) Measured(bore float64) (Fit, error) {
	if !(bore >= f.Hole.Min-zero && bore <= f.Hole.Max+zero) {
		return Fit{}, fmt.Errorf("the bore measures %.4f mm, outside %v: %.4f to %.4f mm", bore, f.Hole.Class, f.Hole.Min, f.Hole.Max)
	}
	shift := bore - f.Hole.Middle()
	f.Shaft.Min += shift
	f.Shaft.Max += shift
	f.Hole.Min, f.Hole.Max = bore, bore
	return f, nil
}

// Turning is what happens to a disc after the mill.
type Turning struct {
	Finished Limits  // of the disc after turning
	Aim      float64 // finished diameter to turn to, the middle of its limits
	Cut      float64 // diameter as cut, the aim plus the allowance
	Allow    float64 // allowance for turning, on the diameter
	CutTol   float64 // how far the diameter as cut may be off, either way
}

// Turn returns what the lathe has to do to a disc of these finished limits that is
// cut with an allowance on the diameter and comes out within cutTol of it, mm. It
// refuses an allowance that would let a disc come out below its greatest limit.
func Turn(finished Limits, allowance, cutTol float64) (Turning, error) {
	if !(allowance > 0) || math.IsInf(allowance, 0) || !(cutTol >= 0) || math.IsInf(cutTol, 0) {
		return Turning{}, fmt.Errorf("allowance %g mm and cut tolerance %g mm have to be finite, the allowance above 0", allowance, cutTol)
	}
	t := Turning{Finished: finished, Aim: finished.Middle(), Allow: allowance, CutTol: cutTol}
	t.Cut = t.Aim + allowance
	if least := t.Cut - cutTol; least < finished.Max {
		return Turning{}, fmt.Errorf("an allowance of %g mm leaves nothing to turn: a disc may come out at %.4f mm and its greatest limit is %.4f mm", allowance, least, finished.Max)
	}
	return t, nil
}

// PerSide returns the least and the greatest thickness that the lathe takes off
// per side so that the disc ends within its limits, mm.
func (t Turning) PerSide() (least, greatest float64) {
	return (t.Cut - t.CutTol - t.Finished.Max) / 2, (t.Cut + t.CutTol - t.Finished.Min) / 2
}
