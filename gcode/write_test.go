package gcode

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestAppendNumber(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{0, 3, "0.0"}, {12, 3, "12.0"}, {-0.25, 3, "-0.25"}, {-0.0004, 3, "0.0"}, {0.0005, 3, "0.001"},
		{1.5, 0, "2"}, {600, 0, "600"}, {-0.4, 0, "0"}, {math.Copysign(0, -1), 4, "0.0"},
		{1e21, 3, "1000000000000000000000.0"}, {1e-9, 3, "0.0"}, {-10.0, 1, "-10.0"}, {100, 0, "100"},
		{3.14159, 4, "3.1416"}, {2, -1, "2"},
		{math.NaN(), 3, ""}, {math.Inf(-1), 3, ""},
	} {
		assert.Equal(t, "X"+c.want, string(AppendNumber([]byte("X"), c.v, c.decimals)), "%v to %d", c.v, c.decimals)
	}
}

func TestAppendNumberReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "v")
		d := rapid.IntRange(0, 6).Draw(t, "decimals")
		s := string(AppendNumber(nil, v, d))
		got, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-v) > 0.5*math.Pow10(-d)*(1+1e-9)+1e-9 {
			t.Fatalf("%v written as %s", v, s)
		}
		if strings.ContainsAny(s, "eE+") || s == "-0.0" || s == "-0" || d > 0 != strings.Contains(s, ".") {
			t.Fatalf("%v written as %s", v, s)
		}
		b, e := NewReader(strings.NewReader("X"+s), Options{}).Next()
		if e != nil || b.Words[0].Value.Num != got {
			t.Fatalf("%s read as %v, %v", s, b, e)
		}
	})
}

func TestCommentText(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"Anna, trumpet 3", "Anna, trumpet 3"},
		{"inlay (10 mm) {a}", "inlay [10 mm] [a]"},
		{")\nG0 Z-50 (", "] G0 Z-50 ["},
		{"MSG, stop", "MSG. stop"},
		{" m s g ,x,y", " m s g .x,y"},
		{"ø6 — Łódź", "_6 _ __d_"},
		{"100 % !~?$;", "100 _ _____"},
		{"\x00\x7f\xff", "___"},
		{strings.Repeat("ab", 300), strings.Repeat("ab", MaxCommentText/2)},
	} {
		assert.Equal(t, c.want, CommentText(c.in), "%q", c.in)
	}
}

func TestCommentTextIsSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.OneOf(rapid.String(), rapid.StringMatching(`[ \tmMsSgG]*,[()%!;\x00-\x7f]*`)).Draw(t, "text")
		out := CommentText(in)
		if CommentText(out) != out {
			t.Fatalf("%q becomes %q, then %q", in, out, CommentText(out))
		}
		b, err := NewReader(strings.NewReader("G0("+out+")X1"), Options{}).Next()
		if err != nil {
			t.Fatal(err)
		}
		if _, message := b.Comments[0].Message(); message || len(b.Words) != 2 || len(b.Comments) != 1 || b.Comments[0].Text != out {
			t.Fatalf("%q became %v", in, b)
		}
	})
}

func TestFormatRefuses(t *testing.T) {
	word := func(c byte, v float64) Block { return Block{Words: []Word{{Letter: c, Value: Number(v)}}} }
	for _, c := range []struct {
		name string
		b    Block
		msg  string
	}{
		{"not a number", word('X', math.NaN()), "not a number"},
		{"infinite", word('X', math.Inf(1)), "not a number"},
		{"letter", word('E', 1), "no word with the letter"},
		{"small letter", word('x', 1), "no word with the letter"},
		{"line number", Block{Numbered: true, Number: 100000}, "0 to 99999"},
		{"comment that ends itself", Block{Comments: []Comment{{Text: "a) G0 Z-9 (b"}}}, "CommentText"},
		{"comment over two lines", Block{Comments: []Comment{{Text: "a\nb", Line: true}}}, "CommentText"},
		{"comment after the end", Block{Comments: []Comment{{Text: "a", Line: true}, {Text: "b"}}}, "stand last"},
		{"percent", Block{Percent: true, Numbered: true}, "nothing else"},
		{"too long", Block{Comments: []Comment{{Text: strings.Repeat("a", 300)}}}, "split it"},
		{"half an expression", Block{Words: []Word{{Letter: 'X', Value: Value{Expr: &Expr{Op: OpPlus}}}}}, "operand is missing"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := Format(&bytes.Buffer{}, &Program{Name: "p", Blocks: []Block{{}, c.b}})
			require.ErrorContains(t, err, c.msg)
			assert.Contains(t, err.Error(), "p:2:")
		})
	}
}

// A line without any space may fill its 256 characters; formatted it must fit too.
func TestFormatKeepsLineLength(t *testing.T) {
	full := strings.Repeat("#1=.5", 51)
	spaced := strings.Repeat("M3#1=[2]", 20)
	for _, text := range []string{full, spaced, "X-.5" + strings.Repeat("#1=-.5", 42)} {
		require.LessOrEqual(t, len(text), DefaultMaxLine)
		p, err := Parse("", strings.NewReader(text), Options{})
		require.NoError(t, err)
		var out bytes.Buffer
		require.NoError(t, Format(&out, p))
		again, err := Parse("", &out, Options{})
		require.NoError(t, err)
		assert.Equal(t, meaning(&p.Blocks[0]), meaning(&again.Blocks[0]))
	}
}
