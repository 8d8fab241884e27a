package gcode

import (
	"bufio"
	"fmt"
	"io"
	"math"
)

// Format writes the program in one settled form: upper case, one space between
// items, the shortest numbers that mean the same, a decimal point in every
// length, angle and centre offset, brackets only where they matter. Reading the
// result gives a program of the same meaning, and formatting that the same bytes.
//
// The error is that of w, or an *Error for a block that no text can say: a
// number that is not finite, an unknown letter, a comment that would end itself,
// a line that cannot be kept within DefaultMaxLine.
func Format(w io.Writer, p *Program) error {
	out := bufio.NewWriterSize(w, bufferSize)
	var line []byte
	for i := range p.Blocks {
		var err error
		if line, err = AppendBlock(line[:0], &p.Blocks[i]); err != nil {
			if e, ok := err.(*Error); ok {
				e.File = p.Name
				if e.Pos == (Pos{}) {
					e.Pos.Line = i + 1
				}
			}
			return err
		}
		line = append(line, '\n')
		if _, err := out.Write(line); err != nil {
			return err
		}
	}
	if _, err := out.WriteString(p.Tail); err != nil {
		return err
	}
	return out.Flush()
}

// AppendBlock appends the block as Format writes it, without the end of line.
func AppendBlock(dst []byte, b *Block) ([]byte, error) {
	start := len(dst)
	limit := max(DefaultMaxLine, len(b.raw))
	// A line that spaces, points and leading zeros make too long does without;
	// bare of them no block is longer than the line it was read from.
	for _, f := range []formatter{{sep: " "}, {}, {terse: true}} {
		f.dst = dst[:start]
		f.block(b)
		if f.err != nil {
			return dst[:start], f.err
		}
		if len(f.dst)-start <= limit {
			return f.dst, nil
		}
	}
	return dst[:start], &Error{Pos: b.Pos, Msg: fmt.Sprintf("the block takes more than %d characters: split it", limit)}
}

type formatter struct {
	dst   []byte
	sep   string // between items
	terse bool   // numbers as short as they can be
	items int
	err   *Error
}

func (f *formatter) fail(pos Pos, format string, args ...any) {
	if f.err == nil {
		f.err = &Error{Pos: pos, Msg: fmt.Sprintf(format, args...)}
	}
}

func (f *formatter) next() {
	if f.items > 0 {
		f.dst = append(f.dst, f.sep...)
	}
	f.items++
}

func (f *formatter) block(b *Block) {
	if b.Percent {
		if b.Delete || b.Numbered || len(b.Words)+len(b.Settings)+len(b.Comments) > 0 {
			f.fail(b.Pos, "a %% line can hold nothing else: put the rest on a line of its own")
		}
		f.dst = append(f.dst, '%')
		return
	}
	if b.Delete {
		f.dst = append(f.dst, '/')
	}
	if b.Numbered {
		if b.Number < 0 || b.Number > 99999 {
			f.fail(b.Pos, "line number %d does not lie from 0 to 99999: number anew or leave it out", b.Number)
			return
		}
		f.next()
		f.dst = append(f.dst, 'N')
		f.dst = appendExact(f.dst, float64(b.Number), false)
	}
	words, settings, comments := b.Words, b.Settings, b.Comments
	for f.err == nil {
		// Items stand in the order of their positions; without positions words
		// come first and comments last.
		switch {
		case len(words) > 0 && !(len(settings) > 0 && settings[0].Pos.Col < words[0].Pos.Col) &&
			!(len(comments) > 0 && comments[0].Pos.Col < words[0].Pos.Col):
			f.word(&words[0])
			words = words[1:]
		case len(settings) > 0 && !(len(comments) > 0 && comments[0].Pos.Col < settings[0].Pos.Col):
			f.setting(&settings[0])
			settings = settings[1:]
		case len(comments) > 0:
			f.comment(&comments[0], len(words)+len(settings)+len(comments) == 1)
			comments = comments[1:]
		default:
			return
		}
	}
}

func (f *formatter) comment(c *Comment, last bool) {
	if i := badCommentByte([]byte(c.Text), c.Line); i >= 0 {
		f.fail(c.Pos, "a comment cannot hold %s: clean its text with CommentText", quoteByte(c.Text[i]))
		return
	}
	f.next()
	if c.Line {
		if !last {
			f.fail(c.Pos, "a comment that ends with the line must stand last: move it to the end")
		}
		f.dst = append(f.dst, ';')
		f.dst = append(f.dst, c.Text...)
		return
	}
	f.dst = append(f.dst, '(')
	f.dst = append(f.dst, c.Text...)
	f.dst = append(f.dst, ')')
}

func (f *formatter) setting(s *Setting) {
	f.next()
	f.dst = append(f.dst, '#')
	f.value(s.Index, false, s.Pos)
	f.dst = append(f.dst, '=')
	f.value(s.Value, false, s.Pos)
}

// pointed reports whether numbers after the letter are written with a point.
func pointed(letter byte) bool {
	switch letter {
	case 'A', 'B', 'C', 'I', 'J', 'K', 'Q', 'R', 'X', 'Y', 'Z':
		return true
	}
	return false
}

func (f *formatter) word(w *Word) {
	if class[w.Letter]&isWord == 0 && w.Letter != 'O' || w.Letter != upper(w.Letter) {
		f.fail(w.Pos, "there is no word with the letter %q: correct or remove it", w.Letter)
		return
	}
	f.next()
	f.dst = append(f.dst, w.Letter)
	f.value(w.Value, pointed(w.Letter), w.Pos)
}

func (f *formatter) value(v Value, point bool, pos Pos) {
	if v.Expr == nil {
		f.number(v.Num, point, pos)
		return
	}
	f.expr(v.Expr, 0)
}

func (f *formatter) number(v float64, point bool, pos Pos) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		f.fail(pos, "%v is not a number that a program can say: correct the expression", v)
		return
	}
	n := len(f.dst)
	f.dst = appendExact(f.dst, v, point && !f.terse)
	if !f.terse {
		return
	}
	if f.dst[n] == '-' {
		n++
	}
	if len(f.dst) > n+1 && f.dst[n] == '0' {
		f.dst = append(f.dst[:n], f.dst[n+1:]...)
	}
}

// expr writes e as a value (level 0), as the whole inside of a bracket (1), or
// as an operand beside an operator of the level below the given one (2 and 3,
// beyond which everything is bracketed).
func (f *formatter) expr(e *Expr, level int) {
	if e == nil {
		f.fail(Pos{}, "an operand is missing in an expression: write it")
		return
	}
	switch own := e.Op.level(); {
	case e.Op == OpNumber:
		f.number(e.Num, false, e.Pos)
	case e.Op == OpParameter:
		f.dst = append(f.dst, '#')
		f.expr(e.X, 0)
	case own > 0 && (level == 0 || own < level):
		f.bracket(e)
	case own > 0:
		f.expr(e.X, own)
		if e.Op == OpMod || e.Op == OpOr || e.Op == OpXor || e.Op == OpAnd {
			f.dst = append(f.dst, f.sep...)
			f.dst = append(f.dst, e.Op.String()...)
			f.dst = append(f.dst, f.sep...)
		} else {
			f.dst = append(f.dst, e.Op.String()...)
		}
		f.expr(e.Y, own+1)
	default:
		f.dst = append(f.dst, e.Op.String()...)
		f.bracket(e.X)
		if e.Op == OpAtan {
			f.dst = append(f.dst, '/')
			f.bracket(e.Y)
		}
	}
}

func (f *formatter) bracket(e *Expr) {
	f.dst = append(f.dst, '[')
	f.expr(e, 1)
	f.dst = append(f.dst, ']')
}
