package gcode

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"testing/iotest"
)

var fuzzSeeds = []string{
	"", "\n", "%\nG0 X1\n%\n", "N10 G1 X12.345 Y-3.25 F600\nM2\n", "/N5 g0x +0. 12 34y 7\r\n",
	"#3=15 #[1+2]=sqrt[#4]\n", "x[1+acos[0]-[#3**[4.0/2]]]", "G2 X10 Y15 R20 (MSG, hi)\rM30\rrest",
	"x atan[2]/[1+3] y[ 1 mod2 or sin[30]]", "(a)(b)", "X-[1]", "X[[[[", "G1 X", "; c", "O100", "##1=0.375",
	"%\nM2\n?(\n%", "N000009 G0", "X1.2.3", "X-0 Y-.5",
}

// FuzzParse: no text makes the parser panic, hang or tell a place that is not in
// the text; it reads the same however the bytes arrive.
func FuzzParse(f *testing.F) {
	for _, s := range fuzzSeeds {
		f.Add([]byte(s), false)
		f.Add([]byte(s), true)
	}
	f.Fuzz(func(t *testing.T, text []byte, practice bool) {
		o := Options{Semicolon: practice, Subprograms: practice, MaxBlocks: 10_000}
		lines := bytes.Count(text, []byte("\n")) + bytes.Count(text, []byte("\r")) + 1
		p, err := Parse("f", bytes.NewReader(text), o)
		q, err2 := Parse("f", iotest.HalfReader(bytes.NewReader(text)), o)
		if (err == nil) != (err2 == nil) || err != nil && err.Error() != err2.Error() || len(p.Blocks) != len(q.Blocks) || p.Tail != q.Tail {
			t.Fatalf("read in halves differs: %v, %v", err, err2)
		}
		var list ErrorList
		if err != nil && !errors.As(err, &list) {
			t.Fatalf("unknown error %v", err)
		}
		for _, e := range list {
			if e.Pos.Line < 1 || e.Pos.Line > lines || e.Pos.Col < 1 || e.Pos.Col > max(len(text), DefaultMaxLine)+1 || e.Msg == "" {
				t.Fatalf("error at %v: %v", e.Pos, e)
			}
		}
		for i := range p.Blocks {
			b := &p.Blocks[i]
			for _, w := range b.Words {
				if got := upper(b.Text()[w.Pos.Col-1]); got != w.Letter {
					t.Fatalf("word %c at %v is %c", w.Letter, w.Pos, got)
				}
				v, err := w.Value.Eval(func(n int) float64 { return float64(n % 7) })
				if err == nil && (v != v || v-v != 0) {
					t.Fatalf("%q evaluates to %v", b.Text(), v)
				}
			}
		}
	})
}

// FuzzFormat: what can be parsed can be formatted without a change of meaning,
// and the result is a fixed point.
func FuzzFormat(f *testing.F) {
	for _, s := range fuzzSeeds {
		f.Add([]byte(s), true)
	}
	f.Fuzz(func(t *testing.T, text []byte, practice bool) {
		o := Options{Semicolon: practice, Subprograms: practice, MaxBlocks: 10_000}
		p, err := Parse("", bytes.NewReader(text), o)
		if err != nil {
			return
		}
		checkFormat(t, p, o)
	})
}

// FuzzCommentText: no text ends its comment, becomes a message or leaves
// printable ASCII.
func FuzzCommentText(f *testing.F) {
	for _, s := range []string{"", "MSG,", " m s g , x", ")G0", "\x00é\n", strings.Repeat("x", 500)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		b, err := NewReader(strings.NewReader("("+CommentText(s)+")\n"), Options{}).Next()
		if err != nil || len(b.Comments) != 1 || len(b.Words) != 0 || b.Comments[0].Text != CommentText(s) {
			t.Fatalf("%q: %v %v", s, b, err)
		}
		if _, ok := b.Comments[0].Message(); ok {
			t.Fatalf("%q is a message", s)
		}
	})
}
