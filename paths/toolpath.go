// Package paths turns shapes into toolpaths: the strategies (engrave, profile,
// pocket, slot, drill), their ordering, and the links between cuts that rise no
// further than they must and never pass through a zone.
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
