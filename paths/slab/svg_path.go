package slab

import (
	"fmt"
	"strconv"
	"strings"

	"proofcut/paths/geom"
)

// blanks is the white space of SVG grammars (SVG 1.1, 8.3.9: wsp).
const blanks = " \t\r\n\f"

// scanner reads numbers and flags from attribute text.
type scanner struct {
	text string
	pos  int
}

func (s *scanner) peek() byte {
	if s.pos < len(s.text) {
		return s.text[s.pos]
	}
	return 0
}

func (s *scanner) skipBlanks() {
	for s.pos < len(s.text) && strings.IndexByte(blanks, s.text[s.pos]) >= 0 {
		s.pos++
	}
}

// skipComma skips blanks with at most one comma among them (comma-wsp) and
// reports whether there was one.
func (s *scanner) skipComma() bool {
	s.skipBlanks()
	if s.peek() != ',' {
		return false
	}
	s.pos++
	s.skipBlanks()
	return true
}

func (s *scanner) startsNumber() bool {
	c := s.peek()
	return c >= '0' && c <= '9' || c == '.' || c == '+' || c == '-'
}

func (s *scanner) digits() int {
	from := s.pos
	for c := s.peek(); c >= '0' && c <= '9'; c = s.peek() {
		s.pos++
	}
	return s.pos - from
}

// number reads the longest number that stands here (SVG 1.1, 8.3.9: number; it
// may end with a point, as SVG 2 no longer allows).
func (s *scanner) number() (float64, error) {
	from := s.pos
	if c := s.peek(); c == '+' || c == '-' {
		s.pos++
	}
	n := s.digits()
	if s.peek() == '.' {
		s.pos++
		n += s.digits()
	}
	if n == 0 {
		s.pos = from
		return 0, s.want("a number")
	}
	if c := s.peek(); c == 'e' || c == 'E' {
		mark := s.pos
		s.pos++
		if c := s.peek(); c == '+' || c == '-' {
			s.pos++
		}
		if s.digits() == 0 {
			s.pos = mark // the e belongs to what follows, such as the unit em
		}
	}
	v, err := strconv.ParseFloat(s.text[from:s.pos], 64)
	if err != nil || !plausible(v) {
		return 0, fmt.Errorf("character %d: the number %.40s is out of range", from+1, s.text[from:s.pos])
	}
	return v, nil
}

// flag reads 0 or 1, which need no blank after them.
func (s *scanner) flag() (bool, error) {
	c := s.peek()
	if c != '0' && c != '1' {
		return false, s.want("a flag 0 or 1")
	}
	s.pos++
	return c == '1', nil
}

func (s *scanner) want(what string) error {
	if s.pos >= len(s.text) {
		return fmt.Errorf("character %d: want %s, but the text ends", s.pos+1, what)
	}
	return fmt.Errorf("character %d: want %s, have %.20q", s.pos+1, what, s.text[s.pos:])
}

// numberList reads numbers split by blanks and commas.
func numberList(text string) ([]float64, error) {
	s := &scanner{text: text}
	var out []float64
	s.skipBlanks()
	for s.pos < len(s.text) {
		v, err := s.number()
		if err != nil {
			return nil, err
		}
		out = append(out, v)
		if comma := s.skipComma(); comma && s.pos == len(s.text) {
			return nil, s.want("a number")
		}
	}
	return out, nil
}

// arguments is how many numbers a command takes, by its letter in lower case.
var arguments = map[byte]int{'m': 2, 'l': 2, 'h': 1, 'v': 1, 'c': 6, 's': 4, 'q': 4, 't': 2, 'a': 7, 'z': 0}

// pathReader draws path data (SVG 1.1, 8.3; SVG 2, 9.3).
type pathReader struct {
	scanner
	b        *builder
	at       geom.Point // the current point
	start    geom.Point // of the subpath
	control  geom.Point // last control point of the curve before
	previous byte       // command before, in lower case
}

// drawPath draws the text of the attribute d. Faults end it with an error that
// names the character, counted from 1.
func drawPath(b *builder, text string) error {
	r := &pathReader{scanner: scanner{text: text}, b: b}
	r.skipBlanks()
	if strings.Trim(text, blanks) == "none" { // SVG 2, 9.3.1
		return nil
	}
	for r.pos < len(r.text) {
		letter := r.peek()
		command := letter | 0x20 // lower case
		n, ok := arguments[command]
		if !ok || letter != command && letter != command&^0x20 {
			return r.want("a command")
		}
		if r.previous == 0 && command != 'm' {
			return r.want("a path that begins with M or m")
		}
		r.pos++
		r.skipBlanks()
		if err := r.command(command, letter == command, n); err != nil {
			return err
		}
	}
	return nil
}

// command draws one command with all its sets of arguments.
func (r *pathReader) command(c byte, relative bool, n int) error {
	if n == 0 {
		r.b.close()
		r.at, r.previous = r.start, c
		return nil
	}
	for first := true; ; first = false {
		var v [7]float64
		for i := range n {
			if i > 0 {
				r.skipComma()
			}
			var err error
			if c == 'a' && (i == 3 || i == 4) {
				var f bool
				if f, err = r.flag(); f {
					v[i] = 1
				}
			} else {
				v[i], err = r.number()
			}
			if err != nil {
				return err
			}
		}
		if err := r.draw(c, relative, v, first); err != nil {
			return err
		}
		r.previous = c
		comma := r.skipComma()
		if !r.startsNumber() {
			if comma {
				return r.want("a number after the comma")
			}
			return nil
		}
	}
}

// draw draws a command with one set of arguments. Relative ones are to the
// current point; further pairs of a moveto are lines.
func (r *pathReader) draw(c byte, relative bool, v [7]float64, first bool) error {
	var o geom.Point
	if relative {
		o = r.at
	}
	p := func(i int) geom.Point { return geom.Pt(o.X+v[i], o.Y+v[i+1]) }
	switch c {
	case 'm':
		if !first {
			return r.line(p(0))
		}
		r.at = p(0)
		r.start = r.at
		return r.b.move(r.at)
	case 'l':
		return r.line(p(0))
	case 'h':
		return r.line(geom.Pt(o.X+v[0], r.at.Y))
	case 'v':
		return r.line(geom.Pt(r.at.X, o.Y+v[0]))
	case 'c':
		return r.cubic(p(0), p(2), p(4))
	case 's':
		return r.cubic(r.reflected('c', 's'), p(0), p(2))
	case 'q':
		return r.quadratic(p(0), p(2))
	case 't':
		return r.quadratic(r.reflected('q', 't'), p(0))
	default:
		from := r.at
		r.at = p(5)
		return r.b.arc(from, r.at, v[0], v[1], v[2], v[3] == 1, v[4] == 1)
	}
}

// reflected returns the last control point mirrored in the current point, or the
// current point if no curve of that kind went before.
func (r *pathReader) reflected(kinds ...byte) geom.Point {
	for _, k := range kinds {
		if r.previous == k {
			return r.at.Mul(2).Sub(r.control)
		}
	}
	return r.at
}

func (r *pathReader) line(to geom.Point) error {
	r.at = to
	return r.b.line(to)
}

func (r *pathReader) cubic(c1, c2, to geom.Point) error {
	r.at, r.control = to, c2
	return r.b.cubic(c1, c2, to)
}

func (r *pathReader) quadratic(c, to geom.Point) error {
	r.at, r.control = to, c
	return r.b.quadratic(c, to)
}
