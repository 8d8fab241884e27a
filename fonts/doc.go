// Package fonts turns text into geometry: single-stroke faces of our own
// design, whose strokes a tool follows, and outline faces (TrueType, OpenType),
// whose regions a tool fills.
//
// A Face speaks in cap heights: the height of its capitals is 1. Layout and Fit
// multiply by the size in millimetres. X runs along the line, Y up, the baseline
// of the first line lies at Y = 0.
//
// Text is laid out from left to right, one character after the other with pair
// kerning. Scripts that run from right to left and marks that no precomposed
// character holds are refused, and so is every character that a face does not
// draw: nothing is ever left out or replaced in silence.
//
// Faces are read-only once made and may be used concurrently.
package fonts
