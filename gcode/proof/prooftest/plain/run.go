package plain

import (
	"maps"
	"strings"
)

const inch = 25.4 // mm

// reader holds what the control remembers from one line to the next.
type reader struct {
	c     Control
	lines []string
	line  int // the one that is read, from 1
	steps []Step

	at      [6]float64 // machine coordinates of the controlled point
	state   State
	par     map[int]float64
	unclear map[int]bool // parameters of which it is open what is in force

	origin  [10][6]float64 // of the systems 1 to 9
	system  int
	g92     [6]float64
	lengthZ float64
	known   [6]bool // no longer depends on where the machine stood
	afloat  [6]bool // the G92 offset was made at a place that is not known
	kept    [6]bool // and so was the one in the parameters

	inch     bool
	g91      bool
	g93      bool
	stale    bool // G94 came after G93 and no F since
	g99      bool
	plane    int // index of the axis along its normal
	motion   int // ten times the G code
	selected int
	chosen   bool // a T was given
	cycle    cycle
	comp     comp

	starts map[int]int // line at which subprogram O begins
	calls  []call
	begun  bool // a block with words was read
	ended  bool
}

type call struct{ number, back, left int }

const deepest = 8 // calls in calls

// Read returns what the machine does, up to the end of the program or to its
// first fault. The error is a *Fault.
func Read(text string, c Control) (steps []Step, err error) {
	if c.Slots == 0 {
		c.Slots = DefaultSlots
	}
	if c.Most == 0 {
		c.Most = DefaultMost
	}
	r := &reader{c: c, lines: lines(text), at: c.Start, inch: c.Inch, plane: 2, motion: 800, system: 1,
		par: map[int]float64{5220: 1}, unclear: map[int]bool{}}
	maps.Copy(r.par, c.Parameters)
	for s := 1; s <= 9; s++ {
		for i := range 6 {
			r.origin[s][i] = r.par[5201+20*s+i]
		}
	}
	for i := range 6 {
		r.g92[i] = r.par[5211+i]
	}
	r.state.Tool = c.Tool
	defer func() {
		if f, ok := recover().(*Fault); ok {
			steps, err = r.steps, f
		}
	}()
	if r.system = r.integer(r.par[5220], "parameter 5220"); r.system < 1 || r.system > 9 {
		r.fail("parameter 5220 is %d", r.system)
	}
	r.run()
	return r.steps, nil
}

// run goes through the lines. A % on the first line that is not blank has to be
// closed by another one, also after M2 (section 3.3).
func (r *reader) run() {
	open := false
	first := 0
	for first < len(r.lines) && blank(r.lines[first]) {
		first++
	}
	if first < len(r.lines) && percent(r.lines[first]) {
		open = true
		first++
	}
	last := len(r.lines)
	for i := first; i < len(r.lines); i++ {
		if percent(r.lines[i]) {
			last = i
			break
		}
	}
	if r.c.Subprograms {
		r.find(first, last)
	}
	n := 0
	for i := first; i < last && !r.ended; n++ {
		r.line = i + 1
		if n > r.c.Most {
			r.open("more than %d lines", r.c.Most)
		}
		i = r.next(i)
	}
	switch {
	case open && last == len(r.lines):
		r.fail("the %% that opens the program is not closed")
	case r.ended:
	case !open && last < len(r.lines):
		r.line = last + 1
		r.fail("a %% that was not opened")
	case !open:
		r.fail("the program does not end")
	case len(r.calls) > 0:
		r.open("the text ends in a subprogram")
	default:
		r.line = last + 1
		r.step(Step{Kind: End})
	}
}

func blank(line string) bool   { return strings.Trim(line, " \t") == "" }
func percent(line string) bool { return strings.Trim(line, " \t") == "%" }

// next executes the line with index i and returns the one to go on with.
func (r *reader) next(i int) int {
	b := r.parse(r.lines[i])
	if b.has("O") || len(b.m) > 0 && hasCall(b) {
		return r.jump(b, i)
	}
	if len(b.words)+len(b.g)+len(b.m)+len(b.set) > 0 {
		r.begun = true
	}
	r.execute(b)
	return i + 1
}

// step adds a step that starts where the machine is.
func (r *reader) step(s Step) {
	s.Line, s.From, s.State = r.line, r.at, r.state
	if !s.Kind.Moves() {
		s.To = s.From
	}
	copy(s.Known[:], r.known[:3])
	r.at = s.To
	r.steps = append(r.steps, s)
	if len(r.steps) > r.c.Most {
		r.open("more than %d steps", r.c.Most)
	}
}

func (r *reader) straight(k Kind, to [6]float64) { r.step(Step{Kind: k, To: to}) }

// scale is how many millimetres a unit of the program is.
func (r *reader) scale() float64 {
	if r.inch {
		return inch
	}
	return 1
}
