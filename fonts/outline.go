package fonts

import (
	"errors"
	"fmt"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"proofcut/paths/geom"
)

// Limits of an outline font. They are not part of the font formats.
const (
	maxFontBytes     = 64 << 20
	maxGlyphSegments = 10000 // lines and curves of one glyph
)

// OutlineFace is a TrueType or OpenType font.
type OutlineFace struct {
	name    string
	font    *sfnt.Font
	cap     float64 // height of capitals in font units
	ppem    fixed.Int26_6
	metrics Metrics
}

// LoadOutline reads a TrueType or OpenType font from the bytes of its file and
// keeps them. The cap height is the height of the letter H as drawn; a font
// without it has to state one. Errors say what is wrong with the file.
func LoadOutline(data []byte) (f *OutlineFace, err error) {
	if len(data) > maxFontBytes {
		return nil, fmt.Errorf("the font is %d bytes long: at most %d are read", len(data), maxFontBytes)
	}
	if len(data) >= 4 && string(data[:4]) == "ttcf" {
		return nil, errors.New("the file is a collection of fonts: give a file of a single font")
	}
	defer guard(&err, "the font cannot be read")
	parsed, err := sfnt.Parse(data)
	if err != nil {
		return nil, fmt.Errorf("the font cannot be read: %w", err)
	}
	upem := parsed.UnitsPerEm()
	if upem < 16 || upem > 16384 {
		// Range of head.unitsPerEm, OpenType specification, table head.
		return nil, fmt.Errorf("the font has %d units per em: 16 to 16384 are possible", upem)
	}
	// At this size, one sixty-fourth of a pixel is one font unit.
	f = &OutlineFace{font: parsed, ppem: fixed.Int26_6(upem)}
	f.name, err = parsed.Name(nil, sfnt.NameIDFull)
	if err != nil || f.name == "" {
		f.name = "unnamed font"
	}
	if err := f.measure(); err != nil {
		return nil, err
	}
	return f, nil
}

// guard turns a panic of the font reader, whose input is hostile, into an error.
func guard(err *error, what string) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("%s: the file is damaged (%v)", what, r)
	}
}

// measure fills in the metrics.
func (f *OutlineFace) measure() error {
	m, err := f.font.Metrics(nil, f.ppem, font.HintingNone)
	if err != nil {
		return fmt.Errorf("the font has no usable metrics: %w", err)
	}
	f.cap = float64(m.CapHeight)
	if top, ok := f.top('H'); ok {
		f.cap = top
	}
	if f.cap <= 0 || f.cap > 4*float64(f.ppem) {
		return fmt.Errorf("the font states no usable height of capitals (%g units)", f.cap)
	}
	units := func(v fixed.Int26_6) float64 { return float64(v) / f.cap }
	f.metrics = Metrics{Outline: true, Lower: units(m.XHeight), Ascent: units(m.Ascent), Descent: units(m.Descent)}
	if top, ok := f.top('x'); ok {
		f.metrics.Lower = top / f.cap
	}
	step := units(m.Height)
	if step <= 0 {
		step = f.metrics.Ascent + f.metrics.Descent
	}
	if step <= 0 {
		return errors.New("the font states no usable distance between lines")
	}
	f.metrics.Steps = Steps{step, step, step}
	return nil
}

// top returns the height of a character as drawn, in font units.
func (f *OutlineFace) top(r rune) (float64, bool) {
	x, err := f.font.GlyphIndex(nil, r)
	if err != nil || x == 0 {
		return 0, false
	}
	b, _, err := f.font.GlyphBounds(nil, x, f.ppem, font.HintingNone)
	if err != nil || b.Min.Y >= 0 {
		return 0, false
	}
	return float64(-b.Min.Y), true
}

// Name implements Face: the font's full name.
func (f *OutlineFace) Name() string { return f.name }

// Metrics implements Face.
func (f *OutlineFace) Metrics() Metrics { return f.metrics }

// UnitsPerCap returns the height of capitals in font units.
func (f *OutlineFace) UnitsPerCap() float64 { return f.cap }

// Glyph implements Face: curves become chains of arcs within tol, and contours
// that overlap are joined by the non-zero winding rule.
func (f *OutlineFace) Glyph(r rune, tol float64) (g Glyph, err error) {
	defer guard(&err, "the glyph of "+describe(r)+" cannot be read")
	x, err := f.font.GlyphIndex(nil, r)
	if err != nil {
		return Glyph{}, fmt.Errorf("the glyph of %s cannot be found: %w", describe(r), err)
	}
	if x == 0 {
		return Glyph{}, fmt.Errorf("%w: %s in %q", ErrNoGlyph, describe(r), f.name)
	}
	advance, err := f.font.GlyphAdvance(nil, x, f.ppem, font.HintingNone)
	if err != nil {
		return Glyph{}, fmt.Errorf("the width of %s cannot be read: %w", describe(r), err)
	}
	segs, err := f.font.LoadGlyph(nil, x, f.ppem, nil)
	if err != nil {
		return Glyph{}, fmt.Errorf("the glyph of %s cannot be read: %w", describe(r), err)
	}
	if len(segs) > maxGlyphSegments {
		return Glyph{}, fmt.Errorf("the glyph of %s has %d segments: at most %d are read", describe(r), len(segs), maxGlyphSegments)
	}
	contours := f.contours(segs, tol)
	g.Advance = float64(advance) / f.cap
	if len(contours) == 0 {
		return g, nil
	}
	g.Outline, err = geom.Resolve(contours, geom.NonZero)
	if err != nil {
		return Glyph{}, fmt.Errorf("the outline of %s: %w", describe(r), err)
	}
	return g, nil
}

// contours brings a glyph to cap heights, Y up, and its curves to arcs.
func (f *OutlineFace) contours(segs sfnt.Segments, tol float64) []geom.Contour {
	at := func(p fixed.Point26_6) geom.Point {
		return geom.Pt(float64(p.X)/f.cap, -float64(p.Y)/f.cap)
	}
	var all []geom.Contour
	var open geom.Path
	var pen geom.Point
	finish := func() {
		if len(open) > 0 {
			if start := open.Start(); pen != start {
				open = append(open, geom.Line(pen, start))
			}
			all = append(all, geom.Contour(open))
		}
		open = nil
	}
	for _, s := range segs {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			finish()
			pen = at(s.Args[0])
		case sfnt.SegmentOpLineTo:
			to := at(s.Args[0])
			if to != pen {
				open = append(open, geom.Line(pen, to))
			}
			pen = to
		case sfnt.SegmentOpQuadTo:
			to := at(s.Args[1])
			open = append(open, geom.Quadratic(pen, at(s.Args[0]), to, tol)...)
			pen = to
		case sfnt.SegmentOpCubeTo:
			to := at(s.Args[2])
			open = append(open, geom.Cubic(pen, at(s.Args[0]), at(s.Args[1]), to, tol)...)
			pen = to
		}
	}
	finish()
	return all
}

// Kern implements Face: pair kerning from the font's kern or GPOS table, 0 when
// the font has none for the pair.
func (f *OutlineFace) Kern(left, right rune) (k float64) {
	var err error
	defer guard(&err, "") // a damaged table: the pair stays as it is spaced
	a, errA := f.font.GlyphIndex(nil, left)
	b, errB := f.font.GlyphIndex(nil, right)
	if errA != nil || errB != nil {
		return 0
	}
	v, err := f.font.Kern(nil, a, b, f.ppem, font.HintingNone)
	if err != nil {
		return 0
	}
	return float64(v) / f.cap
}
