package gcode

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// jumper is what a Reader and a Cursor have in common for calls.
type jumper interface {
	Next() (*Block, error)
	Subprograms() (map[int]Place, error)
	Place() Place
	Jump(Place)
}

// TestJump leads readers and cursors through texts with every kind of line end,
// longer and shorter than the buffer.
func TestJump(t *testing.T) {
	for _, end := range []string{"\n", "\r\n", "\r"} {
		for _, fill := range []int{0, 5000} {
			text := "%\nG0 X1\nM98 P7\nM30\n" + strings.Repeat("(fill)\n", fill) + "O7\nG0 X2\nM99\n" + strings.Repeat("(fill)\n", fill) + "O8 (last)\nM99\n%\n"
			text = strings.ReplaceAll(text, "\n", end)
			o := Options{Subprograms: true}
			p, err := Parse("t", strings.NewReader(text), o)
			require.NoError(t, err)
			for _, j := range []jumper{NewReader(strings.NewReader(text), o), p.Source()} {
				line := func() int {
					b, err := j.Next()
					require.NoError(t, err)
					return b.Pos.Line
				}
				require.Equal(t, 1, line())
				require.Equal(t, 2, line())
				starts, err := j.Subprograms()
				require.NoError(t, err)
				require.Len(t, starts, 2)
				require.Equal(t, 3, line(), "the survey leaves the place as it was")
				back := j.Place()
				for range 3 {
					j.Jump(starts[7])
					require.Equal(t, 5+fill, line())
					require.Equal(t, 6+fill, line())
					j.Jump(starts[8])
					require.Equal(t, 8+2*fill, line())
					j.Jump(back)
					require.Equal(t, 4, line())
				}
				j.Jump(starts[8])
				line()
				line()
				require.Equal(t, 10+2*fill, line()) // the closing %
				_, err = j.Next()
				require.Equal(t, io.EOF, err)
				j.Jump(back)
				require.Equal(t, 4, line())
			}
		}
	}
}

// TestJumpAnywhere compares jumps in a text with the lines as they stand in it.
func TestJumpAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 300).Draw(t, "lines")
		pad := rapid.IntRange(0, 200).Draw(t, "pad")
		end := rapid.SampledFrom([]string{"\n", "\r\n", "\r"}).Draw(t, "end")
		var text strings.Builder
		for i := range n {
			fmt.Fprintf(&text, "X%d(%s)%s", i, strings.Repeat("p", pad), end)
		}
		r := NewReader(strings.NewReader(text.String()), Options{Subprograms: true})
		if _, err := r.Subprograms(); err != nil {
			t.Fatal(err)
		}
		var places []Place
		for range n {
			places = append(places, r.Place())
			if _, err := r.Next(); err != nil {
				t.Fatal(err)
			}
		}
		for range 20 {
			i := rapid.IntRange(0, n-1).Draw(t, "line")
			r.Jump(places[i])
			b, err := r.Next()
			if err != nil || b.Words[0].Value.Num != float64(i) || b.Pos.Line != i+1 {
				t.Fatalf("line %d: %+v, %v", i, b, err)
			}
		}
	})
}

func TestSubprogramFaults(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"twice", "O1\nM99\nO1\nM99\n", "t:3:1: this subprogram number stands twice"},
		{"no integer", "M2\nO1.5\n", "t:2:1: the number of a subprogram is a plain integer"},
		{"negative", "O-1\n", "not negative"},
		{"expression", "O[1+1]\n", "plain integer"},
		{"fault in the text", "M2\nO1\nX\n", "t:3:"},
		{"no end", "%\nO1\n", "without the % that closes"},
		{"too many", many(MaxSubprograms + 1), "more than 10000 subprograms"},
	} {
		o := Options{Name: "t", Subprograms: true}
		_, err := NewReader(strings.NewReader(c.text), o).Subprograms()
		require.ErrorContains(t, err, c.says, c.name)
		p := &Program{Name: "t"}
		r := NewReader(strings.NewReader(c.text), o)
		var k keeper
		for {
			b, err := r.Next()
			if err != nil {
				break
			}
			p.Blocks = append(p.Blocks, k.block(b))
		}
		_, err = p.Source().Subprograms()
		if c.name != "fault in the text" { // which a program in memory has none of
			require.ErrorContains(t, err, c.says, c.name)
		}
	}
}

func many(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "O%d\n", i)
	}
	return b.String()
}

// A text without end is refused in bounded memory.
func TestHostileSubprograms(t *testing.T) {
	used := allocated(func() {
		r := NewReader(&repeat{pattern: strings.Repeat("G0 X1 (over and over)\n", 1<<12), left: MaxSubprogramText + 1<<20}, Options{Subprograms: true})
		_, err := r.Subprograms()
		require.ErrorContains(t, err, "more than 32 MiB")
	})
	assert.Less(t, used, uint64(300<<20)) // all allocations of a growing text
	r := NewReader(strings.NewReader("X1\n"), Options{})
	r.Jump(Place{offset: 99}) // without a survey a reader stays where it is
	b, err := r.Next()
	require.NoError(t, err)
	require.Equal(t, 1.0, b.Words[0].Value.Num)
}
