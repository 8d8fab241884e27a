package fonts

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"proofcut/paths/geom"
)

// Limits of a stroke face's text. They are far beyond any real face and keep a
// hostile file from using much memory.
const (
	maxFaceBytes  = 4 << 20
	maxGlyphs     = 20000
	maxPoints     = 2000 // of one character
	maxCoordinate = 1000 // drawing units
)

// ParseStroke reads a single-stroke face from its text form.
//
// A line that begins with // is a comment. The head gives, each on a line of
// its own and in drawing units: face NAME; cap, lower, tail (heights of
// capitals and of the small x, depth of tails); stroke (width of line), gap
// (clear space between characters), word (clear space between words), steps
// (three baseline distances: capitals, with lower case, with accents), dot
// (radius of a dot). Then every line draws a character, written itself or as
// U+XXXX: strokes parted by "|", each a dot "*x,y" or a chain of points "x,y",
// with "~r" or "~" for a rounded corner and "z" at the end to close it.
// "mark NAME PLACE strokes" draws a mark that sits above, below, right of or
// free from its letter; "X = part + part" joins characters and marks, where a
// part may be followed by "*scale" and "@x,y". "kern N pairs" moves pairs of
// characters closer.
//
// Errors begin with the line number.
func ParseStroke(text string) (*StrokeFace, error) { return parseStroke(text, 1) }

// parseStroke reads a face and makes it narrower: widths, gaps and the radii of
// corners are taken times width before corners are rounded, so that arcs stay
// arcs. Heights and dots stay.
func parseStroke(text string, width float64) (*StrokeFace, error) {
	if len(text) > maxFaceBytes {
		return nil, fmt.Errorf("the face is %d bytes long: at most %d are read", len(text), maxFaceBytes)
	}
	if !utf8.ValidString(text) {
		return nil, fmt.Errorf("the face is not valid UTF-8 text")
	}
	p := &strokeParser{
		head:   map[string][]float64{},
		glyphs: map[rune][]geom.Path{},
		marks:  map[string]mark{},
		kerns:  map[[2]rune]float64{},
		width:  width,
	}
	for i, line := range strings.Split(text, "\n") {
		if err := p.line(strings.TrimRight(line, "\r")); err != nil {
			return nil, fmt.Errorf("%d: %w", i+1, err)
		}
	}
	return p.face()
}

// place says where a mark sits.
type place uint8

const (
	free  place = iota // at the origin
	above              // over the middle of the top
	below              // under the middle, from the baseline
	right              // at the right end, from the baseline
)

var places = map[string]place{"free": free, "above": above, "below": below, "right": right}

type mark struct {
	place place
	paths []geom.Path
}

type strokeParser struct {
	name   string
	head   map[string][]float64
	glyphs map[rune][]geom.Path
	marks  map[string]mark
	kerns  map[[2]rune]float64
	width  float64 // times the width as drawn
}

// headValues are the numbers of the head and how many of each there are.
var headValues = map[string]int{
	"cap": 1, "lower": 1, "tail": 1, "stroke": 1, "gap": 1, "word": 1, "steps": 3, "dot": 1,
}

func (p *strokeParser) line(line string) error {
	fields := strings.Fields(line)
	if len(fields) == 0 || strings.HasPrefix(line, "//") {
		return nil
	}
	key, rest := fields[0], fields[1:]
	if n, ok := headValues[key]; ok {
		return p.headLine(key, rest, n)
	}
	switch key {
	case "face":
		p.name = strings.Join(rest, " ")
		return nil
	case "mark":
		return p.markLine(rest)
	case "kern":
		return p.kernLine(rest)
	}
	r, err := parseRune(key)
	if err != nil {
		return err
	}
	if _, dup := p.glyphs[r]; dup {
		return fmt.Errorf("%s is drawn twice", describe(r))
	}
	if len(p.glyphs) >= maxGlyphs {
		return fmt.Errorf("more than %d characters", maxGlyphs)
	}
	var paths []geom.Path
	if len(rest) > 0 && rest[0] == "=" {
		paths, err = p.compose(rest[1:])
	} else {
		paths, err = p.strokes(rest)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", describe(r), err)
	}
	p.glyphs[r] = paths
	return nil
}

func (p *strokeParser) headLine(key string, fields []string, n int) error {
	if len(fields) != n {
		return fmt.Errorf("%s needs %d numbers, not %d", key, n, len(fields))
	}
	if _, dup := p.head[key]; dup {
		return fmt.Errorf("%s is given twice", key)
	}
	for _, f := range fields {
		v, err := number(f)
		if err != nil {
			return err
		}
		if v <= 0 {
			return fmt.Errorf("%s has to be above zero", key)
		}
		p.head[key] = append(p.head[key], v)
	}
	return nil
}

func (p *strokeParser) markLine(fields []string) error {
	if len(fields) < 3 {
		return fmt.Errorf("a mark needs a name, a place and strokes")
	}
	at, ok := places[fields[1]]
	if !ok {
		return fmt.Errorf("mark %q sits %q: write above, below, right or free", fields[0], fields[1])
	}
	if utf8.RuneCountInString(fields[0]) < 2 {
		return fmt.Errorf("the mark's name %q is too short: a single character is a letter", fields[0])
	}
	if _, dup := p.marks[fields[0]]; dup {
		return fmt.Errorf("mark %q is drawn twice", fields[0])
	}
	if len(p.marks) >= maxGlyphs {
		return fmt.Errorf("more than %d marks", maxGlyphs)
	}
	paths, err := p.strokes(fields[2:])
	if err != nil {
		return fmt.Errorf("mark %q: %w", fields[0], err)
	}
	p.marks[fields[0]] = mark{at, paths}
	return nil
}

func (p *strokeParser) kernLine(fields []string) error {
	if len(fields) < 2 {
		return fmt.Errorf("kern needs a number and pairs")
	}
	v, err := number(fields[0])
	if err != nil {
		return err
	}
	v *= p.width
	for _, f := range fields[1:] {
		rs := []rune(f)
		if len(rs) != 2 {
			return fmt.Errorf("kern %q is not a pair of characters", f)
		}
		pair := [2]rune{rs[0], rs[1]}
		if _, dup := p.kerns[pair]; dup {
			return fmt.Errorf("kern %q is given twice", f)
		}
		p.kerns[pair] = v
	}
	return nil
}

// strokes reads the strokes of one character.
func (p *strokeParser) strokes(fields []string) ([]geom.Path, error) {
	if len(fields) > maxPoints {
		return nil, fmt.Errorf("more than %d points", maxPoints)
	}
	var paths []geom.Path
	var chain []corner
	closed := false
	finish := func() error {
		if chain == nil {
			return fmt.Errorf("a stroke is empty")
		}
		path, err := rounded(chain, closed)
		if err != nil {
			return fmt.Errorf("stroke %d: %w", len(paths)+1, err)
		}
		paths, chain, closed = append(paths, path), nil, false
		return nil
	}
	ended := true // nothing open: a "|" here would leave an empty stroke
	for i, f := range fields {
		switch {
		case f == "|":
			if !ended {
				if err := finish(); err != nil {
					return nil, err
				}
			}
			if i == 0 || i == len(fields)-1 || fields[i-1] == "|" {
				return nil, fmt.Errorf("a stroke is empty")
			}
			ended = true
		case f == "z":
			closed = true
			if err := finish(); err != nil {
				return nil, err
			}
			ended = true
			if i < len(fields)-1 && fields[i+1] != "|" {
				return nil, fmt.Errorf("z ends a stroke: write | before the next")
			}
		case strings.HasPrefix(f, "*"):
			if chain != nil {
				return nil, fmt.Errorf("a dot stands alone: write | before %s", f)
			}
			at, err := p.point(f[1:])
			if err != nil {
				return nil, err
			}
			if len(p.head["dot"]) == 0 {
				return nil, fmt.Errorf("a dot comes before the head gives its radius")
			}
			paths = append(paths, geom.Circle(at, p.head["dot"][0]).Path())
			ended = true
			if i < len(fields)-1 && fields[i+1] != "|" {
				return nil, fmt.Errorf("a dot stands alone: write | after %s", f)
			}
		default:
			c, err := p.corner(f)
			if err != nil {
				return nil, err
			}
			chain, ended = append(chain, c), false
		}
	}
	if !ended {
		if err := finish(); err != nil {
			return nil, err
		}
	}
	return paths, nil
}

// compose reads "part + part + ...".
func (p *strokeParser) compose(fields []string) ([]geom.Path, error) {
	var paths []geom.Path
	points := 0
	for i, f := range fields {
		if i%2 == 1 {
			if f != "+" {
				return nil, fmt.Errorf("%q stands where a + should", f)
			}
			continue
		}
		part, err := p.part(f, paths)
		if err != nil {
			return nil, err
		}
		for _, path := range part {
			points += len(path)
		}
		if points > maxPoints {
			return nil, fmt.Errorf("more than %d segments", maxPoints)
		}
		paths = append(paths, part...)
	}
	if len(fields)%2 == 0 {
		return nil, fmt.Errorf("a part is missing")
	}
	return paths, nil
}

// part reads NAME[*scale][@x,y] and places it with respect to what is drawn.
func (p *strokeParser) part(f string, drawn []geom.Path) ([]geom.Path, error) {
	name, at, moved := strings.Cut(f, "@")
	name, by, scaled := strings.Cut(name, "*")
	move, scale := geom.Pt(0, 0), 1.0
	var err error
	if scaled {
		if scale, err = number(by); err != nil || scale <= 0 {
			return nil, fmt.Errorf("the scale in %q is not a number above zero", f)
		}
	}
	if moved {
		if move, err = p.point(at); err != nil {
			return nil, err
		}
	}
	var paths []geom.Path
	if m, ok := p.marks[name]; ok {
		paths = m.paths
		if !moved {
			box := Glyph{Strokes: drawn}.Bounds()
			if box.Empty() && m.place != free {
				return nil, fmt.Errorf("mark %q has no letter to sit on", name)
			}
			switch m.place {
			case above:
				move = geom.Pt(box.Center().X, box.Max.Y)
			case below:
				move = geom.Pt(box.Center().X, 0)
			case right:
				move = geom.Pt(box.Max.X, 0)
			}
		}
	} else {
		r, err := parseRune(name)
		if err != nil {
			return nil, fmt.Errorf("there is no mark %q before this line", name)
		}
		if paths, ok = p.glyphs[r]; !ok {
			return nil, fmt.Errorf("%s is not drawn before this line", describe(r))
		}
	}
	t := geom.Scale(scale).Then(geom.Translate(move))
	out := make([]geom.Path, len(paths))
	for i, path := range paths {
		out[i] = path.Transform(t)
	}
	return out, nil
}

// face checks the head and brings everything to cap heights.
func (p *strokeParser) face() (*StrokeFace, error) {
	if p.name == "" {
		return nil, fmt.Errorf("the face has no name: a line %q is missing", "face NAME")
	}
	for _, key := range []string{"cap", "lower", "tail", "stroke", "gap", "word", "steps", "dot"} {
		if p.head[key] == nil {
			return nil, fmt.Errorf("the face has no %q line", key)
		}
	}
	capitals := p.head["cap"][0]
	h := func(key string) float64 { return p.head[key][0] / capitals }
	gap, word := h("gap")*p.width, h("word")*p.width
	f := &StrokeFace{
		name:   p.name,
		stroke: h("stroke"),
		glyphs: make(map[rune]Glyph, len(p.glyphs)),
		kerns:  make(map[[2]rune]float64, len(p.kerns)),
		metrics: Metrics{
			Lower: h("lower"), Ascent: 1, Descent: h("tail"),
			Gap: gap + h("stroke"),
			Steps: Steps{
				Capitals: p.head["steps"][0] / capitals,
				Lower:    p.head["steps"][1] / capitals,
				Accents:  p.head["steps"][2] / capitals,
			},
		},
	}
	unit := geom.Scale(1 / capitals)
	for r, paths := range p.glyphs {
		if len(paths) == 0 {
			// Between words there is one gap before the space and none after:
			// the space adds what a gap between words has more than one
			// between characters.
			f.glyphs[r] = Glyph{Advance: word - gap}
			continue
		}
		g := settle(paths, gap*capitals, h("stroke")*capitals).Transform(unit)
		f.glyphs[r] = g
		box := g.Bounds()
		f.metrics.Ascent = math.Max(f.metrics.Ascent, box.Max.Y)
		f.metrics.Descent = math.Max(f.metrics.Descent, -box.Min.Y)
	}
	for pair, v := range p.kerns {
		for _, r := range pair {
			if _, ok := p.glyphs[r]; !ok {
				return nil, fmt.Errorf("kern %q has a character that is not drawn", string(pair[:]))
			}
		}
		f.kerns[pair] = v / capitals
	}
	return f, nil
}

// corner reads x,y with ~ or ~r.
func (p *strokeParser) corner(s string) (corner, error) {
	xy, r, round := strings.Cut(s, "~")
	at, err := p.point(xy)
	if err != nil {
		return corner{}, err
	}
	c := corner{at: at}
	switch {
	case round && r == "":
		c.radius = asLarge
	case round:
		if c.radius, err = number(r); err != nil {
			return corner{}, err
		}
		if c.radius <= 0 {
			return corner{}, fmt.Errorf("the radius in %q has to be above zero", s)
		}
		c.radius *= p.width
	}
	return c, nil
}

func (p *strokeParser) point(s string) (geom.Point, error) {
	xs, ys, ok := strings.Cut(s, ",")
	if !ok {
		return geom.Point{}, fmt.Errorf("%q is not a point x,y", s)
	}
	x, err := number(xs)
	if err != nil {
		return geom.Point{}, err
	}
	y, err := number(ys)
	if err != nil {
		return geom.Point{}, err
	}
	return geom.Pt(x*p.width, y), nil
}

// number reads a plain decimal.
func number(s string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || strings.Trim(s, "+-.0123456789") != "" {
		return 0, fmt.Errorf("%q is not a number", s)
	}
	if math.Abs(v) > maxCoordinate {
		return 0, fmt.Errorf("%s is beyond %d", s, maxCoordinate)
	}
	return v, nil
}

// parseRune reads a character given as itself or as U+XXXX.
func parseRune(s string) (rune, error) {
	if hex, ok := strings.CutPrefix(s, "U+"); ok && hex != "" {
		v, err := strconv.ParseUint(hex, 16, 32)
		if err != nil || !utf8.ValidRune(rune(v)) {
			return 0, fmt.Errorf("%q is not a character", s)
		}
		return rune(v), nil
	}
	if r, n := utf8.DecodeRuneInString(s); n == len(s) && n > 0 {
		return r, nil
	}
	return 0, fmt.Errorf("%q is neither a character nor a word of the head", s)
}

// describe names a character in a message: its code and, when it can be seen,
// the character itself.
func describe(r rune) string {
	if strconv.IsPrint(r) {
		return fmt.Sprintf("%U %q", r, r)
	}
	return fmt.Sprintf("%U", r)
}
