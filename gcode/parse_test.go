package gcode

import (
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// parseBlock reads a single line.
func parseBlock(t *testing.T, text string, o Options) *Block {
	t.Helper()
	b, err := NewReader(strings.NewReader(text), o).Next()
	require.NoError(t, err, text)
	return b
}

func TestBlocks(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"white space in numbers, NISTIR 6556, section 3.3 (from memory)", "g0x +0. 12 34y 7", "G0 X0.1234 Y7.0"},
		{"the same without", "g0 x+0.1234 y7", "G0 X0.1234 Y7.0"},
		{"leading zeros", "N00009 G01 X007", "N9 G1 X7.0"},
		{"signs and points", "X+.5 Y-3. Z-.25", "X0.5 Y-3.0 Z-0.25"},
		{"negative zero", "X-0 Y-0.000", "X0.0 Y0.0"},
		{"block delete before line number", " / n 1 2 g4p.5", "/N12 G4 P0.5"},
		{"stop motion, NISTIR 6556, section 3.3.4 (from memory)", "G80 M5 (stop motion)", "G80 M5 (stop motion)"},
		{"items keep their order", "g40 (foo) #3=15 g1 #4=-7.0", "G40 (foo) #3=15 G1 #4=-7"},
		{"empty comment", "()", "()"},
		{"parameter chain", "x##2", "X##2"},
		{"number in brackets", "x[5]", "X5.0"},
		{"bracket needless", "x[[1+2]*[3]]", "X[[1+2]*3]"},
		{"bracket on the right", "x[1-[2-3]]", "X[1-[2-3]]"},
		{"bracket on the left", "x[[1-2]-3]", "X[1-2-3]"},
		{"powers associate to the left", "x[2**[3**2]+[2**3]**2]", "X[2**[3**2]+2**3**2]"},
		{"words as operators", "x[ 1 mod2 or s i n [ 3 0 ] ]", "X[1 MOD 2 OR SIN[30]]"},
		{"function right after an operator", "x[15modsin[30]xorln[2]]", "X[15 MOD SIN[30] XOR LN[2]]"},
		{"sign after operator", "x[1--3+ +4]", "X[1--3+4]"},
		{"inverse tangent", "x atan [2] / [1+3]", "XATAN[2]/[1+3]"},
		{"legal form, NISTIR 6556, section 3.3.2.3 (from memory)", "x[1+acos[0]-[#3**[4.0/2]]]", "X[1+ACOS[0]-#3**[4/2]]"},
		{"indirect setting", "##1=0.375", "##1=0.375"},
		{"setting by expression", "#[1+2]=sqrt[#4]", "#[1+2]=SQRT[#4]"},
		{"percent", " % ", "%"},
		{"blank", "  \t", ""},
		{"long number", "X0.12345678901234567890 Y123456789012345678", "X0.12345678901234568 Y123456789012345680.0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := AppendBlock(nil, parseBlock(t, c.text, Options{}))
			require.NoError(t, err)
			assert.Equal(t, c.want, string(got))
		})
	}
}

func TestBlockPositions(t *testing.T) {
	b := parseBlock(t, " / N7 G1X[1+#2] #3=4 (hi)", Options{})
	assert.Equal(t, Pos{1, 2}, b.Pos)
	assert.True(t, b.Delete)
	assert.True(t, b.Numbered)
	assert.Equal(t, 7, b.Number)
	require.Len(t, b.Words, 2)
	assert.Equal(t, Pos{1, 7}, b.Words[0].Pos)
	assert.Equal(t, Pos{1, 9}, b.Words[1].Pos)
	e := b.Words[1].Value.Expr
	require.NotNil(t, e)
	assert.Equal(t, OpPlus, e.Op)
	assert.Equal(t, Pos{1, 12}, e.Pos)
	assert.Equal(t, Pos{1, 11}, e.X.Pos)
	assert.Equal(t, Pos{1, 13}, e.Y.Pos)
	assert.Equal(t, Pos{1, 14}, e.Y.X.Pos)
	assert.Equal(t, Pos{1, 17}, b.Settings[0].Pos)
	assert.Equal(t, Comment{Text: "hi", Pos: Pos{1, 22}}, b.Comments[0])
	assert.Equal(t, " / N7 G1X[1+#2] #3=4 (hi)", b.Text())
	assert.Nil(t, b.Word('Y'))
	assert.Equal(t, byte('X'), b.Word('X').Letter)
}

// The reading errors of NISTIR 6556 (from memory), each with its place.
func TestReadingErrors(t *testing.T) {
	long := "G1 X" + strings.Repeat("1", DefaultMaxLine-3)
	for _, c := range []struct {
		name, text string
		col        int
		msg        string
	}{
		{"line too long", long, 257, "longer than 256"},
		{"illegal character", "G1 X1 $", 7, "illegal character"},
		{"illegal byte", "G1 \xff", 4, "byte 0xff"},
		{"unknown letter", "G1 E3", 4, "unknown word letter"},
		{"unused letters", "G1 U3", 4, "unknown word letter"},
		{"O word", "O100", 1, "unknown word letter"},
		{"six digits", "N000009 G0 X1", 1, "at most 5 digits"},
		{"line number without digits", "N G0 X1", 1, "digits must follow N"},
		{"line number with point", "N1.5 G0", 3, "no decimal point"},
		{"line number with sign", "N-5 G0", 1, "digits must follow N"},
		{"line number later", "G0 N5", 4, "start of the line"},
		{"block delete later", "N5 / G0", 4, "first on the line"},
		{"comment not closed", "G0 (go home", 4, "not closed"},
		{"comment nested", "G0 (go (fast) home)", 8, "comment inside a comment"},
		{"comment closed twice", "G0 (go))", 8, "none has opened"},
		{"comment with control character", "(a\x01)", 3, "not a printable"},
		{"comment beyond ASCII", "(\xc3\xb8)", 2, "byte 0xc3"},
		{"semicolon", "G0 ; home", 4, "semicolon"},
		{"number without digits", "X.", 2, "without digits"},
		{"two points", "X1.2.3", 5, "without a letter"},
		{"two signs", "X--3", 2, "without digits"},
		{"value missing", "G1 X", 4, "value is missing"},
		{"value missing before a letter", "G1 X Y2", 6, `unknown function "Y"`},
		{"value missing before a comment", "G1 X (a)", 6, "cannot begin one"},
		{"number without letter", "12 G1", 1, "without a letter"},
		{"sign before parameter", "X-#1", 2, "write [0-...]"},
		{"sign before bracket", "X-[1]", 2, "write [0-...]"},
		{"sign before function", "X[2+-SIN[3]]", 5, "write [0-...]"},
		{"unknown operator", "X[1 NOR 2]", 5, "an operator or ] is expected"},
		{"comparison", "X[1 < 2]", 5, "an operator or ] is expected"},
		{"unknown function", "X SINH[3]", 3, "unknown function"},
		{"bracket not closed", "X[1+2", 2, "not closed"},
		{"bracket closed by parenthesis", "X[1+2)", 6, "an operator or ]"},
		{"bracket missing after function", "X SIN 30", 3, "[ is missing after SIN"},
		{"slash missing after ATAN", "XATAN[1]", 2, "/ is missing"},
		{"second bracket missing after ATAN", "XATAN[1]/2", 2, "second bracket"},
		{"operand missing", "X[1+]", 5, "value is missing"},
		{"empty bracket", "X[]", 3, "value is missing"},
		{"equals missing", "#3 15", 1, "= is missing"},
		{"setting without value", "#3=", 3, "value is missing"},
		{"percent with more", "% G0", 1, "stand alone"},
		{"percent in the line", "G0 %", 4, "stand alone"},
		{"percent without opening", "\nG0 X1\n%", 1, "no % has opened"},
		{"percent not closed", "%\nG0 X1\n", 1, "without the %"},
		{"number too large", "X" + strings.Repeat("9", 250), 2, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse("tag.nc", strings.NewReader(c.text), Options{})
			if c.msg == "" {
				require.NoError(t, err, "250 digits are a number")
				return
			}
			var list ErrorList
			require.ErrorAs(t, err, &list)
			require.Len(t, list, 1)
			assert.Equal(t, "tag.nc", list[0].File)
			assert.Equal(t, c.col, list[0].Pos.Col, list[0].Msg)
			assert.Contains(t, list[0].Msg, c.msg)
		})
	}
}

func TestErrorText(t *testing.T) {
	_, err := Parse("tag.nc", strings.NewReader("G0 X1\nG1 E3\nG1 X\nM2\n"), Options{})
	require.Error(t, err)
	assert.Equal(t, "tag.nc:2:4: unknown word letter 'E': the letters are A B C D F G H I J K L M P Q R S T X Y Z\n"+
		`tag.nc:3:4: a value is missing after "X": write its number`, err.Error())
	assert.Equal(t, "no machine", (&Error{Msg: "no machine"}).Error())
	assert.Equal(t, "3:4: here", (&Error{Pos: Pos{3, 4}, Msg: "here"}).Error())
	var one *Error
	require.ErrorAs(t, err, &one)
	assert.Equal(t, 2, one.Pos.Line)
	assert.NoError(t, ErrorList(nil).Err())
	assert.Equal(t, "no errors", ErrorList(nil).Error())
}

func TestErrorsAreBounded(t *testing.T) {
	_, err := Parse("", strings.NewReader(strings.Repeat("?\n", 5000)), Options{})
	var list ErrorList
	require.ErrorAs(t, err, &list)
	assert.Len(t, list, MaxErrors+1)
	p, err := Parse("", strings.NewReader(strings.Repeat("\n", 50)), Options{MaxBlocks: 10})
	require.ErrorContains(t, err, "more than 10 blocks")
	assert.Len(t, p.Blocks, 10)
}

func TestLineEnds(t *testing.T) {
	for _, text := range []string{
		"G0 X1\nY2\nM2", "G0 X1\nY2\nM2\n", "G0 X1\r\nY2\r\nM2\r\n", "G0 X1\rY2\rM2\r", "G0 X1\r\nY2\rM2",
	} {
		for _, r := range []io.Reader{strings.NewReader(text), iotest.OneByteReader(strings.NewReader(text)), iotest.DataErrReader(strings.NewReader(text))} {
			p, err := Parse("", r, Options{})
			require.NoError(t, err, "%q", text)
			require.Len(t, p.Blocks, 3, "%q", text)
			for i, b := range p.Blocks {
				assert.Equal(t, i+1, b.Pos.Line)
			}
			assert.Equal(t, "Y2", p.Blocks[1].Text())
			assert.Empty(t, p.Tail)
		}
	}
}

func TestProgramEnd(t *testing.T) {
	for _, c := range []struct {
		name, text string
		blocks     int
		tail, err  string
	}{
		{"text after M2 is not read", "G0 X1\nM2\n? ( what\n", 2, "? ( what\n", ""},
		{"nor after M30", "M30\r\n?", 1, "?", ""},
		{"M2 with block delete may be skipped", "/M2\nM2\nX?", 2, "X?", ""},
		{"M2 by expression is not looked into", "M[1+1]\nM2", 2, "", ""},
		{"percents", "\n%\nG0 X1\n%\n? ( what", 4, "", ""},
		{"percents and M2", "%\nM2\nwhat\n % \n?", 2, "what\n % \n?", ""},
		{"M2 but no second percent", "%\nM2\nwhat", 2, "what", "4:1: the text ends without the %"},
		{"neither", "G0 X1\n", 1, "", ""}, // whether a program ends is seen when it runs
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := Parse("", strings.NewReader(c.text), Options{})
			if c.err != "" {
				assert.ErrorContains(t, err, "the text ends without the %")
			} else {
				require.NoError(t, err)
			}
			assert.Len(t, p.Blocks, c.blocks)
			assert.Equal(t, c.tail, p.Tail)
		})
	}
}

// The cursor of a program and the reader of its text go through the same blocks.
func TestCursorIsReader(t *testing.T) {
	for _, text := range []string{"G0 X1\nM2\n", "%\nG0 X1\n%\nrest", "\n\n%\nG0\n\n%", "G0 X1\n"} {
		p, err := Parse("a", strings.NewReader(text), Options{})
		require.NoError(t, err)
		r, c := NewReader(strings.NewReader(text), Options{Name: "a"}), p.Source()
		for {
			b1, e1 := r.Next()
			b2, e2 := c.Next()
			require.Equal(t, e1, e2, text)
			if e1 != nil {
				break
			}
			assert.Equal(t, b1.Text(), b2.Text())
			assert.Equal(t, b1.Pos, b2.Pos)
		}
		assert.NoError(t, c.Finish())
		assert.NoError(t, r.Finish())
		assert.Equal(t, r.Name(), c.Name())
	}
}

func TestCursorFinish(t *testing.T) {
	p := &Program{Blocks: []Block{{Percent: true}, {Words: []Word{{Letter: 'M', Value: Number(2)}}}, {Percent: true}}}
	c := p.Source()
	for range 2 {
		_, err := c.Next()
		require.NoError(t, err)
	}
	assert.NoError(t, c.Finish())
	p.Blocks = p.Blocks[:2]
	c = p.Source()
	for range 2 {
		_, err := c.Next()
		require.NoError(t, err)
	}
	assert.ErrorContains(t, c.Finish(), "without the %")
}

func TestReaderGoesOnAfterAFault(t *testing.T) {
	r := NewReader(strings.NewReader("G0 E1\nG1 X2\n"), Options{})
	_, err := r.Next()
	require.Error(t, err)
	b, err := r.Next()
	require.NoError(t, err)
	assert.Equal(t, "G1 X2", b.Text())
	_, err = r.Next()
	assert.Equal(t, io.EOF, err)
}

func TestReadFailure(t *testing.T) {
	broken := errors.New("disk gone")
	r := io.MultiReader(strings.NewReader("G0 X1\nG0 X"), iotest.ErrReader(broken))
	p, err := Parse("tag.nc", r, Options{})
	require.ErrorIs(t, err, broken)
	assert.Len(t, p.Blocks, 1)
	_, err = Parse("", silent{}, Options{})
	assert.ErrorIs(t, err, io.ErrNoProgress)
}

type silent struct{}

func (silent) Read([]byte) (int, error) { return 0, nil }

func TestCommonPractice(t *testing.T) {
	b := parseBlock(t, "G0 X1 ; go (quick)", Options{Semicolon: true})
	assert.Equal(t, Comment{Text: " go (quick)", Line: true, Pos: Pos{1, 7}}, b.Comments[0])
	got, err := AppendBlock(nil, b)
	require.NoError(t, err)
	assert.Equal(t, "G0 X1.0 ; go (quick)", string(got))

	b = parseBlock(t, "o100", Options{Subprograms: true})
	assert.Equal(t, byte('O'), b.Words[0].Letter)

	p, err := Parse("", strings.NewReader("M30\nO1\nM99\n"), Options{Subprograms: true})
	require.NoError(t, err)
	assert.Len(t, p.Blocks, 3)
}

func TestMessages(t *testing.T) {
	for _, c := range []struct {
		text, want string
		ok         bool
	}{
		{"MSG, change to the 3 mm cutter", " change to the 3 mm cutter", true},
		{" m S g ,x,y", "x,y", true},
		{"MSG", "", false},
		{"MSGS, x", "", false},
		{"a MSG, x", "", false},
		{"", "", false},
	} {
		got, ok := Comment{Text: c.text}.Message()
		assert.Equal(t, c.ok, ok, c.text)
		assert.Equal(t, c.want, got, c.text)
	}
	_, ok := Comment{Text: "MSG, x", Line: true}.Message()
	assert.False(t, ok)
}

// The number scanner gives the nearest float64, as strconv does.
func TestNumbersAreNearest(t *testing.T) {
	digits := rapid.StringMatching(`[0-9]{0,24}`)
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]string{"", "-", "+"}).Draw(t, "sign") + digits.Draw(t, "whole")
		if rapid.Bool().Draw(t, "point") {
			s += "." + digits.Draw(t, "fraction")
		}
		want, err := strconv.ParseFloat(s, 64)
		b, e := NewReader(strings.NewReader("X"+s), Options{}).Next()
		if (err == nil) != (e == nil) {
			t.Fatalf("%q: %v, %v", s, err, e)
		}
		if err == nil && math.Float64bits(b.Words[0].Value.Num) != math.Float64bits(want+0) {
			t.Fatalf("%q read as %v, not %v", s, b.Words[0].Value.Num, want)
		}
	})
}

// TestRest looks at what stands behind the end of a program.
func TestRest(t *testing.T) {
	for _, c := range []struct {
		text string
		line int
		says string
	}{
		{"M2", 0, ""},
		{"M2\n", 0, ""},
		{"M2\n\n (notes)\n; more\n", 0, ""},
		{"M2\n\nX1\nX2\n", 3, ""},
		{"%\nM2\n\n%\nanything", 5, ""},
		{"%\nM2\n\n%\n(notes)\n", 0, ""},
		{"%\nM2\n%\n%\nG0 Z-1\n%\n", 4, ""},
		{"M2\n(a) (b)\n(a) G0 Z-1\n", 3, ""},
		{"M2\n(a\n", 2, ""},
		{"%\nM2\nX1\n%\n", 3, ""},
		{"%\nM2\n", 0, "without the % that closes"},
		{"M2\n%\n", 2, ""},
		{"M2\n\n" + strings.Repeat(" ", 1000) + "\n", 3, ""}, // too long to be looked at
	} {
		r := NewReader(strings.NewReader(c.text), Options{})
		for {
			b, err := r.Next()
			require.NoError(t, err)
			if b.Word('M') != nil {
				break
			}
		}
		line, err := r.Rest()
		if c.says != "" {
			require.ErrorContains(t, err, c.says)
		} else {
			require.NoError(t, err)
		}
		assert.Equal(t, c.line, line, c.text)
	}
}
