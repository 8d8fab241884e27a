// Package drawing draws a program to scale for the person at the machine: the
// stock with zones and parts from the set-up, and the moves as the interpreter
// read them from the program's text, with dimensions, a title block and a
// legend.
//
// The drawing is SVG. One user unit is one millimetre, X is the program's X and
// Y the program's Y turned over, so that positions in the file are the
// program's own; width and height are given in millimetres, so that it prints
// at 1:1. Lines differ in pattern and weight as well as colour and can be told
// apart in black and white. The same input gives the same bytes.
package drawing
