package interp

import "proofcut/gcode"

// Words is a block as the control understands it, its values worked out, before
// anything of it is executed. It is good during the call of Options.Watch only.
type Words struct{ l *line }

// Pos returns where the block begins.
func (w Words) Pos() gcode.Pos { return w.l.block.Pos }

// Has reports whether the block has one of the words with the letters (upper
// case, G, M and N aside).
func (w Words) Has(letters string) bool {
	for i := range len(letters) {
		if c := letters[i]; c >= 'A' && c <= 'Z' && w.l.mask&(1<<(c-'A')) != 0 {
			return true
		}
	}
	return false
}

// Value returns the number of the word with the letter, in the program's unit; 0
// when there is none.
func (w Words) Value(letter byte) float64 {
	if letter < 'A' || letter > 'Z' || w.l.mask&(1<<(letter-'A')) == 0 {
		return 0
	}
	return w.l.val[letter-'A']
}

// At returns where the first word with the letter stands, the block when there
// is none.
func (w Words) At(letter byte) gcode.Pos {
	if v := w.l.block.Word(letter); v != nil {
		return v.Pos
	}
	return w.l.block.Pos
}

// G reports whether the block has a G code, given as ten times its number.
func (w Words) G(code int) bool {
	for group := range w.l.g {
		if w.l.hasG(group) && w.l.g[group] == code {
			return true
		}
	}
	return false
}

// M reports whether the block has an M code.
func (w Words) M(code int) bool {
	for group := range w.l.m {
		if w.l.hasM(group) && w.l.m[group] == code {
			return true
		}
	}
	return false
}

// Motion returns ten times the G code of the motion that the block makes, by a
// code of its own or by the mode in force; ok is false when it makes none.
func (w Words) Motion() (code int, ok bool) { return w.l.motion, w.l.motion != noMotion }

// Cycle reports whether the block makes a canned cycle.
func (w Words) Cycle() bool { return isCycle(w.l.motion) }

// Plain reports whether the block is a line or an arc with centre offsets, at
// the feed in force or another, and nothing else.
func (w Words) Plain() bool {
	const plain = hasX | hasY | hasZ | hasI | hasJ | hasK | hasF
	l := w.l
	return l.mask&^plain == 0 && l.gmask&^(1<<groupMotion) == 0 && l.mmask == 0 && l.motion >= g0 && l.motion <= g3
}
