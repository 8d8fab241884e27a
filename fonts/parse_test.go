package fonts_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/fonts"
)

const head = "face Test\ncap 10\nlower 7\ntail 3\nstroke 1\ngap 2\nword 6\nsteps 13 15 19\ndot 0.5\n"

func parseOne(t *testing.T, line string) fonts.Glyph {
	t.Helper()
	f, err := fonts.ParseStroke(head + line + "\n")
	require.NoError(t, err)
	return glyph(t, f, []rune(line)[0])
}

// Lengths of rounded chains in closed form, at a cap height of 1.
func TestRoundedCorners(t *testing.T) {
	quarter := math.Pi / 2
	for _, c := range []struct {
		name, line     string
		length         float64
		lines, circles int
		strokes        int
	}{
		{"line", "X 0,0 3,4", 0.5, 1, 0, 1},
		{"two strokes", "X 0,0 3,4 | 5,0 5,1", 0.6, 2, 0, 2},
		{"quarter turn", "X 0,0 5,0~2 5,5", 0.3 + 0.3 + 0.2*quarter, 2, 1, 1},
		{"arc only", "X 0,0 5,0~ 5,5", 0.5 * quarter, 0, 1, 1},
		{"arc takes the shorter edge", "X 0,0 5,0~ 5,8", 0.3 + 0.5*quarter, 1, 1, 1},
		{"ring of four", "X 0,0~ 6,0~ 6,6~ 0,6~ z", 0.6 * math.Pi, 0, 4, 1},
		{"rounded rectangle", "X 0,0~1 6,0~1 6,4~1 0,4~1 z", 2*(0.4+0.2) + 2*math.Pi*0.1, 4, 4, 1},
		{"closed, one round", "X 0,0 4,0 4,4~4 0,4 z", 0.8 + 0.4*quarter, 2, 1, 1},
		{"dot", "X *3,3", 2 * math.Pi * 0.05, 0, 1, 1},
		{"stadium", "X 0,0~2 4,0~2 4,9~2 0,9~2 z", 2*0.5 + 2*math.Pi*0.2, 2, 4, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := parseOne(t, c.line)
			length, lines, arcs := 0.0, 0, 0
			for _, p := range g.Strokes {
				require.NoError(t, p.Validate())
				length += p.Length()
				for _, s := range p {
					if s.IsArc() {
						arcs++
					} else {
						lines++
					}
				}
			}
			assert.Len(t, g.Strokes, c.strokes)
			assert.InDelta(t, c.length, length, 1e-9)
			assert.Equal(t, c.lines, lines, "lines")
			assert.Equal(t, c.circles, arcs, "arcs")
		})
	}
}

// Where a line and an arc of one stroke meet, they have the same direction.
func TestArcsAreTangent(t *testing.T) {
	for _, r := range "abcdeghmnopqrsuBCDGJOPQRSU03568" {
		for _, p := range glyph(t, fonts.Plain(), r).Strokes {
			for i := 1; i < len(p); i++ {
				if p[i-1].IsArc() || p[i].IsArc() {
					u, v := p[i-1].Tangent(1), p[i].Tangent(0)
					assert.InDelta(t, 1, u.Dot(v), 1e-9, "%q segment %d", r, i)
				}
			}
		}
	}
}

func TestCompose(t *testing.T) {
	f, err := fonts.ParseStroke(head + `A 0,0 4,10 8,0
mark acute above -1,1 1,3
mark tail below 0,0 0,-2
mark hook right 0,0 0,-1
mark slash free 0,0 5,5
Á = A + acute
C = A + tail
E = A + hook
F = A + slash
G = A*0.5@10,2
H = A + acute + acute
`)
	require.NoError(t, err)
	for _, c := range []struct {
		r                      rune
		strokes                int
		minX, minY, maxX, maxY float64
	}{
		{'Á', 2, 0, 0, 0.8, 1.3},
		{'C', 2, 0, -0.2, 0.8, 1},
		{'E', 2, 0, -0.1, 0.8, 1},
		{'F', 2, 0, 0, 0.8, 1},
		{'G', 1, 0, 0.2, 0.4, 0.7},
		{'H', 3, 0, 0, 0.8, 1.6},
	} {
		g := glyph(t, f, c.r)
		box := g.Bounds()
		assert.Len(t, g.Strokes, c.strokes, "%q", c.r)
		assert.InDeltaSlice(t, []float64{c.minX, c.minY, c.maxX, c.maxY},
			[]float64{box.Min.X, box.Min.Y, box.Max.X, box.Max.Y}, 1e-9, "%q", c.r)
	}
}

func TestParseErrors(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "no name"},
		{"no head", "face X\n", `no "cap" line`},
		{"bad number", "cap x\n", `1: "x" is not a number`},
		{"hexadecimal", "cap 0x10\n", `1: "0x10" is not a number`},
		{"infinite", "cap Inf\n", `1: "Inf" is not a number`},
		{"not a number", head + "A 0,0 NaN,1\n", `10: U+0041 'A': "NaN" is not a number`},
		{"zero", "cap 0\n", "1: cap has to be above zero"},
		{"twice", "cap 10\ncap 10\n", "2: cap is given twice"},
		{"too few", "steps 1 2\n", "1: steps needs 3 numbers, not 2"},
		{"far", head + "A 0,0 5000,1\n", "5000 is beyond 1000"},
		{"no comma", head + "A 0,0 5\n", `"5" is not a point x,y`},
		{"one point", head + "A 0,0\n", "a stroke of 1 points is too short"},
		{"repeated", head + "A 0,0 1,1 1,1\n", "stroke 1: point 3 is repeated"},
		{"repeated at the closing", head + "A 0,0 1,0 1,1 0,0 z\n", "stroke 1: point 5 is repeated"},
		{"rounded end", head + "A 0,0 1,1~\n", "point 2 is an end and cannot be rounded"},
		{"straight corner", head + "A 0,0 1,1~ 2,2\n", "point 2 does not turn"},
		{"back on itself", head + "A 0,0 2,0~ 1,0\n", "point 2 does not turn"},
		{"too large", head + "A 0,0 1,0~2 1,1\n", "overlap by 1"},
		{"arcs meet", head + "A 0,0 4,0~3 4,4~3 0,4\n", "overlap by 2"},
		{"negative radius", head + "A 0,0 1,0~-2 1,1\n", "has to be above zero"},
		{"empty stroke", head + "A 0,0 1,0 | | 0,1 1,1\n", "a stroke is empty"},
		{"leading bar", head + "A | 0,1 1,1\n", "a stroke is empty"},
		{"trailing bar", head + "A 0,1 1,1 |\n", "a stroke is empty"},
		{"after z", head + "A 0,0 1,0 1,1 z 3,3 4,4\n", "write | before the next"},
		{"z alone", head + "A z\n", "a stroke is empty"},
		{"dot in a stroke", head + "A 0,0 *1,1\n", "a dot stands alone"},
		{"after a dot", head + "A *1,1 0,0 1,0\n", "a dot stands alone"},
		{"dot before the head", "A *1,1\n", "before the head gives its radius"},
		{"drawn twice", head + "A 0,0 1,0\nA 0,0 1,0\n", "11: U+0041 'A' is drawn twice"},
		{"unknown word", head + "Alpha 0,0 1,0\n", `"Alpha" is neither a character`},
		{"bad code", head + "U+110000 0,0 1,0\n", "is not a character"},
		{"surrogate", head + "U+D800 0,0 1,0\n", "is not a character"},
		{"mark place", head + "mark acute beside 0,0 1,0\n", `sits "beside"`},
		{"mark name", head + "mark a above 0,0 1,0\n", "too short"},
		{"mark unknown", head + "A 0,0 1,0\nÁ = A + acute\n", `there is no mark "acute" before`},
		{"base unknown", head + "Á = A\n", "is not drawn before this line"},
		{"no letter below", head + "mark acute above 0,0 1,0\nÁ = acute\n", "no letter to sit on"},
		{"plus missing", head + "A 0,0 1,0\nB = A A\n", "where a + should"},
		{"part missing", head + "A 0,0 1,0\nB = A +\n", "a part is missing"},
		{"scale", head + "A 0,0 1,0\nB = A*0\n", "not a number above zero"},
		{"kern pair", head + "A 0,0 1,0\nkern -1 AAA\n", "is not a pair"},
		{"kern unknown", head + "A 0,0 1,0\nkern -1 AB\n", "not drawn"},
		{"kern twice", head + "A 0,0 1,0\nkern -1 AA AA\n", "given twice"},
		{"not text", "face \xff\n", "not valid UTF-8"},
		{"too many points", head + "A" + strings.Repeat(" 0,0 1,0", 1500) + "\n", "more than 2000 points"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := fonts.ParseStroke(c.text)
			assert.ErrorContains(t, err, c.want)
		})
	}
}

// A part that doubles with each line cannot grow without limit.
func TestComposeIsLimited(t *testing.T) {
	var b strings.Builder
	b.WriteString(head + "U+5000 0,0 1,0\n")
	for i := range 40 {
		c := string(rune(0x5000 + i))
		b.WriteString(string(rune(0x5001+i)) + " = " + c + " + " + c + "@3,0\n")
	}
	_, err := fonts.ParseStroke(b.String())
	assert.ErrorContains(t, err, "more than 2000 segments")
}

func FuzzParseStroke(f *testing.F) {
	plain, err := os.ReadFile("plain.txt")
	require.NoError(f, err)
	f.Add(string(plain))
	f.Add(head + "A 0,0 5,0~ 5,5 | *1,1\nmark acute above -1,1 1,3\nÁ = A*0.5@1,1 + acute\nkern -1 AÁ\n")
	f.Add(head + "U+0023 0,0~ 1,0~1 1,1~ z\n")
	f.Fuzz(func(t *testing.T, text string) {
		face, err := fonts.ParseStroke(text)
		if err != nil {
			return
		}
		for r := rune(0x20); r < 0x180; r++ {
			g, err := face.Glyph(r, 0)
			if err != nil {
				continue
			}
			if math.IsNaN(g.Advance) || math.IsInf(g.Advance, 0) {
				t.Fatalf("%q has the advance %v", r, g.Advance)
			}
			for _, p := range g.Strokes {
				for _, s := range p {
					if !s.A.Finite() || !s.B.Finite() || !s.C.Finite() {
						t.Fatalf("%q has a point that is not finite", r)
					}
				}
			}
		}
	})
}
