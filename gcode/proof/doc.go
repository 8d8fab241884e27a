// Package proof decides whether a program may be run. It reads the program's
// text, interprets it with full modal state and holds every motion against a
// set-up: envelope, zones, stock, backing, tools and what each feature may take
// away. Nothing of what planned the program takes part; the text alone counts.
//
// Check returns a Record. The program is proven when the record holds no fault.
// Everything wrong with the program is a Finding in the record; an error of
// Check means that the set-up is unusable or the text could not be read.
//
// Distances are exact within a nanometre class bracket and reported from the
// safe side: a clearance is never less than the figure given. The removed
// material is kept as a height map; its cell size is stated in the record, and
// a cell counts as removed only when it is wholly swept. Where the words
// "least", "inside" or "reaches" decide whether material is lost, the decision
// is made from exact plane geometry and not from the map.
//
// Lengths are millimetres, feeds mm/min, speeds 1/min, times seconds, in the
// coordinates of the program. Check keeps no state between calls and may be
// called concurrently; the set-up is not changed.
package proof
