// Package paths turns shapes into toolpaths: the strategies (engrave, profile,
// pocket, slot, drill, bore), their ordering, and the links between cuts that
// rise no further than they must and never pass through a zone.
//
// A strategy is a struct of options whose Plan works out cuts, findings and the
// features against which the program is proven. Link joins plans to toolpaths;
// gcode/post writes them.
//
// Lengths are millimetres, angles radians, feeds mm/min, heights those of the
// program. Every inequality that guards a part or a zone is one-sided: cuts keep
// Reserve more than asked from what must stay, which is what rounding to the
// program's digits may take, and count the tool, shank and holder never thinner
// than they are. Material may be left by that much; none is taken.
//
// Nothing here keeps state or changes its arguments: all of it may be called
// concurrently. The same input gives the same toolpaths.
package paths

import (
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Move is one step of the tool's tip: a rapid or a feed along a straight line,
// or a feed along an arc in plan whose height changes evenly (a helix).
type Move struct {
	Rapid bool
	To    geom.Point3
	C     geom.Point // centre of the arc
	Turn  geom.Turn  // Straight, CCW or CW; an arc that ends where it starts is a full circle
	Feed  float64    // mm/min, for feeds
	Dwell float64    // s of waiting after the move

	// Tap marks a feed straight down a drilled hole in step with the spindle, and
	// the one after it that comes back up with the spindle reversed.
	Tap bool
}

// Toolpath is what one operation does with one tool. The tool starts above
// Moves[0].To at the setup's ClearZ, and ends at ClearZ.
type Toolpath struct {
	Name    string
	Tool    setup.Tool
	Speed   float64 // spindle, 1/min, clockwise
	Coolant setup.Coolant
	Moves   []Move
}
