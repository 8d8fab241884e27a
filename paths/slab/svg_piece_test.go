package slab

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pieceOf reads a drawing of 100 x 50 mm with the given elements, one a line from
// line 2 on.
func pieceOf(t *testing.T, elements ...string) ([]string, error) {
	t.Helper()
	text := `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">` + "\n" + strings.Join(elements, "\n") + "\n</svg>"
	shapes, err := ReadSVG(strings.NewReader(text), SVGOptions{})
	require.NoError(t, err)
	region, err := Piece(shapes)
	if err != nil {
		return nil, err
	}
	require.NoError(t, region.Validate())
	var out []string
	for _, c := range region {
		out = append(out, c.String())
	}
	return out, nil
}

func TestPiece(t *testing.T) {
	for _, c := range []struct {
		name     string
		elements []string
		want     []string
	}{
		{"outline only, run the wrong way", []string{`<path d="M0 0V50H100V0Z"/>`},
			[]string{"M 0 50 L 0 0 L 100 0 L 100 50 Z"}},
		{"holes before and after", []string{`<circle cx="10" cy="10" r="2"/>`, `<rect width="100" height="50"/>`, `<path d="M20 20h5v5z"/>`},
			[]string{"M 0 50 L 0 0 L 100 0 L 100 50 Z", "M 12 40 A 10 40 12 40 cw Z", "M 20 30 L 25 30 L 25 25 Z"}},
		{"one path", []string{`<path d="M0 0H100V50H0Z M10 10H20V20H10Z"/>`},
			[]string{"M 0 50 L 0 0 L 100 0 L 100 50 Z", "M 10 40 L 20 40 L 20 30 L 10 30 Z"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := pieceOf(t, c.elements...)
			require.NoError(t, err)
			assert.Equal(t, c.want, got)
		})
	}
}

func TestPieceFaults(t *testing.T) {
	const outline = `<rect id="slab" width="60" height="50"/>`
	for _, c := range []struct {
		name     string
		elements []string
		want     string
	}{
		{"empty", nil, "no closed shape"},
		{"open", []string{outline, `<path d="M1 1L5 5L9 1"/>`}, "line 3: path is not closed"},
		{"two pieces", []string{outline, `<rect x="70" width="20" height="20"/>`}, `line 3: rect at (70.000, 50.000) lies beside the outline, rect "slab" in line 2`},
		{"in a hole", []string{`<circle cx="20" cy="20" r="3"/>`, outline, `<circle cx="20" cy="20" r="9"/>`}, "line 4: circle and circle in line 2 lie one in the other"},
		{"crosses the outline", []string{outline, `<circle id="h" cx="60" cy="20" r="3"/>`}, "line"},
		{"holes that cross", []string{outline, `<circle cx="20" cy="20" r="3"/>`, `<circle cx="24" cy="20" r="3"/>`}, "circle"},
		{"crosses itself", []string{`<path id="eight" d="M0 0L60 50L60 0L0 40Z"/>`}, `line 2: path "eight": `},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := pieceOf(t, c.elements...)
			assert.ErrorContains(t, err, c.want)
		})
	}
}
