package drawing

import (
	"bytes"
	"encoding/xml"
	"math"
	"strconv"
	"strings"
	"unicode"

	"proofcut/paths/geom"
)

// resolution is what the last digit of a number in the drawing is worth, mm.
const resolution = 0.001

// num writes a length with up to three decimals.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

// xy writes a point; Y is turned over because SVG's points down.
func xy(p geom.Point) string { return num(p.X) + " " + num(-p.Y) }

// escape makes a text from outside safe inside the drawing: characters that
// cannot be seen are shown as a question mark, a long text is cut.
func escape(s string, most int) string {
	var b bytes.Buffer
	n := 0
	for _, r := range s {
		if n++; n > most {
			b.WriteRune('…')
			break
		}
		if !unicode.IsPrint(r) {
			r = '?'
		}
		if err := xml.EscapeText(&b, []byte(string(r))); err != nil {
			break // a buffer does not fail
		}
	}
	return b.String()
}

// pathData collects path data in absolute coordinates: lines, arcs as arcs,
// lines in one direction as one.
type pathData struct {
	b       strings.Builder
	started bool
	pen     geom.Point   // where the data written so far end
	held    []geom.Point // further points on the straight line being built
	last    byte
}

// mergeMost bounds how many points a straight line may join, so that adding a
// point stays cheap.
const mergeMost = 64

func (d *pathData) add(m move) {
	if !d.started || d.tip().Dist(m.a) > resolution/2 {
		d.flush()
		d.b.WriteString("M" + xy(m.a))
		d.pen, d.started, d.last = m.a, true, 'L' // further pairs after M are lines
	}
	if m.turn == geom.Straight {
		if len(d.held) > 0 && !d.straight(m.b) {
			d.flush()
		}
		d.held = append(d.held, m.b)
		return
	}
	d.flush()
	r := (m.a.Dist(m.c) + m.b.Dist(m.c)) / 2
	if m.circle() {
		half := m.c.Mul(2).Sub(m.a)
		d.arc(r, math.Pi, m.turn, half)
		d.arc(r, math.Pi, m.turn, m.a)
		return
	}
	d.arc(r, m.sweep, m.turn, m.b)
}

// tip returns where the path ends, held points included.
func (d *pathData) tip() geom.Point {
	if n := len(d.held); n > 0 {
		return d.held[n-1]
	}
	return d.pen
}

// straight reports whether the held points lie on the line from the pen to p,
// in order.
func (d *pathData) straight(p geom.Point) bool {
	if len(d.held) >= mergeMost {
		return false
	}
	dir := p.Sub(d.pen).Unit()
	along := 0.0
	for _, q := range append(d.held, p) {
		v := q.Sub(d.pen)
		if math.Abs(dir.Cross(v)) > resolution/2 || dir.Dot(v) < along {
			return false
		}
		along = dir.Dot(v)
	}
	return true
}

func (d *pathData) flush() {
	n := len(d.held)
	if n == 0 {
		return
	}
	d.command('L')
	d.b.WriteString(xy(d.held[n-1]))
	d.pen, d.held = d.held[n-1], d.held[:0]
}

// command writes a command's letter, or a space when it is the one before.
func (d *pathData) command(c byte) {
	if d.last == c {
		d.b.WriteByte(' ')
		return
	}
	d.b.WriteByte(c)
	d.last = c
}

func (d *pathData) arc(r, sweep float64, turn geom.Turn, to geom.Point) {
	d.command('A')
	large, cw := "0", "0"
	if sweep > math.Pi {
		large = "1"
	}
	if turn == geom.CW { // Y points down: clockwise stays clockwise to the eye
		cw = "1"
	}
	d.b.WriteString(num(r) + " " + num(r) + " 0 " + large + " " + cw + " " + xy(to))
	d.pen = to
}

// String returns the data written so far.
func (d *pathData) String() string {
	d.flush()
	return d.b.String()
}

// regionData returns the path data of a region, each contour closed and begun
// at its leftmost, lowest point: where a computed contour begins is chance.
func regionData(r geom.Region) string {
	var b strings.Builder
	for _, c := range r {
		first := 0
		for i, s := range c {
			if a := c[first].A; s.A.X < a.X-resolution/2 || s.A.X < a.X+resolution/2 && s.A.Y < a.Y-resolution/2 {
				first = i
			}
		}
		var d pathData
		for i := range c {
			s := c[(first+i)%len(c)]
			d.add(move{a: s.A, b: s.B, c: s.C, turn: s.Turn, sweep: math.Abs(s.Sweep())})
		}
		b.WriteString(d.String() + "Z")
	}
	return b.String()
}
