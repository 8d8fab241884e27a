package fonts

import (
	"errors"
	"fmt"
	"strings"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"

	"proofcut/paths/geom"
)

// ErrNoGlyph is the cause of an error about a character that a face does not
// draw.
var ErrNoGlyph = errors.New("no such character in the face")

// Face draws characters. All lengths are in cap heights.
type Face interface {
	// Name is what people call the face.
	Name() string

	// Metrics returns the measures that all characters share.
	Metrics() Metrics

	// Glyph draws one character with its origin on the baseline at (0, 0).
	// Curves that are neither lines nor arcs are followed within tol, in cap
	// heights. The error wraps ErrNoGlyph when the face lacks the character.
	Glyph(r rune, tol float64) (Glyph, error)

	// Kern returns what to add to the space between two characters.
	Kern(left, right rune) float64
}

// Metrics are the measures of a face in cap heights.
type Metrics struct {
	Outline bool // regions to fill; otherwise strokes to follow

	Lower   float64 // height of the lower-case x
	Ascent  float64 // of the highest part above the baseline
	Descent float64 // of the lowest part below the baseline, positive

	// Gap is the space that a glyph's advance keeps free after the character;
	// 0 when the face has its own bearings. A line ends without it.
	Gap float64

	// Steps are the distances between baselines for lines of capitals alone,
	// with lower case, and with accented capitals.
	Steps Steps
}

// Steps are baseline distances in cap heights by what the lines hold.
type Steps struct{ Capitals, Lower, Accents float64 }

// Glyph is one character drawn. Exactly one of Strokes and Outline is used,
// none for a space.
type Glyph struct {
	Advance float64 // from this origin to the next
	Strokes []geom.Path
	Outline geom.Region
}

// Bounds returns the box round what is drawn, empty for a space.
func (g Glyph) Bounds() geom.Box {
	box := g.Outline.Bounds()
	for _, p := range g.Strokes {
		box = box.Union(p.Bounds())
	}
	return box
}

// Transform returns the glyph's drawing moved, turned or scaled; the advance
// takes the scale.
func (g Glyph) Transform(t geom.Similarity) Glyph {
	out := Glyph{Advance: g.Advance * t.Factor(), Outline: g.Outline.Transform(t)}
	for _, p := range g.Strokes {
		out.Strokes = append(out.Strokes, p.Transform(t))
	}
	return out
}

// builtIn are the faces that need no file, by the name a job uses.
var builtIn = []struct {
	name string
	make func() (Face, error)
}{
	{"plain", func() (Face, error) { return Plain(), nil }},
	{"narrow", func() (Face, error) { return Narrow(), nil }},
	{"go-regular", embedded(goregular.TTF)},
	{"go-medium", embedded(gomedium.TTF)},
	{"go-bold", embedded(gobold.TTF)},
	{"go-italic", embedded(goitalic.TTF)},
	{"go-mono", embedded(gomono.TTF)},
}

func embedded(ttf []byte) func() (Face, error) {
	return func() (Face, error) {
		f, err := LoadOutline(ttf)
		if err != nil {
			return nil, err
		}
		return f, nil
	}
}

// Names returns the names of the built-in faces: "plain" and "narrow" are
// single-stroke faces, the others outline faces.
func Names() []string {
	names := make([]string, len(builtIn))
	for i, b := range builtIn {
		names[i] = b.name
	}
	return names
}

// Named returns the built-in face of that name. The error lists the names that
// there are.
func Named(name string) (Face, error) {
	for _, b := range builtIn {
		if b.name == name {
			return b.make()
		}
	}
	return nil, fmt.Errorf("face %q is not known: use one of %s", name, strings.Join(Names(), ", "))
}
