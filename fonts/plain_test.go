package fonts_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/fonts"
	"proofcut/paths/geom"
)

var update = flag.Bool("update", false, "write the golden files again")

// printable are the characters that the stroke face promises: ASCII, Latin-1
// without the soft hyphen (which is invisible), and common punctuation.
func printable() []rune {
	var rs []rune
	for r := rune(0x20); r <= 0xff; r++ {
		if r < 0x7f || r >= 0xa0 && r != 0xad {
			rs = append(rs, r)
		}
	}
	return append(rs, []rune("–—‘’‚“”„…•‹›€")...)
}

func glyph(t testing.TB, f fonts.Face, r rune) fonts.Glyph {
	t.Helper()
	g, err := f.Glyph(r, 0.001)
	require.NoError(t, err, "%q", r)
	return g
}

func TestFacesDrawEverythingPromised(t *testing.T) {
	for _, f := range []*fonts.StrokeFace{fonts.Plain(), fonts.Narrow()} {
		t.Run(f.Name(), func(t *testing.T) { drawsEverything(t, f) })
	}
	assert.Equal(t, fonts.Plain().Runes(), fonts.Narrow().Runes())
	// The same heights, 0.72 of the width.
	for _, r := range "HAaxgO8" {
		wide, slim := glyph(t, fonts.Plain(), r).Bounds(), glyph(t, fonts.Narrow(), r).Bounds()
		assert.InDelta(t, wide.Max.Y, slim.Max.Y, 1e-9, "%q", r)
		assert.InDelta(t, wide.Min.Y, slim.Min.Y, 1e-9, "%q", r)
		assert.InDelta(t, 0.72*wide.Size().X, slim.Size().X, 1e-9, "%q", r)
	}
}

func drawsEverything(t *testing.T, f *fonts.StrokeFace) {
	for _, r := range printable() {
		g := glyph(t, f, r)
		if unicode.IsSpace(r) {
			assert.Empty(t, g.Strokes, "%q", r)
			assert.Positive(t, g.Advance, "%q", r)
			continue
		}
		box := g.Bounds()
		assert.InDelta(t, 0, box.Min.X, 1e-12, "%q begins at its origin", r)
		assert.InDelta(t, box.Max.X+f.Metrics().Gap, g.Advance, 1e-12, "%q", r)
		assert.LessOrEqual(t, box.Max.Y, f.Metrics().Ascent, "%q", r)
		assert.GreaterOrEqual(t, box.Min.Y, -f.Metrics().Descent, "%q", r)
		for _, p := range g.Strokes {
			require.NoError(t, p.Validate(), "%q", r)
		}
	}
}

// Every letter of a European name has a capital and a small form.
func TestPlainLettersComeInPairs(t *testing.T) {
	for r := rune('A'); r <= 0x17f; r++ {
		g, err := fonts.Plain().Glyph(r, 0)
		if err != nil || len(g.Strokes) == 0 || !unicode.IsLetter(r) {
			continue
		}
		for _, other := range []rune{unicode.ToUpper(r), unicode.ToLower(r)} {
			switch other {
			case 'Μ', 'ď', 'ģ', 'į', 'ĺ', 'ť': // not of this face
				continue
			}
			_, err := fonts.Plain().Glyph(other, 0)
			assert.NoError(t, err, "%q has no %q", r, other)
		}
	}
}

// Source: ISO 3098, lettering type B (d = h/10): lower case 7/10 h, stroke 1/10
// h, clear space between characters 2/10 h, baseline steps 13/10, 15/10 and
// 19/10 h, as tabled in a French school sheet on NF EN ISO 3098-0. Tails 3/10
// h, space between words 6/10 h and the widths of letters are from memory; the
// figures' 5/10 and 1's 2/10 to 3/10 from an Indian text on drawing.
func TestPlainKeepsISO3098Proportions(t *testing.T) {
	f := fonts.Plain()
	m := f.Metrics()
	assert.InDelta(t, 0.1, f.StrokeWidth(), 1e-12)
	assert.InDelta(t, 0.7, m.Lower, 1e-12)
	assert.InDelta(t, 0.2, m.Gap-f.StrokeWidth(), 1e-12)
	assert.Equal(t, fonts.Steps{Capitals: 1.3, Lower: 1.5, Accents: 1.9}, m.Steps)

	space := glyph(t, f, ' ').Advance
	assert.InDelta(t, 0.6, m.Gap+space-f.StrokeWidth(), 1e-12, "clear space between words")

	for _, c := range []struct {
		runes               string
		bottom, top, lo, hi float64 // heights, and the range of widths
	}{
		{"HDEFKLNPRTZ", 0, 1, 0.5, 0.6},
		{"CGJOSU", 0, 1, 0.5, 0.6},
		{"AV", 0, 1, 0.7, 0.7},
		{"M", 0, 1, 0.7, 0.7},
		{"W", 0, 1, 0.9, 0.9},
		{"I", 0, 1, 0, 0},
		{"0235689", 0, 1, 0.45, 0.5},
		{"1", 0, 1, 0.2, 0.3},
		{"acenosuvxz", 0, 0.7, 0.45, 0.5},
		{"bdhk", 0, 1, 0.45, 0.5},
		{"gpqy", -0.3, 0.7, 0.35, 0.5},
	} {
		for _, r := range c.runes {
			box := glyph(t, f, r).Bounds()
			assert.InDelta(t, c.bottom, box.Min.Y, 1e-9, "%q bottom", r)
			assert.InDelta(t, c.top, box.Max.Y, 1e-9, "%q top", r)
			assert.GreaterOrEqual(t, box.Size().X, c.lo-1e-2, "%q width", r)
			assert.LessOrEqual(t, box.Size().X, c.hi+1e-9, "%q width", r)
		}
	}
}

// gap measures how far the drawing of a lies from that of b at its worst
// place, with left edges together; it stops at enough.
func gap(a, b fonts.Glyph, enough float64) float64 {
	worst := 0.0
	for _, p := range a.Strokes {
		for i := range 50 {
			q := p.At(p.Length() * float64(i) / 49)
			near := math.Inf(1)
			for _, o := range b.Strokes {
				near = math.Min(near, o.Distance(q))
			}
			if worst = math.Max(worst, near); worst >= enough {
				return worst
			}
		}
	}
	return worst
}

// No two characters look alike: somewhere one has a stroke that is at least
// half a stroke width away from all strokes of the other.
func TestPlainCharactersAreDistinct(t *testing.T) {
	same := map[string]bool{ // drawn the same on purpose
		"ÐĐ": true, "‚,": true, ",‚": true, "'’": true,
	}
	rs := append(printable(), 'Đ')
	for i, a := range rs {
		for _, b := range rs[i+1:] {
			if unicode.IsSpace(a) || unicode.IsSpace(b) || same[string([]rune{a, b})] {
				continue
			}
			ga, gb := glyph(t, fonts.Plain(), a), glyph(t, fonts.Plain(), b)
			d := math.Max(gap(ga, gb, 0.1), gap(gb, ga, 0.1))
			assert.GreaterOrEqual(t, d, fonts.Plain().StrokeWidth()/2, "%q and %q", a, b)
		}
	}
	for _, pair := range []string{"0O", "0D", "O0", "1l", "1I", "lI", "I|", "5S", "8B", "2Z", "6G", "gq", "vu"} {
		a, b := []rune(pair)[0], []rune(pair)[1]
		ga, gb := glyph(t, fonts.Plain(), a), glyph(t, fonts.Plain(), b)
		d := math.Max(gap(ga, gb, 0.1), gap(gb, ga, 0.1))
		assert.GreaterOrEqual(t, d, fonts.Plain().StrokeWidth(), "%q and %q are easily mistaken", a, b)
	}
}

// No stroke of a character is cut twice: the middles of segments of different
// strokes do not lie on each other, but for where an arc runs out.
func TestPlainCutsNothingTwice(t *testing.T) {
	for _, r := range printable() {
		g := glyph(t, fonts.Plain(), r)
		for i, p := range g.Strokes {
			for _, s := range p {
				for j, o := range g.Strokes {
					if i == j {
						continue
					}
					on := 0
					for k := 1; k < 20; k++ {
						if o.Distance(s.At(float64(k)/20)) < 1e-4 {
							on++
						}
					}
					assert.LessOrEqual(t, on, 2, "%q: strokes %d and %d run on each other", r, i+1, j+1)
				}
			}
		}
	}
}

func TestPlainGolden(t *testing.T) {
	const name = "testdata/plain.golden"
	var b strings.Builder
	b.WriteString("All characters of the face, twelve in a row, drawn with a stroke of h/7.\n")
	cell := geom.Box{Min: geom.Pt(-0.1, -0.4), Max: geom.Pt(1.25, 1.4)}
	rs := append(printable(), []rune("ŁłŒœŠšŽžŐőŮůĄąẞ♭♯♮⌀№")...)
	for len(rs) > 0 {
		n := min(12, len(rs))
		fmt.Fprintf(&b, "\n%q\n", string(rs[:n]))
		var rows []string
		for i, r := range rs[:n] {
			lines := drawing(glyph(t, fonts.Plain(), r).Strokes, cell, 0.07, 0.14)
			if rows == nil {
				rows = make([]string, len(lines))
			}
			for k, l := range lines {
				rows[k] += strings.Repeat(" ", i*20-len(rows[k])) + l
			}
		}
		for _, l := range rows {
			b.WriteString(strings.TrimRight(l, " ") + "\n")
		}
		rs = rs[n:]
	}
	if *update {
		require.NoError(t, os.WriteFile(name, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Equal(t, string(want), b.String(), "the face has changed: look at it, then run with -update")
}
