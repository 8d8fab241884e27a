package gcode

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The production rules of NISTIR 6556, appendix E, from memory, as a generator of
// lines: line = [/] [N digits] { word | setting | comment }.

type lineGenerator struct {
	t *rapid.T
	b strings.Builder
}

// put writes the text with random case and, except in comments, random space.
func (g *lineGenerator) put(s string) {
	for _, c := range s {
		if rapid.IntRange(0, 15).Draw(g.t, "space") == 0 {
			g.b.WriteByte(" \t"[rapid.IntRange(0, 1).Draw(g.t, "which")])
		}
		if rapid.Bool().Draw(g.t, "lower") {
			c = []rune(strings.ToLower(string(c)))[0]
		}
		g.b.WriteRune(c)
	}
}

func (g *lineGenerator) choose(s ...string) string {
	return s[rapid.IntRange(0, len(s)-1).Draw(g.t, "choice")]
}

func (g *lineGenerator) number() {
	digits := rapid.StringMatching(`[0-9]{1,6}`)
	s := g.choose("", "", "+", "-")
	switch rapid.IntRange(0, 3).Draw(g.t, "form") {
	case 0:
		s += digits.Draw(g.t, "n")
	case 1:
		s += digits.Draw(g.t, "n") + "."
	case 2:
		s += "." + digits.Draw(g.t, "n")
	case 3:
		s += digits.Draw(g.t, "n") + "." + rapid.StringMatching(`[0-9]{1,20}`).Draw(g.t, "f")
	}
	g.put(s)
}

func (g *lineGenerator) real(depth int) {
	kind := rapid.IntRange(0, 6).Draw(g.t, "kind")
	if depth <= 0 {
		kind = 0
	}
	switch kind {
	case 4:
		g.put("#")
		g.real(depth - 1)
	case 5:
		g.bracket(depth - 1)
	case 6:
		f := g.choose("ATAN", "ABS", "ACOS", "ASIN", "COS", "EXP", "FIX", "FUP", "LN", "ROUND", "SIN", "SQRT", "TAN")
		g.put(f)
		g.bracket(depth - 1)
		if f == "ATAN" {
			g.put("/")
			g.bracket(depth - 1)
		}
	default:
		g.number()
	}
}

func (g *lineGenerator) bracket(depth int) {
	g.put("[")
	g.real(depth)
	for range rapid.IntRange(0, 2).Draw(g.t, "operators") {
		g.put(g.choose("**", "*", "/", "MOD", "+", "-", "OR", "XOR", "AND"))
		g.real(depth)
	}
	g.put("]")
}

func (g *lineGenerator) line() string {
	if rapid.IntRange(0, 5).Draw(g.t, "delete") == 0 {
		g.put("/")
	}
	if rapid.IntRange(0, 3).Draw(g.t, "numbered") == 0 {
		g.put("N" + rapid.StringMatching(`[0-9]{1,5}`).Draw(g.t, "number"))
	}
	for range rapid.IntRange(0, 5).Draw(g.t, "items") {
		switch rapid.IntRange(0, 6).Draw(g.t, "item") {
		case 0:
			g.put("#")
			g.real(2)
			g.put("=")
			g.real(2)
		case 1:
			g.b.WriteString("(" + rapid.StringMatching(`[ -'*-~\t]{0,12}`).Draw(g.t, "comment") + ")")
		default:
			g.put(string("ABCDFGHIJKLMPQRSTXYZ"[rapid.IntRange(0, 19).Draw(g.t, "letter")]))
			g.real(2)
		}
	}
	return g.b.String()
}

// meaning writes the block without its positions: words and settings with fully
// bracketed values.
func meaning(b *Block) string {
	var s strings.Builder
	fmt.Fprintf(&s, "%v %v %v %d", b.Percent, b.Delete, b.Numbered, b.Number)
	for _, w := range b.Words {
		fmt.Fprintf(&s, " %c%s", w.Letter, treeOf(w.Value))
	}
	for _, x := range b.Settings {
		fmt.Fprintf(&s, " #%s=%s", treeOf(x.Index), treeOf(x.Value))
	}
	for _, c := range b.Comments {
		fmt.Fprintf(&s, " %v%q", c.Line, c.Text)
	}
	return s.String()
}

func treeOf(v Value) string {
	if v.Expr == nil {
		return fmt.Sprintf("%v", v.Num)
	}
	return tree(v.Expr)
}

func tree(e *Expr) string {
	switch {
	case e == nil:
		return ""
	case e.Op == OpNumber:
		return fmt.Sprintf("%v", e.Num)
	}
	return fmt.Sprintf("(%s %s %s)", e.Op, tree(e.X), tree(e.Y))
}

// checkFormat formats the program and checks that the result means the same and
// is a fixed point.
func checkFormat(t require.TestingT, p *Program, o Options) {
	var once, twice bytes.Buffer
	require.NoError(t, Format(&once, p))
	text := once.String()
	q, err := Parse("", strings.NewReader(text), o)
	require.NoError(t, err, "%q", text)
	require.Equal(t, len(p.Blocks), len(q.Blocks), "%q", text)
	for i := range p.Blocks {
		require.Equal(t, meaning(&p.Blocks[i]), meaning(&q.Blocks[i]), "%q", text)
	}
	require.Equal(t, p.Tail, q.Tail)
	require.NoError(t, Format(&twice, q))
	require.Equal(t, text, twice.String())
}

func TestValidLinesParseAndRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := lineGenerator{t: t}
		text := g.line()
		if len(text) > DefaultMaxLine {
			t.Skip("the generator wrote too long a line")
		}
		p, err := Parse("", strings.NewReader(text), Options{})
		require.NoError(t, err, "%q", text)
		checkFormat(t, p, Options{})
	})
}
