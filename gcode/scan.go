package gcode

import (
	"bytes"
	"math"
	"strconv"
	"strings"
)

// The classes of characters outside comments.
const (
	isSpace = 1 << iota
	isDigit
	isSign
	isPoint
	isWord       // letter of a word
	isLetter     // any letter
	startsNumber = isDigit | isSign | isPoint
)

var class = func() (t [256]uint8) {
	t[' '], t['\t'] = isSpace, isSpace
	for c := '0'; c <= '9'; c++ {
		t[c] = isDigit
	}
	t['+'], t['-'], t['.'] = isSign, isSign, isPoint
	for c := 'A'; c <= 'Z'; c++ {
		t[c], t[c|0x20] = isLetter, isLetter
	}
	for _, c := range "ABCDFGHIJKLMPQRSTXYZ" {
		t[c] |= isWord
		t[c|0x20] |= isWord
	}
	return t
}()

func skipSpace(text []byte, i int) int {
	for i < len(text) && class[text[i]]&isSpace != 0 {
		i++
	}
	return i
}

func upper(c byte) byte {
	if class[c]&isLetter != 0 {
		return c &^ 0x20
	}
	return c
}

// parseLine reads one line into b, whose storage it uses again.
func (r *Reader) parseLine(text []byte, b *Block) *Error {
	b.Percent, b.Delete, b.Numbered, b.Number = false, false, false, 0
	b.Words, b.Settings, b.Comments = b.Words[:0], b.Settings[:0], b.Comments[:0]
	b.raw = text
	i := skipSpace(text, 0)
	b.Pos = Pos{r.line, 1}
	if i == len(text) {
		return nil
	}
	b.Pos.Col = i + 1
	switch text[i] {
	case '%':
		if skipSpace(text, i+1) != len(text) {
			return r.fail(i+1, "%% must stand alone on its line: put the other words on a line of their own")
		}
		b.Percent = true
		return nil
	case '/':
		b.Delete = true
		i = skipSpace(text, i+1)
	}
	if i < len(text) && text[i]|0x20 == 'n' {
		var err *Error
		if i, err = r.lineNumber(text, i, b); err != nil {
			return err
		}
	}
	r.exprs = r.exprs[:0]
	for i < len(text) {
		c := text[i]
		switch {
		case class[c]&isWord != 0:
			w := b.grow()
			w.Letter, w.Pos = c&^0x20, Pos{r.line, i + 1}
			at := i
			i = skipSpace(text, i+1)
			var err *Error
			if i < len(text) && class[text[i]]&startsNumber != 0 {
				w.Value.Num, i, err = r.number(text, i)
			} else {
				w.Value, i, err = r.value(text, i, at)
			}
			if err != nil {
				return err
			}
		case class[c]&isSpace != 0:
			i++
		default:
			var err *Error
			if i, err = r.rareItem(text, i, b); err != nil {
				return err
			}
		}
	}
	return nil
}

// grow returns a new last word of the block, its value the number 0. Words are
// filled in place: copying them would cost as much as reading them.
func (b *Block) grow() *Word {
	n := len(b.Words)
	if n < cap(b.Words) {
		b.Words = b.Words[:n+1]
	} else {
		b.Words = append(b.Words, Word{})
	}
	w := &b.Words[n]
	if w.Value.Expr != nil {
		w.Value.Expr = nil
	}
	return w
}

// rareItem reads what is neither a word of the published language nor space.
func (r *Reader) rareItem(text []byte, i int, b *Block) (int, *Error) {
	c := text[i]
	switch {
	case c == '(':
		return r.comment(text, i, b)
	case c == '#':
		return r.setting(text, i, b)
	case c == ';' && r.opt.Semicolon:
		if j := badCommentByte(text[i+1:], true); j >= 0 {
			return 0, r.fail(i+2+j, "the comment holds %s, which is not a printable character: remove it", quoteByte(text[i+1+j]))
		}
		b.Comments = append(b.Comments, Comment{Text: string(text[i+1:]), Line: true, Pos: Pos{r.line, i + 1}})
		return len(text), nil
	case c == ';':
		return 0, r.fail(i+1, "a semicolon is no comment in the published language: write ( ) or allow semicolon comments for this machine")
	case c|0x20 == 'o' && r.opt.Subprograms:
		v, j, err := r.value(text, i+1, i)
		if err != nil {
			return 0, err
		}
		b.Words = append(b.Words, Word{Letter: 'O', Value: v, Pos: Pos{r.line, i + 1}})
		return j, nil
	case c|0x20 == 'n':
		return 0, r.fail(i+1, "a line number may only stand at the start of the line: move it there or leave it out")
	case class[c]&isLetter != 0:
		return 0, r.fail(i+1, "unknown word letter %q: the letters are A B C D F G H I J K L M P Q R S T X Y Z", c)
	case class[c]&startsNumber != 0:
		return 0, r.fail(i+1, "a number without a letter before it: one point and one sign at most may stand in a number")
	case c == '/':
		return 0, r.fail(i+1, "/ may only stand first on the line, or in an expression: move it to the front or remove it")
	case c == ')':
		return 0, r.fail(i+1, "a parenthesis closes that none has opened: open the comment or remove the parenthesis")
	case c == '%':
		return 0, r.fail(i+1, "%% must stand alone on its line: put the other words on a line of their own")
	}
	return 0, r.fail(i+1, "illegal character %s: remove it", quoteByte(c))
}

func quoteByte(c byte) string {
	if c >= 0x80 {
		return "byte 0x" + strconv.FormatUint(uint64(c), 16)
	}
	return strconv.QuoteRune(rune(c))
}

// lineNumber reads N and its digits; text[i] is the N.
func (r *Reader) lineNumber(text []byte, i int, b *Block) (int, *Error) {
	const maxDigits = 5 // NISTIR 6556, section 3.3.1 (from memory)
	at := i
	n, digits := 0, 0
	for i++; i < len(text); i++ {
		c := text[i]
		if class[c]&isSpace != 0 {
			continue
		}
		if class[c]&isDigit == 0 {
			break
		}
		if digits++; digits > maxDigits {
			return 0, r.fail(at+1, "a line number has at most %d digits: shorten it or leave it out", maxDigits)
		}
		n = n*10 + int(c-'0')
	}
	if digits == 0 {
		return 0, r.fail(at+1, "digits must follow N: a line number is 0 to 99999")
	}
	if i < len(text) && text[i] == '.' {
		return 0, r.fail(i+1, "a line number has no decimal point: write a whole number or leave it out")
	}
	b.Numbered, b.Number = true, n
	return i, nil
}

// badCommentByte returns where the text of a comment holds a character that it
// may not hold, or -1. NISTIR 6556, appendix E: printable, space or tab, no
// parenthesis.
func badCommentByte(text []byte, line bool) int {
	for i, c := range text {
		if c >= ' ' && c <= '~' && (line || c != '(' && c != ')') || c == '\t' {
			continue
		}
		return i
	}
	return -1
}

// comment reads a comment; text[i] is the parenthesis.
func (r *Reader) comment(text []byte, i int, b *Block) (int, *Error) {
	n := bytes.IndexByte(text[i+1:], ')')
	inner := text[i+1:]
	if n >= 0 {
		inner = inner[:n]
	}
	if j := badCommentByte(inner, false); j >= 0 {
		if c := inner[j]; c != '(' {
			return 0, r.fail(i+2+j, "the comment holds %s, which is not a printable character: remove it", quoteByte(c))
		}
		return 0, r.fail(i+2+j, "a comment inside a comment: use other brackets inside")
	}
	if n < 0 {
		return 0, r.fail(i+1, "the comment is not closed: it must end with ) on the same line")
	}
	b.Comments = append(b.Comments, Comment{Text: string(inner), Pos: Pos{r.line, i + 1}})
	return i + n + 2, nil
}

// setting reads a parameter setting; text[i] is the #.
func (r *Reader) setting(text []byte, i int, b *Block) (int, *Error) {
	at := i
	index, i, err := r.value(text, i+1, at)
	if err != nil {
		return 0, err
	}
	i = skipSpace(text, i)
	if i == len(text) || text[i] != '=' {
		return 0, r.fail(at+1, "= is missing in the parameter setting: write #1=2.5, or a letter before the # to use the parameter")
	}
	v, i, err := r.value(text, i+1, i)
	if err != nil {
		return 0, err
	}
	b.Settings = append(b.Settings, Setting{Index: index, Value: v, Pos: Pos{r.line, at + 1}})
	return i, nil
}

// value reads a real value from text[i:] and returns where it ends; at is where
// what needs the value stands.
func (r *Reader) value(text []byte, i, at int) (Value, int, *Error) {
	for i < len(text) && class[text[i]]&isSpace != 0 {
		i++
	}
	if i < len(text) && class[text[i]]&startsNumber != 0 {
		v, j, err := r.number(text, i)
		return Value{Num: v}, j, err
	}
	e, i, err := r.real(text, i, at, 0)
	if err != nil {
		return Value{}, 0, err
	}
	if e.Op == OpNumber { // [5] is 5
		return Value{Num: e.Num}, i, nil
	}
	return Value{Expr: e}, i, nil
}

var powersOfTen = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10,
	1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// exactDigits is how many decimal digits always fit a float64 without loss: the
// digits as an integer divided by a power of ten up to 1e22, both exact, is then
// the nearest number to the decimal (Clinger, "How to read floating point
// numbers accurately", 1990).
const exactDigits = 15

// number reads a number; white space inside it means nothing. A negative zero
// is read as zero.
func (r *Reader) number(text []byte, i int) (float64, int, *Error) {
	at := i
	neg := false
	if c := text[i]; class[c]&isSign != 0 {
		neg = c == '-'
		i++
	}
	var n uint64
	digits, point := 0, -1
	for ; i < len(text); i++ {
		c := text[i]
		if d := c - '0'; d <= 9 {
			n = n*10 + uint64(d)
			digits++
		} else if c == '.' && point < 0 {
			point = digits
		} else if c != ' ' && c != '\t' {
			break
		}
	}
	if digits == 0 {
		if c := text[at]; class[c]&isSign != 0 && i < len(text) && (text[i] == '#' || text[i] == '[' || class[text[i]]&isLetter != 0) {
			return 0, 0, r.fail(at+1, "a sign belongs to a number only: write [0%c...] instead", c)
		}
		return 0, 0, r.fail(at+1, "a number without digits: write the number or remove its sign or point")
	}
	v := float64(n)
	if digits > exactDigits {
		var err *Error
		if v, err = r.longNumber(text[at:i], at); err != nil {
			return 0, 0, err
		}
		return v, i, nil
	}
	if point >= 0 {
		v /= powersOfTen[digits-point]
	}
	if neg && v != 0 {
		v = -v
	}
	return v, i, nil
}

func (r *Reader) longNumber(text []byte, at int) (float64, *Error) {
	clean := make([]byte, 0, len(text))
	for _, c := range text {
		if class[c]&isSpace == 0 {
			clean = append(clean, c)
		}
	}
	v, err := strconv.ParseFloat(string(clean), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, r.fail(at+1, "the number is too large: check its decimal point")
	}
	return v + 0, nil
}

// Message returns the text for the operator, and whether the comment is one: its
// first printing characters are MSG and a comma, in any case and with any space
// between (NISTIR 6556, section 3.3.4).
func (c Comment) Message() (string, bool) {
	if c.Line {
		return "", false
	}
	before, after, ok := strings.Cut(c.Text, ",")
	if !ok || !isMessageKey(before) {
		return "", false
	}
	return after, true
}

func isMessageKey(s string) bool {
	const key = "MSG"
	n := 0
	for i := 0; i < len(s); i++ {
		if class[s[i]]&isSpace != 0 {
			continue
		}
		if n == len(key) || upper(s[i]) != key[n] {
			return false
		}
		n++
	}
	return n == len(key)
}
