// Package interp executes RS-274/NGC programs as published in Kramer, Proctor,
// Messina, "The NIST RS274NGC Interpreter - Version 3", NISTIR 6556 (2000), and
// hands out what the machine does as a stream of canonical Events.
//
// Out come millimetres, degrees for rotary axes, radians for the sweep of arcs,
// mm/min, 1/min and seconds, whatever the program's unit. Cutter radius and tool
// length compensation, work systems, axis offsets, canned cycles and incremental
// distances are all resolved. The package judges whether a program is legal, not
// whether it is wise: limits, collisions and cutting load are the matter of
// gcode/proof. Every error is a *gcode.Error at the word that is at fault.
//
// What the document leaves open, or tells from memory only, is decided for the
// safe side and noted where it is done. Common practice beyond the document is
// off unless Practice switches it on.
package interp
