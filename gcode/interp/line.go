package interp

import (
	"fmt"
	"math"

	"proofcut/gcode"
)

// line is what the words of the block in hand come to.
type line struct {
	block *gcode.Block
	mask  letters
	val   [26]float64 // by letter, where mask has it

	gmask  uint32 // which groups are on the line
	g      [groups]int
	gIndex [groups]int // of the word
	mmask  uint32
	m      [mGroups]int
	mIndex [mGroups]int
	mCount int

	motion int // the motion to perform, noMotion for none

	settings []setting
}

type setting struct {
	n int
	v float64
}

const noMotion = -1

// letters is a set of word letters.
type letters uint32

const (
	hasA letters = 1 << iota
	hasB
	hasC
	hasD
	_
	hasF
	_
	hasH
	hasI
	hasJ
	hasK
	hasL
	_
	_
	hasO
	hasP
	hasQ
	hasR
	hasS
	hasT
	_
	_
	_
	hasX
	hasY
	hasZ

	linearAxes = hasX | hasY | hasZ
	rotaryAxes = hasA | hasB | hasC
	allAxes    = linearAxes | rotaryAxes
	notSigned  = hasD | hasF | hasH | hasL | hasO | hasP | hasS | hasT // must not be negative
	withUser   = hasD | hasH | hasI | hasJ | hasK | hasL | hasP | hasQ | hasR
)

// axisLetters are the axis words in the order of positions.
var axisLetters = [6]byte{'X', 'Y', 'Z', 'A', 'B', 'C'}

func (l *line) hasG(group int) bool     { return l.gmask&(1<<group) != 0 }
func (l *line) hasM(group int) bool     { return l.mmask&(1<<group) != 0 }
func (l *line) has(m letters) bool      { return l.mask&m != 0 }
func (l *line) value(c byte) float64    { return l.val[c-'A'] }
func (l *line) nonModal(codes int) bool { return l.hasG(groupNone) && l.g[groupNone] == codes }

// takesAxes reports whether a code that is not modal takes the axis words.
func (l *line) takesAxes() bool {
	if !l.hasG(groupNone) {
		return false
	}
	switch l.g[groupNone] {
	case g10, g28, g30, g92:
		return true
	}
	return false
}

// fail returns an error at the start of the block.
func (ip *interpreter) fail(format string, args ...any) error {
	return ip.errorAt(ip.ev.Pos, format, args...)
}

// failAt returns an error at the first word with the letter.
func (ip *interpreter) failAt(letter byte, format string, args ...any) error {
	pos := ip.ev.Pos
	if b := ip.line.block; b != nil {
		if w := b.Word(letter); w != nil {
			pos = w.Pos
		}
	}
	return ip.errorAt(pos, format, args...)
}

// failG returns an error at the G word of the group on the line, or at the block
// if the code is only in force.
func (ip *interpreter) failG(group int, format string, args ...any) error {
	pos := ip.ev.Pos
	if l := &ip.line; l.hasG(group) {
		pos = l.block.Words[l.gIndex[group]].Pos
	}
	return ip.errorAt(pos, format, args...)
}

func (ip *interpreter) failM(group int, format string, args ...any) error {
	pos := ip.ev.Pos
	if l := &ip.line; l.hasM(group) {
		pos = l.block.Words[l.mIndex[group]].Pos
	}
	return ip.errorAt(pos, format, args...)
}

func (ip *interpreter) errorAt(pos gcode.Pos, format string, args ...any) error {
	return &gcode.Error{File: ip.src.Name(), Pos: pos, Msg: fmt.Sprintf(format, args...)}
}

// collect evaluates the words and settings of the block and sorts them.
func (ip *interpreter) collect(b *gcode.Block) error {
	l := &ip.line
	l.mask, l.gmask, l.mmask, l.mCount = 0, 0, 0, 0
	for i := range b.Words {
		w := &b.Words[i]
		v := w.Value.Num
		if w.Value.Expr != nil {
			var err error
			if v, err = ip.evaluate(w.Value, w.Pos); err != nil {
				return err
			}
		}
		switch w.Letter {
		case 'G':
			if err := ip.gWord(w, v, i); err != nil {
				return err
			}
		case 'M':
			if err := ip.mWord(w, v, i); err != nil {
				return err
			}
		default:
			n := w.Letter - 'A'
			if n >= 26 || math.IsNaN(v) || math.IsInf(v, 0) {
				return ip.errorAt(w.Pos, "%q is no word with a number: remove it", w.Letter)
			}
			if l.mask&(1<<n) != 0 {
				return ip.errorAt(w.Pos, "the letter %c stands twice in the block: only G and M may", w.Letter)
			}
			l.mask |= 1 << n
			l.val[n] = v
		}
	}
	if l.has(notSigned) {
		for _, c := range [...]byte{'D', 'F', 'H', 'L', 'O', 'P', 'S', 'T'} {
			if l.has(1<<(c-'A')) && l.val[c-'A'] < 0 {
				return ip.failAt(c, "%c%v: the number must not be negative", c, l.val[c-'A'])
			}
		}
	}
	if len(b.Settings) > 0 {
		return ip.collectSettings(b)
	}
	return nil
}

// collectSettings evaluates the settings, then makes them: none sees another.
func (ip *interpreter) collectSettings(b *gcode.Block) error {
	l := &ip.line
	l.settings = l.settings[:0]
	if ip.o.Lacks.Parameters {
		return ip.errorAt(b.Settings[0].Pos, "this machine has no parameters: write the numbers themselves")
	}
	for _, s := range b.Settings {
		index, err := ip.evaluate(s.Index, s.Pos)
		if err != nil {
			return err
		}
		n, ok := gcode.Integer(index)
		if !ok || n < gcode.FirstParameter || n > gcode.LastParameter {
			return ip.errorAt(s.Pos, "parameter number %v is not an integer from %d to %d: correct the number after #",
				index, gcode.FirstParameter, gcode.LastParameter)
		}
		v, err := ip.evaluate(s.Value, s.Pos)
		if err != nil {
			return err
		}
		if isPosition(n) && !(math.Abs(v)*ip.scale <= maxLength) {
			return ip.errorAt(s.Pos, "parameter %d holds a place: %v is out of range", n, v)
		}
		l.settings = append(l.settings, setting{n, v})
	}
	for _, s := range l.settings {
		ip.setParameter(s.n, s.v)
	}
	return nil
}

// evaluate returns the value; pos is of the word or setting that holds it.
func (ip *interpreter) evaluate(v gcode.Value, pos gcode.Pos) (float64, error) {
	if e := v.Expr; e != nil {
		if ip.o.Lacks.Expressions && e.Op != gcode.OpParameter {
			return 0, ip.errorAt(pos, "this machine has no expressions: write the number itself")
		}
		if ip.o.Lacks.Parameters && usesParameter(e) {
			return 0, ip.errorAt(pos, "this machine has no parameters: write the number itself")
		}
	}
	x, err := v.Eval(ip.parameter)
	if err != nil {
		return 0, err
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, ip.errorAt(pos, "%v is not a number that a program can say: correct the expression", x)
	}
	return x, nil
}

func usesParameter(e *gcode.Expr) bool {
	return e != nil && (e.Op == gcode.OpParameter || usesParameter(e.X) || usesParameter(e.Y))
}

func (ip *interpreter) gWord(w *gcode.Word, v float64, index int) error {
	if !(v >= 0) {
		return ip.errorAt(w.Pos, "G%v: a G code is not negative", v)
	}
	if v > 99.9+gcode.IntegerTolerance {
		return ip.errorAt(w.Pos, "G%v: a G code is 99.9 at most", v)
	}
	n, ok := int(v*10+0.5), true
	if d := v*10 - float64(n); d > gcode.IntegerTolerance || d < -gcode.IntegerTolerance {
		ok = false
	}
	group := int8(notDefined)
	if ok {
		group = ip.allowedG[n]
	}
	if group < 0 {
		return ip.codeError(w, v, group)
	}
	l := &ip.line
	if l.hasG(int(group)) {
		first := l.block.Words[l.gIndex[group]].Pos
		return ip.errorAt(w.Pos, "G%v and the G code at column %d are of one modal group: put them on two blocks", v, first.Col)
	}
	l.gmask |= 1 << group
	l.g[group], l.gIndex[group] = n, index
	return nil
}

func (ip *interpreter) mWord(w *gcode.Word, v float64, index int) error {
	const maxM = 4 // NISTIR 6556, section 3.3.5 (from memory)
	if v < 0 {
		return ip.errorAt(w.Pos, "M%v: an M code is not negative", v)
	}
	n, ok := gcode.Integer(v)
	if !ok {
		return ip.errorAt(w.Pos, "M%v: an M code is an integer", v)
	}
	if n > 99 {
		return ip.errorAt(w.Pos, "M%v: an M code is 99 at most", v)
	}
	group := ip.allowedM[n]
	if group < 0 {
		return ip.codeError(w, v, group)
	}
	l := &ip.line
	if l.hasM(int(group)) {
		first := l.block.Words[l.mIndex[group]].Pos
		return ip.errorAt(w.Pos, "M%v and the M code at column %d are of one modal group: put them on two blocks", v, first.Col)
	}
	if l.mCount++; l.mCount > maxM {
		return ip.errorAt(w.Pos, "more than %d M codes in a block: put them on two blocks", maxM)
	}
	l.mmask |= 1 << group
	l.m[group], l.mIndex[group] = n, index
	return nil
}

func (ip *interpreter) codeError(w *gcode.Word, v float64, why int8) error {
	switch why {
	case lacking:
		return ip.errorAt(w.Pos, "this machine has no %c%v: leave it out or split the program there", w.Letter, v)
	case notAllowed:
		return ip.errorAt(w.Pos, "%c%v is beyond the published language and not switched on for this machine: switch it on in the machine's control if it has it, or write the published words", w.Letter, v)
	}
	return ip.errorAt(w.Pos, "unknown code %c%v: correct or remove it", w.Letter, v)
}
