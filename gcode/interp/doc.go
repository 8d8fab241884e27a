// Package interp executes RS-274/NGC programs as published in Kramer, Proctor,
// Messina, "The NIST RS274NGC Interpreter - Version 3", NISTIR 6556 (2000), and
// hands out what the machine does as a stream of canonical Events.
//
// Out come millimetres, degrees for rotary axes, radians for the sweep of arcs,
// mm/min, 1/min and seconds, whatever the program's unit. Cutter radius and tool
// length compensation, work systems, axis offsets, canned cycles and incremental
// distances are all resolved. The package judges whether a program is legal, not
// whether it is wise: limits, collisions and cutting load are the matter of
// gcode/proof. Every error is a *gcode.Error at the word that is at fault, and
// nothing of a block is done before all its words are found to go together.
//
// Most of the document was known from memory only when this was written, which
// the comments beside the rules say. What it leaves open is decided so that no
// program is told to do what a control might do otherwise:
//
//   - A change between G93 and G94 forgets the feed.
//   - F in a block that changes the unit counts in the old unit, as the published
//     order of execution has it; so do parameters, which a program sees in the
//     unit in force when it reads or sets them.
//   - A code that another code of the block competes with for its P or L word is
//     an error.
//   - An arc by radius that misses its end by more than rounding is an error; the
//     published tolerance is for arcs by centre alone.
//   - An arc by centre whose ends differ and lie in one direction from the centre
//     is an error: it is neither a full circle nor a turn.
//   - The level that G87 bores up to must lie between depth and retract level.
//   - After the spindle stop of a G88 the operator is taken to have brought the
//     tool to the clear level.
//   - A move of Z alone under radius compensation may come before the entry.
//   - The words that a cycle keeps are kept as numbers: a change between G90 and
//     G91 while the cycle is in force gives them the other meaning.
//
// Common practice beyond the document is off unless Practice switches it on.
//
// A run serves one goroutine; several may go on at once.
package interp
