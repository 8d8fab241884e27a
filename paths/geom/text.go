package geom

import (
	"fmt"
	"strconv"
	"strings"
)

// The textual form of a chain: M x y moves to its start, L x y draws a line to
// the point, A cx cy x y ccw (or cw) an arc about (cx, cy) to (x, y), which is a
// full circle where it ends where it starts. Z closes a contour, with a line if
// the last point is not the first. Numbers are millimetres, split by blanks.

// String returns the path as text, such as "M 0 0 L 10 0 A 10 5 10 10 ccw".
func (p Path) String() string {
	var b strings.Builder
	writeChain(&b, p)
	return b.String()
}

// String returns the contour as text, such as "M 0 0 L 10 0 L 10 5 Z".
func (c Contour) String() string {
	if len(c) == 0 {
		return ""
	}
	var b strings.Builder
	n := len(c)
	if last := c[n-1]; n > 1 && last.Turn == Straight && last.B == c[0].A && last.A != last.B && c[n-2].B == last.A {
		n-- // Z draws it
	}
	writeChain(&b, c[:n])
	b.WriteString(" Z")
	return b.String()
}

// String returns the contours as text, one after another on one line.
func (r Region) String() string {
	parts := make([]string, len(r))
	for i, c := range r {
		parts[i] = c.String()
	}
	return strings.Join(parts, " ")
}

// String returns the segment as the text of a path of its own.
func (s Seg) String() string { return Path{s}.String() }

// String returns the point as "x y".
func (p Point) String() string { return number(p.X) + " " + number(p.Y) }

// number returns the shortest decimal that reads back as v.
func number(v float64) string {
	if v == 0 {
		return "0" // no minus sign
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

func writeChain(b *strings.Builder, segs []Seg) {
	for i, s := range segs {
		if i == 0 || segs[i-1].B != s.A {
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString("M " + s.A.String())
		}
		switch s.Turn {
		case Straight:
			b.WriteString(" L " + s.B.String())
		case CCW:
			b.WriteString(" A " + s.C.String() + " " + s.B.String() + " ccw")
		default:
			b.WriteString(" A " + s.C.String() + " " + s.B.String() + " cw")
		}
	}
}

// ParsePath reads one path in the form that Path.String writes. The result is
// valid in the sense of Path.Validate; errors name the byte offset in the text
// or the segment.
func ParsePath(text string) (Path, error) {
	t := &textReader{text: text}
	chains, err := t.read()
	switch {
	case err != nil:
		return nil, err
	case len(chains) != 1:
		return nil, fmt.Errorf("want one path, have %d chains", len(chains))
	case chains[0].closed:
		return nil, fmt.Errorf("want an open path: Z closes a contour")
	case len(chains[0].segs) == 0:
		return nil, fmt.Errorf("path has no segment")
	}
	p := Path(chains[0].segs)
	return p, p.Validate()
}

// ParseRegion reads any number of closed contours in the form that Region.String
// writes. Each is valid in the sense of Contour.Validate, and they are taken as
// they stand: Region.Validate tells whether they make a region.
func ParseRegion(text string) (Region, error) {
	t := &textReader{text: text}
	chains, err := t.read()
	if err != nil {
		return nil, err
	}
	var r Region
	for i, c := range chains {
		if !c.closed {
			return nil, fmt.Errorf("contour %d is not closed: Z is missing", i)
		}
		if e := Contour(c.segs).check(); e != nil {
			e.Contour = i
			return nil, e
		}
		r = append(r, c.segs)
	}
	return r, nil
}

// textReader reads the textual form from a position on.
type textReader struct {
	text string
	pos  int
	err  error
}

type textChain struct {
	segs   []Seg
	closed bool
}

// word returns the next word and its offset, "" at the end.
func (t *textReader) word() (string, int) {
	for t.pos < len(t.text) && isBlank(t.text[t.pos]) {
		t.pos++
	}
	from := t.pos
	for t.pos < len(t.text) && !isBlank(t.text[t.pos]) {
		t.pos++
	}
	return t.text[from:t.pos], from
}

func isBlank(c byte) bool { return c == ' ' || c == '\n' || c == '\t' || c == '\r' }

func (t *textReader) fail(at int, format string, args ...any) {
	if t.err == nil {
		t.err = fmt.Errorf("offset %d: %s", at, fmt.Sprintf(format, args...))
	}
}

func (t *textReader) point() Point {
	x := t.number()
	return Point{x, t.number()}
}

func (t *textReader) number() float64 {
	w, at := t.word()
	v, err := strconv.ParseFloat(w, 64)
	if err != nil || !(Point{v, 0}).Finite() {
		t.fail(at, "want a number, have %q", w)
	}
	return v
}

func (t *textReader) turn() Turn {
	switch w, at := t.word(); w {
	case "ccw":
		return CCW
	case "cw":
		return CW
	default:
		t.fail(at, "want ccw or cw, have %q", w)
		return Straight
	}
}

func (t *textReader) read() ([]textChain, error) {
	var out []textChain
	var chain *textChain // the open one
	var at Point
	for t.err == nil {
		w, from := t.word()
		if w == "" {
			break
		}
		if w != "M" && chain == nil {
			t.fail(from, "want M before %q", w)
			break
		}
		switch w {
		case "M":
			at = t.point()
			if chain == nil {
				out = append(out, textChain{})
				chain = &out[len(out)-1]
			}
		case "L":
			to := t.point()
			chain.segs = append(chain.segs, Line(at, to))
			at = to
		case "A":
			c := t.point()
			to := t.point()
			chain.segs = append(chain.segs, Arc(at, to, c, t.turn()))
			at = to
		case "Z":
			if len(chain.segs) == 0 {
				t.fail(from, "contour has no segment")
				break
			}
			if start := chain.segs[0].A; at != start {
				chain.segs = append(chain.segs, Line(at, start))
			}
			chain.closed = true
			chain = nil
		default:
			t.fail(from, "want M, L, A or Z, have %q", w)
		}
	}
	return out, t.err
}
