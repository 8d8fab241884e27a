// Package gcode is the RS-274/NGC control language as text: it reads programs
// into blocks of words, settings and comments, evaluates expressions, and
// writes programs.
//
// The language is that of Kramer, Proctor, Messina, "The NIST RS274NGC
// Interpreter - Version 3", NISTIR 6556 (2000). What is common practice beyond
// that document is off unless Options switch it on. The package knows the
// grammar only: what a word does, and which words may stand together, is the
// matter of gcode/interp.
//
// Numbers are in the unit that the program has chosen; the package converts
// nothing. Positions count lines and bytes from 1. A Reader serves one
// goroutine; a Program that nobody changes may be read by many.
package gcode
