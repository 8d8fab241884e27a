package gcode

import "fmt"

// Pos is a place in a program text. Line and Col start at 1, Col counts bytes;
// the zero Pos means "no position".
type Pos struct{ Line, Col int }

func (p Pos) String() string { return fmt.Sprintf("%d:%d", p.Line, p.Col) }
