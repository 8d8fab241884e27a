package fonts

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// Circle says where a text runs round a circle.
type Circle struct {
	Centre geom.Point
	Radius float64 // of the baseline, mm
	Middle float64 // direction from the centre to the middle of the text, radians

	// Inward turns the heads of the letters to the centre; the text then reads
	// counter-clockwise, as along the lower half of a ring. Otherwise the feet
	// are towards the centre and the text reads clockwise.
	Inward bool
}

// Around sets one line of text along a circle: each character stands upright on
// the circle at the middle of its advance. A text that would run once round and
// more is an error that names both lengths.
func Around(face Face, text string, size float64, c Circle, o Options) (*Text, error) {
	set, err := newSetter(face, size, o)
	if err != nil {
		return nil, err
	}
	lines, err := readLines(text)
	if err != nil {
		return nil, err
	}
	if len(lines) != 1 {
		return nil, errors.New("a text round a circle has to be a single line")
	}
	if !c.Centre.Finite() || !(c.Radius > 0 && c.Radius <= 1e4) || math.IsNaN(c.Middle) || math.IsInf(c.Middle, 0) {
		return nil, fmt.Errorf("the circle for the text (radius %g mm) is not usable", c.Radius)
	}
	line, err := set.line(lines[0])
	if err != nil {
		return nil, fmt.Errorf("line 1, %w", err)
	}
	gap := face.Metrics().Gap * size
	inner := c.Radius
	if c.Inward {
		inner -= face.Metrics().Ascent * size // the heads are where it is narrow
		if inner <= 0 {
			return nil, fmt.Errorf("capitals of %.3f mm do not fit inside a radius of %.3f mm", size, c.Radius)
		}
	}
	if round := 2 * math.Pi * c.Radius; line.width+gap > round {
		return nil, fmt.Errorf("the text is %.3f mm long and the circle %.3f mm round", line.width, round)
	}
	t := &Text{Face: face.Name(), CapHeight: size, Width: line.width}
	var drawn []Glyph
	for _, g := range line.glyphs {
		// The middle of the advance without the gap behind it.
		half := (g.glyph.Advance - gap) / 2
		along := (g.x + half - line.width/2) / c.Radius
		angle, turn := c.Middle-along, c.Middle-along-math.Pi/2
		if c.Inward {
			angle, turn = c.Middle+along, c.Middle+along+math.Pi/2
		}
		move := geom.Translate(geom.Pt(-half, 0)).
			Then(geom.Rotate(turn)).
			Then(geom.Translate(c.Centre.Add(geom.Polar(c.Radius, angle))))
		drawn = append(drawn, g.glyph.Transform(move))
	}
	t.Lines = []Line{{lines[0], c.Centre.Add(geom.Polar(c.Radius, c.Middle)), line.width}}
	if err := t.assemble(drawn); err != nil {
		return nil, err
	}
	return t, nil
}
