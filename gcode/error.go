package gcode

import (
	"fmt"
	"strings"
)

// Error is a fault in a program text, at its place.
type Error struct {
	File string // name of the program, may be empty
	Pos  Pos
	Msg  string // what is wrong and what to do about it
}

// Error returns "file:line:col: message"; parts not known are left out.
func (e *Error) Error() string {
	var b strings.Builder
	if e.File != "" {
		b.WriteString(e.File)
		b.WriteByte(':')
	}
	if e.Pos != (Pos{}) {
		b.WriteString(e.Pos.String())
		b.WriteByte(':')
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	b.WriteString(e.Msg)
	return b.String()
}

// ErrorList is the faults of a program in the order of its text.
type ErrorList []*Error

// Error returns the faults one a line.
func (l ErrorList) Error() string {
	if len(l) == 0 {
		return "no errors"
	}
	s := make([]string, len(l))
	for i, e := range l {
		s[i] = e.Error()
	}
	return strings.Join(s, "\n")
}

// Err returns the list as an error, nil when it is empty.
func (l ErrorList) Err() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// Unwrap returns the faults for errors.As and errors.Is.
func (l ErrorList) Unwrap() []error {
	errs := make([]error, len(l))
	for i, e := range l {
		errs[i] = e
	}
	return errs
}

func errorAt(line, col int, format string, args ...any) *Error {
	return &Error{Pos: Pos{Line: line, Col: col}, Msg: fmt.Sprintf(format, args...)}
}
