package proof

import (
	"fmt"

	"proofcut/gcode/interp"
)

var ruleKept = Rule{
	Name:     "kept-words",
	Severity: Caution,
	Reason:   "A cycle keeps the words of its first block. After a change between G90 and G91 or G20 and G21 the same numbers mean another place, and controls differ in which.",
	watch:    func() watcher { return &keptWatch{} },
}

// sense is what gives the number of a word its meaning.
type sense struct {
	relative, inch bool
}

func (s sense) String() string {
	d, u := "G90", "G21"
	if s.relative {
		d = "G91"
	}
	if s.inch {
		u = "G20"
	}
	return d + " " + u
}

// keptWatch remembers under which modes the words of the cycle in force were given.
type keptWatch struct {
	noEnd
	code  int // of the cycle, 0: none is in force
	plane interp.Plane
	given map[byte]sense
}

// keptLetters are the words that a cycle keeps and that are lengths, in the
// order in which they are reported.
const keptLetters = "XYZRQIJK"

func (*keptWatch) see(*checker, *interp.Event, *motion) {}

func (w *keptWatch) block(c *checker, b interp.Words, s *interp.State) {
	code, moves := b.Motion()
	if b.G(800) || moves && !b.Cycle() {
		w.code = 0
	}
	if !b.Cycle() {
		return
	}
	now := sense{s.Relative, s.Inch}
	switch {
	case b.G(900):
		now.relative = false
	case b.G(910):
		now.relative = true
	}
	switch {
	case b.G(200):
		now.inch = true
	case b.G(210):
		now.inch = false
	}
	plane := s.Plane
	for i, g := range []int{170, 180, 190} {
		if b.G(g) {
			plane = interp.Plane(i)
		}
	}
	if code != w.code || plane != w.plane {
		w.code, w.plane, w.given = code, plane, map[byte]sense{}
	}
	depth := [...]byte{'Z', 'Y', 'X'}[plane]
	for i := range len(keptLetters) {
		l := keptLetters[i]
		if l <= 'Z' && l >= 'X' && l != depth {
			continue // places in the plane are not kept
		}
		if b.Has(string(l)) {
			w.given[l] = now
			continue
		}
		was, kept := w.given[l]
		if !kept || was.inch == now.inch && (was.relative == now.relative || l == 'Q' || l == 'I' || l == 'J') {
			continue
		}
		w.given[l] = now // said once
		c.findWord(b.Pos(), "the cycle keeps its %c word, given under %s, and now runs under %s: give %s again", l, was, now, fmt.Sprintf("%c", l))
	}
}
