package plain

import "math"

// cycle is what a canned cycle keeps while it stays in force (section 3.5.16).
type cycle struct {
	code    int
	r, z    float64 // as written, in mm
	p, q    float64
	i, j, k float64
	top     float64 // level before the first line of the series
	mixed   bool    // unit or distance mode changed since
}

const backOff = 0.010 * inch // G83, above the last bottom (from memory)

// cannedCycle does G81 to G89, and G74.
func (r *reader) cannedCycle(b *block, code int) {
	n := r.plane
	p, q := r.axes()
	first := r.cycle.code != code
	if first {
		r.cycle = cycle{code: code, top: r.at[n]}
	}
	c := &r.cycle
	if !b.has("XYZ") {
		r.fail("a cycle without X, Y or Z")
	}
	if r.comp.side != 0 {
		r.fail("a cycle under compensation")
	}
	r.leaveComp(b)
	keep := func(letter byte, at *float64, scale float64) {
		v, ok := b.words[letter]
		switch {
		case ok:
			*at = v * scale
		case first:
			r.fail("%c is missing", letter)
		case c.mixed:
			r.open("%c of a cycle kept over a change of unit or distance mode", letter)
		}
	}
	keep(axisLetters[n], &c.z, r.scale())
	keep('R', &c.r, r.scale())
	switch code {
	case 820, 860, 880, 890:
		keep('P', &c.p, 1)
	case 830:
		if keep('Q', &c.q, r.scale()); c.q <= 0 {
			r.fail("Q is not above zero")
		}
	case 870:
		if n != 2 {
			r.open("G87 in another plane")
		}
		keep('I', &c.i, r.scale())
		keep('J', &c.j, r.scale())
		keep('K', &c.k, r.scale())
	}
	repeats := 1
	if v, ok := b.words['L']; ok {
		if repeats = r.integer(v, "L"); repeats < 1 {
			r.fail("L%d", repeats)
		}
	}
	// G74 is G84 for left-hand threads, everything the other way round (common
	// practice, no source).
	taps := map[int]int{840: -1, 740: 1}[code]
	spinning := r.state.Spindle != 0 && r.state.Speed > 0
	if r.state.Spindle != 0 && r.state.Speed == 0 && (taps != 0 || code >= 860 && code != 890) {
		r.open("a cycle with a spindle that is on at speed 0")
	}
	switch {
	case taps != 0 && r.state.Spindle != taps:
		r.fail("a tapping cycle whose spindle does not turn its way")
	case (code == 860 || code == 870 || code == 880) && !spinning:
		r.fail("a boring cycle without a spindle that turns")
	}

	to, known := r.target(b, false)
	for i := 3; i < 6; i++ {
		if to[i] != r.at[i] {
			r.fail("a cycle that turns an axis")
		}
	}
	level, depth := c.r+r.shift(n), c.z+r.shift(n)
	if r.g91 {
		level = r.at[n] + c.r
		depth = level + c.z
	}
	if level < depth {
		if depth-level < near {
			r.open("R nearly at the depth")
		}
		r.fail("R below the depth")
	}
	known[n] = !r.afloat[n]
	if r.g91 {
		known[n] = r.known[n]
	}
	clear := level
	if !r.g99 {
		clear = math.Max(level, r.at[n])
		if !first && math.Abs(c.top-r.at[n]) > same && math.Max(c.top, r.at[n]) > level+same {
			r.open("G98 after G99 in one series: which level is the old one")
		}
	}

	if r.at[n] < level {
		r.along(n, level)
	}
	for rep := range repeats {
		place := r.at
		place[p], place[q] = to[p], to[q]
		if rep > 0 && r.g91 {
			place[p], place[q] = r.at[p]+r.inc(b, p), r.at[q]+r.inc(b, q)
		}
		r.straight(Rapid, place)
		r.known[p], r.known[q] = known[p], known[q]
		if r.at[n] != level {
			r.along(n, level)
		}
		r.known[n] = known[n]
		r.hole(c, n, level, depth, clear)
	}
}

// inc is the increment of an axis that one more repeat makes.
func (r *reader) inc(b *block, i int) float64 { return b.words[axisLetters[i]] * r.scale() }

func (r *reader) along(n int, to float64) { r.level(Rapid, n, to) }

func (r *reader) level(k Kind, n int, to float64) {
	p := r.at
	p[n] = to
	r.straight(k, p)
}

// hole is the cycle itself, from the retract level on.
func (r *reader) hole(c *cycle, n int, level, depth, clear float64) {
	way := r.state.Spindle
	switch c.code {
	case 830:
		r.pecks(c, n, level, depth, clear)
		return
	case 870:
		r.backBore(c, depth, clear)
		return
	}
	r.level(Feed, n, depth)
	switch c.code {
	case 810:
		r.along(n, clear)
	case 820:
		r.dwell(c.p)
		r.along(n, clear)
	case 840, 740:
		r.turn(0)
		r.turn(-way)
		r.level(Feed, n, clear)
		r.turn(0)
		r.turn(way)
	case 850:
		r.level(Feed, n, clear)
	case 860:
		r.dwell(c.p)
		r.turn(0)
		r.along(n, clear)
		r.turn(way)
	case 880:
		r.dwell(c.p)
		r.turn(0)
		r.step(Step{Kind: Stop})
		r.open("where the operator leaves the tool in a G88")
	case 890:
		r.dwell(c.p)
		r.level(Feed, n, clear)
	}
}

func (r *reader) pecks(c *cycle, n int, level, depth, clear float64) {
	for bottom := level; ; {
		next := bottom - c.q
		if next < depth+same {
			next = depth
		}
		r.level(Feed, n, next)
		r.along(n, clear)
		if next == depth {
			return
		}
		bottom = next
		// The way back is one down: a level above the tool's is no move.
		if bottom+backOff < clear {
			r.along(n, bottom+backOff)
		}
	}
}

func (r *reader) backBore(c *cycle, depth, clear float64) {
	way := r.state.Spindle
	x, y := r.at[0], r.at[1]
	aside := func(dx, dy float64) {
		p := r.at
		p[0], p[1] = x+dx, y+dy
		r.straight(Rapid, p)
	}
	up := c.k + r.shift(2)
	if r.g91 {
		up = depth + c.k
	}
	if up < depth || up > clear {
		r.open("a back bore to beyond depth or retract level")
	}
	aside(c.i, c.j)
	r.turn(0)
	r.along(2, depth)
	aside(0, 0)
	r.turn(way)
	r.level(Feed, 2, up)
	r.level(Feed, 2, depth)
	r.turn(0)
	aside(c.i, c.j)
	r.along(2, clear)
	aside(0, 0)
	r.turn(way)
}
