package plain

import "strings"

// block is one line, its values worked out.
type block struct {
	words map[byte]float64 // all but G, M, N
	g     map[int]int      // ten times the G code by modal group
	m     map[int]int      // M codes by modal group
	set   []setting
}

type setting struct {
	n int
	v float64
}

func (b *block) has(letters string) bool {
	for i := range len(letters) {
		if _, ok := b.words[letters[i]]; ok {
			return true
		}
	}
	return false
}

// lines parts a text where a line ends: CR, LF or both (section 3.3).
func lines(text string) []string {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	return strings.Split(strings.ReplaceAll(text, "\r", "\n"), "\n")
}

const longest = 256 // characters in a line

// strip takes comments and white space out of a line and makes capitals of it. A
// comment becomes a blank that the parser passes over.
func (r *reader) strip(line string) string {
	if len(line) > longest {
		r.fail("line longer than %d characters", longest)
	}
	var s strings.Builder
	comment := false
	for i := range len(line) {
		c := line[i]
		switch {
		case c != '\t' && c < ' ' || c == 0x7f:
			r.fail("control character")
		case c > 0x7f:
			r.open("character that is not ASCII")
		case comment:
			if c == '(' {
				r.fail("comment in a comment")
			}
			comment = c != ')'
		case c == '(':
			comment = true
			s.WriteByte(' ')
		case c == ';' && r.c.Semicolon:
			return s.String()
		case c == ' ' || c == '\t':
		case c >= 'a' && c <= 'z':
			s.WriteByte(c - 'a' + 'A')
		default:
			s.WriteByte(c)
		}
	}
	if comment {
		r.fail("comment is not closed")
	}
	return s.String()
}

// parse reads a line (section 3.3).
func (r *reader) parse(line string) *block {
	t := &rest{r, r.strip(line)}
	b := &block{words: map[byte]float64{}, g: map[int]int{}, m: map[int]int{}}
	if t.take("/") && r.c.Delete {
		return b
	}
	if t.take("N") {
		n := 0
		for n < len(t.s) && t.s[n] >= '0' && t.s[n] <= '9' {
			n++
		}
		if n < 1 || n > 5 {
			r.fail("line number of %d digits", n)
		}
		t.s = t.s[n:]
	}
	codes := 0
	for t.s != "" {
		c := t.s[0]
		t.s = t.s[1:]
		switch {
		case c == ' ':
		case c == '#':
			n := t.index()
			t.need("=")
			b.set = append(b.set, setting{n, t.value()})
		case c == 'G':
			code := r.integer(10*t.value(), "ten times a G code")
			add(r, b.g, r.gGroup(code), code, "G")
		case c == 'M':
			codes++
			code := r.integer(t.value(), "an M code")
			add(r, b.m, r.mGroup(code), code, "M")
		case strings.IndexByte("ABCDFHIJKLPQRSTXYZ", c) >= 0 || c == 'O' && r.c.Subprograms:
			if _, twice := b.words[c]; twice {
				r.fail("two words %c", c)
			}
			b.words[c] = t.value()
		default:
			r.fail("%q has no place there", c)
		}
	}
	if codes > 4 {
		r.fail("more than four M words")
	}
	return b
}

func add(r *reader, to map[int]int, group, code int, letter string) {
	if _, twice := to[group]; twice {
		r.fail("two %s codes of one group", letter)
	}
	to[group] = code
}

// Modal groups (section 3.4).
const (
	once     = 0 // not modal
	motion   = 1
	plane    = 2
	distance = 3
	feedMode = 5
	unit     = 6
	radius   = 7
	length   = 8
	retract  = 10
	system   = 12
	path     = 13

	stopping = 4
	change   = 6
	spindle  = 7
	coolant  = 8
	override = 9
	calls    = 100 // subprograms
)

func (r *reader) gGroup(code int) int {
	switch code {
	case 40, 100, 280, 300, 530, 920, 921, 922, 923:
		return once
	case 0, 10, 20, 30, 382, 800, 810, 820, 830, 840, 850, 860, 870, 880, 890:
		return motion
	case 740:
		if r.c.Tapping {
			return motion
		}
	case 331, 730:
		if code == 331 && r.c.Tapping || code == 730 && r.c.Chips {
			r.open("G%v, which nothing published describes", float64(code)/10)
		}
	case 170, 180, 190:
		return plane
	case 900, 910:
		return distance
	case 930, 940:
		return feedMode
	case 200, 210:
		return unit
	case 400, 410, 420:
		return radius
	case 430, 490:
		return length
	case 980, 990:
		return retract
	case 540, 550, 560, 570, 580, 590, 591, 592, 593:
		return system
	case 610, 611, 640:
		return path
	}
	r.fail("no code G%v", float64(code)/10)
	return 0
}

func (r *reader) mGroup(code int) int {
	switch code {
	case 0, 1, 2, 30, 60:
		return stopping
	case 6:
		return change
	case 3, 4, 5:
		return spindle
	case 7, 8, 9:
		return coolant
	case 48, 49:
		return override
	case 98, 99:
		if r.c.Subprograms {
			return calls
		}
	}
	r.fail("no code M%d", code)
	return 0
}
