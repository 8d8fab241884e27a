package plain

import "math"

const axisLetters = "XYZABC"

// needs says what a block asks for, once it is known that its words go together.
type needs struct {
	once   int // code of group 0, -1 for none
	motion int // code of the motion that is made, -1 for none
}

// check holds the words of a block against each other (sections 3.3.5, 3.5 and 4):
// who takes the axis words, and whether every word has somebody who takes it.
func (r *reader) check(b *block) needs {
	n := needs{-1, -1}
	if c, ok := b.g[once]; ok {
		n.once = c
	}
	axes := b.has(axisLetters)
	takes := n.once == 100 || n.once == 280 || n.once == 300 || n.once == 920
	written, isWritten := b.g[motion]
	switch {
	case isWritten && written != 800 && takes:
		r.fail("two codes for the axis words")
	case isWritten && written != 800 && !axes:
		r.fail("a motion without axis words")
	case axes && !takes:
		if n.motion = r.motion; isWritten {
			n.motion = written
		}
		if n.motion == 800 {
			r.fail("axis words under G80")
		}
	}
	if n.once == 920 && !axes {
		r.fail("G92 without axis words")
	}
	if n.once == 530 && n.motion != 0 && n.motion != 10 {
		r.fail("G53 without G0 or G1")
	}
	cycles := isCycle(n.motion)
	arc := n.motion == 20 || n.motion == 30
	dwells := n.motion == 820 || n.motion == 860 || n.motion == 880 || n.motion == 890
	if n.once == 40 && dwells && b.has("P") {
		r.open("P for G4 and for a cycle")
	}
	code7 := b.g[radius]
	for _, u := range []struct {
		letters string
		used    bool
	}{
		{"D", code7 == 410 || code7 == 420},
		{"H", b.g[length] == 430},
		{"IJK", arc || n.motion == 870},
		{"L", cycles || n.once == 100},
		{"P", dwells || n.once == 40 || n.once == 100},
		{"Q", n.motion == 830},
		{"R", arc || cycles},
	} {
		if b.has(u.letters) && !u.used {
			r.fail("nothing takes %s", u.letters)
		}
	}
	for _, letter := range []byte("DFHPSTL") {
		if b.words[letter] < 0 {
			r.fail("%c below zero", letter)
		}
	}
	return n
}

// isCycle reports whether a motion code is that of a canned cycle.
func isCycle(code int) bool { return code >= 810 || code == 740 }

// execute does a block in the published order (section 3.8).
func (r *reader) execute(b *block) {
	n := r.check(b)
	for _, s := range b.set {
		r.assign(s.n, s.v)
	}
	r.feed(b)
	if v, ok := b.words['S']; ok {
		changed := v != r.state.Speed
		if r.state.Speed = v; changed {
			r.step(Step{Kind: Switch})
		}
	}
	if v, ok := b.words['T']; ok {
		if r.selected = r.integer(v, "T"); r.selected > r.c.Slots {
			r.fail("there is no slot %d", r.selected)
		}
		r.chosen = true
	}
	r.switches(b)
	if n.once == 40 {
		v, ok := b.words['P']
		if !ok {
			r.fail("G4 without P")
		}
		r.dwell(v)
	}
	r.modes(b, n)
	switch n.once {
	case 100:
		r.setSystem(b)
	case 280, 300:
		r.home(b, 5161+n.once-280)
	case 920, 921, 922, 923:
		r.offsets(b, n.once)
	}
	if c, ok := b.g[motion]; ok {
		if c != r.motion {
			r.cycle = cycle{}
		}
		r.motion = c
	}
	if n.motion >= 0 {
		r.move(b, n)
	}
	if c, ok := b.m[stopping]; ok {
		if c == 2 || c == 30 {
			r.ended = true
			r.step(Step{Kind: End})
		} else {
			r.step(Step{Kind: Stop})
		}
	}
}

// feed does G93, G94 and F.
func (r *reader) feed(b *block) {
	if c, ok := b.g[feedMode]; ok {
		if c == 940 && r.g93 {
			r.stale = true
		}
		r.g93 = c == 930
	}
	r.state.Inverse = r.g93
	if v, ok := b.words['F']; ok {
		r.stale = false
		r.state.Rate = v
		if !r.g93 {
			r.state.Rate *= r.scale()
		}
	}
}

func (r *reader) dwell(p float64) {
	if r.c.Milliseconds {
		p /= 1000
	}
	r.step(Step{Kind: Dwell, Seconds: p})
}

// switches does M6, spindle and coolant.
func (r *reader) switches(b *block) {
	if _, ok := b.m[change]; ok {
		if !r.chosen {
			r.open("M6 without a T before")
		}
		r.step(Step{Kind: Change})
		r.state.Tool = r.selected
		r.turn(0)
	}
	if c, ok := b.m[spindle]; ok {
		r.turn(map[int]int{3: -1, 4: 1}[c])
	}
	if c, ok := b.m[coolant]; ok {
		r.state.Mist = c == 7 || c == 8 && r.state.Mist
		r.state.Flood = c == 8 || c == 7 && r.state.Flood
		r.step(Step{Kind: Switch})
	}
}

func (r *reader) turn(way int) {
	if way != r.state.Spindle {
		r.state.Spindle = way
		r.step(Step{Kind: Switch})
	}
}

// modes does the codes between the dwell and the offsets.
func (r *reader) modes(b *block, n needs) {
	was := r.plane
	if c, ok := b.g[plane]; ok {
		r.plane = map[int]int{170: 2, 180: 1, 190: 0}[c]
		if r.comp.side != 0 && r.plane != 2 {
			r.fail("another plane under compensation")
		}
	}
	if r.plane != was {
		r.cycle = cycle{}
	}
	if c, ok := b.g[unit]; ok {
		if r.comp.side != 0 {
			r.fail("unit under compensation")
		}
		if r.cycle.code != 0 && r.inch != (c == 200) {
			r.cycle.mixed = true
		}
		r.inch = c == 200
		r.state.UnitSet = true
	}
	if c, ok := b.g[radius]; ok {
		r.compensate(b, c)
	}
	switch b.g[length] {
	case 430:
		v, ok := b.words['H']
		if !ok {
			r.fail("G43 without H")
		}
		h := r.integer(v, "H")
		if h > r.c.Slots {
			r.fail("there is no slot %d", h)
		}
		r.lengthZ, r.state.Index = r.c.Tools[h].Length, h
		if h == 0 {
			r.lengthZ = 0
		}
	case 490:
		r.lengthZ, r.state.Index = 0, 0
	}
	if c, ok := b.g[system]; ok {
		if r.comp.side != 0 {
			r.fail("another system under compensation")
		}
		r.selectSystem(c)
	}
	if c, ok := b.g[distance]; ok {
		if r.cycle.code != 0 && r.g91 != (c == 910) {
			r.cycle.mixed = true
		}
		r.g91 = c == 910
		r.state.Distance = true
	}
	if c, ok := b.g[retract]; ok {
		r.g99 = c == 990
	}
	if n.once == 530 {
		if r.g91 {
			r.fail("G53 under G91")
		}
		if r.comp.side != 0 {
			r.fail("G53 under compensation")
		}
	}
}

// axis returns the word of axis i in millimetres or degrees, if there is one.
func (r *reader) axis(b *block, i int) (v float64, ok bool) {
	v, ok = b.words[axisLetters[i]]
	if i < 3 {
		v *= r.scale()
	}
	return v, ok
}

// target returns where the axis words lead, and which axes they leave known.
func (r *reader) target(b *block, machine bool) ([6]float64, [6]bool) {
	to, known := r.at, r.known
	to[0], to[1] = r.programmedAt(0), r.programmedAt(1)
	r.settled()
	for i := range 6 {
		v, ok := r.axis(b, i)
		if !ok {
			continue
		}
		switch {
		case machine:
			to[i], known[i] = v, true
		case r.g91:
			to[i] = r.programmedAt(i) + v
		default:
			to[i], known[i] = v+r.shift(i), !r.afloat[i]
		}
		if math.Abs(to[i]) > 1e6 {
			r.open("a place a kilometre away")
		}
	}
	return to, known
}
