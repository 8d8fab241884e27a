package fonts

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/bidi"
	"golang.org/x/text/unicode/norm"

	"proofcut/paths/geom"
)

// Align says where lines of different width begin.
type Align uint8

// The ways to align lines.
const (
	Left   Align = iota // all begin at X = 0
	Centre              // all are centred on X = 0
	Right               // all end at X = 0
)

// CutTolerance is how far an outline made of arcs may leave the font's true
// curve when nothing else is asked for, in millimetres: the cut tolerance.
const CutTolerance = 0.001

// Limits of a text: far more than a workpiece can carry.
const (
	maxCharacters = 10000
	minSize       = 0.01 // mm of cap height; below, nothing can be cut
	maxSize       = 1000 // mm
)

// Options are the choices of a layout. The zero value is the face's own
// spacing, aligned left, curves within CutTolerance.
type Options struct {
	Tracking    float64 // added between characters, in cap heights
	LineSpacing float64 // times the face's own distance between lines; 0: 1
	Align       Align
	Tolerance   float64 // of outlines, mm; 0: CutTolerance
}

// Line is one line of a text.
type Line struct {
	Text   string
	Origin geom.Point // where its baseline begins
	Width  float64    // from the origin to where its last character ends, mm
}

// Text is text as geometry, in millimetres: strokes for a stroke face, a region
// for an outline face.
type Text struct {
	Face      string
	CapHeight float64 // mm
	Strokes   []geom.Path
	Region    geom.Region
	Lines     []Line
	Width     float64  // of the widest line
	Bounds    geom.Box // of what is drawn
}

// Transform returns the text moved, turned or scaled.
func (t *Text) Transform(s geom.Similarity) *Text {
	out := *t
	g := Glyph{Strokes: t.Strokes, Outline: t.Region}.Transform(s)
	out.Strokes, out.Region = g.Strokes, g.Outline
	out.Bounds = g.Bounds()
	out.CapHeight *= s.Factor()
	out.Width *= s.Factor()
	out.Lines = make([]Line, len(t.Lines))
	for i, l := range t.Lines {
		out.Lines[i] = Line{l.Text, s.Apply(l.Origin), l.Width * s.Factor()}
	}
	return &out
}

// Layout sets a text with capitals size millimetres high; lines are parted by
// "\n". The baseline of the first line is Y = 0. The error names the line and
// the character that cannot be set; a text that draws nothing is an error.
func Layout(face Face, text string, size float64, o Options) (*Text, error) {
	set, err := newSetter(face, size, o)
	if err != nil {
		return nil, err
	}
	lines, err := readLines(text)
	if err != nil {
		return nil, err
	}
	t := &Text{Face: face.Name(), CapHeight: size}
	step := set.size * lineStep(face.Metrics().Steps, lines) * set.o.LineSpacing
	var drawn []Glyph
	for i, line := range lines {
		run, err := set.line(line)
		if err != nil {
			return nil, fmt.Errorf("line %d, %w", i+1, err)
		}
		origin := geom.Pt(0, -float64(i)*step)
		switch o.Align {
		case Centre:
			origin.X = -run.width / 2
		case Right:
			origin.X = -run.width
		}
		for _, g := range run.glyphs {
			drawn = append(drawn, g.glyph.Transform(geom.Translate(origin.Add(geom.Pt(g.x, 0)))))
		}
		t.Lines = append(t.Lines, Line{line, origin, run.width})
		t.Width = math.Max(t.Width, run.width)
	}
	if err := t.assemble(drawn); err != nil {
		return nil, err
	}
	return t, nil
}

// assemble joins the glyphs. Outlines that touch or overlap, as kerned pairs
// may, become one.
func (t *Text) assemble(drawn []Glyph) error {
	t.Bounds = geom.EmptyBox()
	overlap := false
	for _, g := range drawn {
		box := g.Bounds()
		if box.Empty() {
			continue
		}
		if len(g.Outline) > 0 && !t.Bounds.Empty() && box.Overlaps(t.Bounds) {
			overlap = true
		}
		t.Bounds = t.Bounds.Union(box)
		t.Strokes = append(t.Strokes, g.Strokes...)
		t.Region = append(t.Region, g.Outline...)
	}
	if t.Bounds.Empty() {
		return errors.New("the text draws nothing: it is empty or only spaces")
	}
	if overlap {
		joined, err := geom.Resolve(t.Region, geom.NonZero)
		if err != nil {
			return fmt.Errorf("the outlines of the text: %w", err)
		}
		t.Region = joined
	}
	return nil
}

// lineStep chooses the distance between baselines by what the lines hold.
func lineStep(s Steps, lines []string) float64 {
	step := s.Capitals
	for _, r := range strings.Join(lines, "") {
		switch {
		case unicode.IsUpper(r) && len(norm.NFD.String(string(r))) > len(string(r)):
			return s.Accents
		case unicode.IsLower(r):
			step = s.Lower
		}
	}
	return step
}

// readLines checks a text and parts it into lines of composed characters.
func readLines(text string) ([]string, error) {
	if len(text) > maxCharacters*utf8.UTFMax {
		return nil, fmt.Errorf("the text has %d bytes: at most %d characters can be set", len(text), maxCharacters)
	}
	if !utf8.ValidString(text) {
		return nil, errors.New("the text is not valid UTF-8")
	}
	text = norm.NFC.String(text)
	if n := utf8.RuneCountInString(text); n > maxCharacters {
		return nil, fmt.Errorf("the text has %d characters: at most %d can be set", n, maxCharacters)
	}
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		n := 0
		for _, r := range line {
			n++
			if why := refusal(r); why != "" {
				return nil, fmt.Errorf("line %d, character %d: %s %s", i+1, n, describe(r), why)
			}
		}
	}
	return lines, nil
}

// refusal says why a character cannot be set whatever the face, or nothing.
func refusal(r rune) string {
	switch {
	case unicode.IsControl(r):
		return "is a control character: take it out of the text"
	case unicode.Is(unicode.Cf, r), r == '\u2028', r == '\u2029':
		return "cannot be seen: take it out of the text"
	case unicode.IsMark(r):
		return "is a mark without a composed letter: it cannot be placed"
	}
	if p, _ := bidi.LookupRune(r); p.Class() == bidi.R || p.Class() == bidi.AL {
		return "belongs to a script that runs from right to left: it cannot be set"
	}
	return ""
}

// setter sets lines of one face and size; it draws each character once.
type setter struct {
	face  Face
	size  float64
	o     Options
	drawn map[rune]Glyph
}

func newSetter(face Face, size float64, o Options) (*setter, error) {
	if !(size >= minSize && size <= maxSize) {
		return nil, fmt.Errorf("cap height %.4g mm: it has to be from %g to %g mm", size, minSize, float64(maxSize))
	}
	if o.LineSpacing == 0 {
		o.LineSpacing = 1
	}
	if !(o.LineSpacing > 0 && o.LineSpacing <= 10) {
		return nil, fmt.Errorf("line spacing %g: it has to be above 0 and at most 10", o.LineSpacing)
	}
	if !(math.Abs(o.Tracking) <= 10) {
		return nil, fmt.Errorf("tracking %g: it has to be from -10 to 10 cap heights", o.Tracking)
	}
	if o.Tolerance == 0 {
		o.Tolerance = CutTolerance
	}
	if !(o.Tolerance >= 10*geom.Tol && o.Tolerance <= size) {
		return nil, fmt.Errorf("tolerance %g mm: it has to be from %g mm to the cap height", o.Tolerance, 10*geom.Tol)
	}
	if o.Align > Right {
		return nil, fmt.Errorf("alignment %d is not known", o.Align)
	}
	return &setter{face: face, size: size, o: o, drawn: map[rune]Glyph{}}, nil
}

// placed is a glyph in millimetres and where its origin lies on the line.
type placed struct {
	glyph Glyph
	x     float64
}

// run is a line that is set: its glyphs from X = 0, without spaces.
type run struct {
	glyphs []placed
	width  float64
}

func (s *setter) line(line string) (run, error) {
	var out run
	x, n := 0.0, 0
	before := rune(-1)
	for _, r := range line {
		n++
		g, err := s.glyph(r)
		if err != nil {
			return run{}, fmt.Errorf("character %d: %w", n, err)
		}
		if before >= 0 {
			x += (s.face.Kern(before, r) + s.o.Tracking) * s.size
		}
		if len(g.Strokes) > 0 || len(g.Outline) > 0 {
			out.glyphs = append(out.glyphs, placed{g, x})
		}
		x += g.Advance
		before = r
	}
	if n > 0 {
		out.width = math.Max(0, x-s.face.Metrics().Gap*s.size)
	}
	return out, nil
}

func (s *setter) glyph(r rune) (Glyph, error) {
	if g, ok := s.drawn[r]; ok {
		return g, nil
	}
	g, err := s.face.Glyph(r, s.o.Tolerance/s.size)
	if err != nil {
		return Glyph{}, err
	}
	g = g.Transform(geom.Scale(s.size))
	s.drawn[r] = g
	return g, nil
}
