package fonts

import (
	_ "embed"
	"fmt"
	"sync"

	"proofcut/paths/geom"
)

// StrokeFace is a single-stroke face: every character is a few paths of lines
// and arcs for a tool to follow.
type StrokeFace struct {
	name    string
	metrics Metrics
	stroke  float64
	glyphs  map[rune]Glyph
	kerns   map[[2]rune]float64
}

//go:embed plain.txt
var plainText string

// narrowWidth makes three letters take the room of a little over two.
const narrowWidth = 0.72

var (
	plain  = sync.OnceValue(func() *StrokeFace { return ours(1) })
	narrow = sync.OnceValue(func() *StrokeFace {
		f := ours(narrowWidth)
		f.name = "Proofcut Narrow"
		return f
	})
)

func ours(width float64) *StrokeFace {
	f, err := parseStroke(plainText, width)
	if err != nil {
		panic("fonts: plain.txt: " + err.Error()) // the embedded table is ours; a test reads it
	}
	return f
}

// Plain returns the built-in single-stroke face: upright, with the proportions
// of ISO 3098 type B, all printable ASCII and Latin-1 characters, the accented
// letters of most European languages and common signs.
func Plain() *StrokeFace { return plain() }

// Narrow returns the plain face condensed, for long names on small pieces:
// widths and gaps are 0.72 of the plain face's, near ISO 3098 type A (from
// memory), heights the same.
func Narrow() *StrokeFace { return narrow() }

// Name implements Face.
func (f *StrokeFace) Name() string { return f.name }

// Metrics implements Face.
func (f *StrokeFace) Metrics() Metrics { return f.metrics }

// StrokeWidth returns the width of line that the face is drawn for, in cap
// heights. A finer line is legible; a much wider one fills the letters.
func (f *StrokeFace) StrokeWidth() float64 { return f.stroke }

// Glyph implements Face. The result is shared: do not change it.
func (f *StrokeFace) Glyph(r rune, _ float64) (Glyph, error) {
	g, ok := f.glyphs[r]
	if !ok {
		return Glyph{}, fmt.Errorf("%w: %s in %q", ErrNoGlyph, describe(r), f.name)
	}
	return g, nil
}

// Kern implements Face.
func (f *StrokeFace) Kern(left, right rune) float64 { return f.kerns[[2]rune{left, right}] }

// Runes returns how many characters the face draws.
func (f *StrokeFace) Runes() int { return len(f.glyphs) }

// settle moves a drawing so that its left edge is at the origin and gives it
// its advance: the width of the drawing, the clear gap and one stroke, half of
// it on either side of the gap.
func settle(paths []geom.Path, gap, stroke float64) Glyph {
	g := Glyph{Strokes: paths}
	box := g.Bounds()
	g = g.Transform(geom.Translate(geom.Pt(-box.Min.X, 0)))
	g.Advance = box.Size().X + gap + stroke
	return g
}
