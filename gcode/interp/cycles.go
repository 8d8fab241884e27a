package interp

import (
	"math"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// peckClearance is how far above the last bottom a peck begins: 0.010 inch
// (NISTIR 6556, section 3.5.16.4, from memory). G73 backs off by as much.
const peckClearance = 0.254

// cycle is what a canned cycle keeps from line to line while it stays in force,
// in millimetres as far as they are lengths, and the hole in hand.
type cycle struct {
	code  int // 0: nothing is kept
	plane Plane

	z, r, p, q    float64 // as programmed
	shift         [2]float64
	level         float64 // of G87
	bottom, top   float64 // of the hole in hand: Z and R levels
	clear         float64
	backwardLevel float64
}

// cycleWords are the letters of cycles in one plane.
type cycleWords struct {
	drill  byte    // axis word of the hole's depth
	shift  [2]byte // offset words along the plane's axes, in the order of Plane.axes
	height byte    // the third
}

var cyclePlanes = [...]cycleWords{
	XY: {'Z', [2]byte{'I', 'J'}, 'K'},
	ZX: {'Y', [2]byte{'K', 'I'}, 'J'},
	YZ: {'X', [2]byte{'J', 'K'}, 'I'},
}

// drill executes the canned cycles.
func (ip *interpreter) drill() error {
	l := &ip.line
	if err := ip.checkCycle(); err != nil {
		return err
	}
	if err := ip.sticky(); err != nil {
		return err
	}
	repeats := 1
	if l.has(hasL) {
		n, ok := gcode.Integer(l.value('L'))
		if !ok || n < 1 {
			return ip.failAt('L', "L%v: the repeats of a cycle are an integer above 0", l.value('L'))
		}
		if n > ip.o.Limits.Repeats {
			return ip.failAt('L', "L%d: more than %d repeats: raise the limit if the program is meant so", n, ip.o.Limits.Repeats)
		}
		repeats = n
	}
	a, b, n := ip.st.Plane.axes()
	cy := &ip.cycle
	old := ip.pos[n]
	if err := ip.levels(old, n); err != nil {
		return err
	}
	if old < cy.top { // once a line
		if err := ip.along(Traverse, n, cy.top); err != nil {
			return err
		}
	}
	for range repeats {
		var to [6]float64
		if err := ip.target(&to); err != nil {
			return err
		}
		to[n] = ip.pos[n]
		if to[a] != ip.pos[a] || to[b] != ip.pos[b] {
			if err := ip.move(Traverse, &to); err != nil {
				return err
			}
		}
		if err := ip.along(Traverse, n, cy.top); err != nil {
			return err
		}
		if err := ip.hole(n); err != nil {
			return err
		}
	}
	return nil
}

// checkCycle refuses what no cycle can do.
func (ip *interpreter) checkCycle() error {
	l := &ip.line
	if !l.has(linearAxes) {
		return ip.failG(groupMotion, "the cycle has none of X, Y and Z: say where the hole is")
	}
	if ip.comp.on {
		return ip.failG(groupMotion, "cycles are not possible while radius compensation is on: write G40 before")
	}
	if ip.st.InverseTime {
		return ip.failG(groupMotion, "cycles are not possible under G93: write G94 before")
	}
	if l.has(rotaryAxes) {
		var to [6]float64
		if err := ip.target(&to); err != nil {
			return err
		}
		for i := 3; i < 6; i++ {
			if to[i] != ip.pos[i] {
				return ip.failAt(axisLetters[i], "a rotary axis would move in the cycle: bring it there before")
			}
		}
	}
	return ip.needFeed()
}

// sticky takes the words of the line into what the cycle keeps. What the cycle
// needs and neither the line nor an earlier line of the same cycle in the same
// plane has given is an error.
func (ip *interpreter) sticky() error {
	l := &ip.line
	cy := &ip.cycle
	w := &cyclePlanes[ip.st.Plane]
	code := l.motion
	fresh := cy.code != code || cy.plane != ip.st.Plane
	if fresh {
		*cy = cycle{}
	}
	take := func(dst *float64, c byte, scale float64, needed bool, what string) error {
		if l.has(1 << (c - 'A')) {
			v := l.value(c) * scale
			if !(math.Abs(v) <= maxLength) {
				return ip.failAt(c, "%c%v is out of range: check its decimal point and unit", c, l.value(c))
			}
			*dst = v
			return nil
		}
		if fresh && needed {
			return ip.failG(groupMotion, "the cycle has no %c word, %s: the first block of a cycle needs it", c, what)
		}
		return nil
	}
	back := code == g87
	for _, err := range [...]error{
		take(&cy.z, w.drill, ip.scale, true, "the depth"),
		take(&cy.r, 'R', ip.scale, true, "the retract level"),
		take(&cy.p, 'P', 1, usesDwell(code), "the dwell"),
		take(&cy.q, 'Q', ip.scale, usesPeck(code), "the depth of a peck"),
		take(&cy.shift[0], w.shift[0], ip.scale, back, "the way aside"),
		take(&cy.shift[1], w.shift[1], ip.scale, back, "the way aside"),
		take(&cy.level, w.height, ip.scale, back, "the level to bore up to"),
	} {
		if err != nil {
			*cy = cycle{}
			return err
		}
	}
	if usesPeck(code) && cy.q <= 0 {
		return ip.failAt('Q', "Q%v: the depth of a peck must be above zero", l.value('Q'))
	}
	switch code {
	case g84:
		if ip.st.SpindleTurn != geom.CW {
			return ip.failG(groupMotion, "the spindle must turn clockwise for G84: write M3 before")
		}
	case g74:
		if ip.st.SpindleTurn != geom.CCW {
			return ip.failG(groupMotion, "the spindle must turn counter-clockwise for G74: write M4 before")
		}
	case g86, g87, g88:
		if ip.st.SpindleTurn == geom.Straight {
			return ip.failG(groupMotion, "the spindle must turn for G%d: write M3 or M4 before", code/10)
		}
	}
	cy.code, cy.plane = code, ip.st.Plane
	return nil
}

// levels finds the heights of the holes of a line that begins at the level old
// of the axis n.
func (ip *interpreter) levels(old float64, n int) error {
	cy := &ip.cycle
	if ip.st.Relative {
		cy.top = old + cy.r
		cy.bottom = cy.top + cy.z
		cy.backwardLevel = cy.bottom + cy.level
	} else {
		cy.top = cy.r + ip.st.Offset[n]
		cy.bottom = cy.z + ip.st.Offset[n]
		cy.backwardLevel = cy.level + ip.st.Offset[n]
		ip.st.Placed[n] = true
	}
	if cy.top < cy.bottom {
		return ip.failG(groupMotion, "the retract level R lies below the depth %c of the hole: raise R or correct the depth", cyclePlanes[ip.st.Plane].drill)
	}
	if !(math.Abs(cy.top) <= maxLength && math.Abs(cy.bottom) <= maxLength) {
		return ip.failG(groupMotion, "the levels of the cycle are out of range: check the decimal points of its words")
	}
	if cy.code == g87 && !(cy.backwardLevel >= cy.bottom && cy.backwardLevel <= cy.top) {
		return ip.failG(groupMotion, "the level to bore up to (%c) must lie between the depth and the retract level: correct it", cyclePlanes[ip.st.Plane].height)
	}
	cy.clear = cy.top
	if !ip.st.RetractR {
		cy.clear = math.Max(old, cy.top)
	}
	return nil
}

// along moves the axis n to the level; a move of no length is left out.
func (ip *interpreter) along(kind Kind, n int, level float64) error {
	if ip.pos[n] == level {
		return nil
	}
	to := ip.pos
	to[n] = level
	return ip.move(kind, &to)
}

// aside moves in the plane of the hole by the shift of G87, or back.
func (ip *interpreter) aside(sign float64) error {
	a, b, _ := ip.st.Plane.axes()
	to := ip.pos
	to[a] += sign * ip.cycle.shift[0]
	to[b] += sign * ip.cycle.shift[1]
	if to == ip.pos {
		return nil
	}
	return ip.move(Traverse, &to)
}

// step is a part of a cycle.
type step func() error

func inTurn(steps ...step) error {
	for _, s := range steps {
		if err := s(); err != nil {
			return err
		}
	}
	return nil
}

// hole performs the cycle at a place, from the R level to the clear level.
func (ip *interpreter) hole(n int) error {
	cy := &ip.cycle
	feed := func(level float64) step { return func() error { return ip.along(Feed, n, level) } }
	traverse := func(level float64) step { return func() error { return ip.along(Traverse, n, level) } }
	turn := func(t geom.Turn) step { return func() error { return ip.spindle(t) } }
	wait := func() error { return ip.dwell(cy.p) }
	before := ip.st.SpindleTurn
	switch cy.code {
	case g81:
		if err := ip.along(Feed, n, cy.bottom); err != nil {
			return err
		}
		return ip.along(Traverse, n, cy.clear)
	case g82:
		return inTurn(feed(cy.bottom), wait, traverse(cy.clear))
	case g83, g73:
		return ip.peck(n)
	case g84, g74:
		return ip.tap(n)
	case g85:
		return inTurn(feed(cy.bottom), feed(cy.clear))
	case g86:
		return inTurn(feed(cy.bottom), wait, turn(geom.Straight), traverse(cy.clear), turn(before))
	case g87:
		return ip.backBore(n)
	case g88:
		return inTurn(feed(cy.bottom), wait, turn(geom.Straight), func() error { return ip.act(Stop) },
			func() error { // the operator has taken the tool out by hand
				ip.pos[n] = cy.clear
				return nil
			}, turn(before))
	default: // g89
		return inTurn(feed(cy.bottom), wait, feed(cy.clear))
	}
}

// peck performs G83, and G73, which stays in the hole.
func (ip *interpreter) peck(n int) error {
	cy := &ip.cycle
	if (cy.top-cy.bottom)/cy.q > float64(ip.o.Limits.Pecks) {
		return ip.failG(groupMotion, "more than %d pecks in a hole: give a larger Q", ip.o.Limits.Pecks)
	}
	for i := 1; ; i++ {
		level := cy.top - float64(i)*cy.q
		if level <= cy.bottom+sameRounding {
			break
		}
		if err := ip.along(Feed, n, level); err != nil {
			return err
		}
		back := math.Min(level+peckClearance, cy.clear)
		if cy.code == g83 {
			if err := ip.along(Traverse, n, cy.clear); err != nil {
				return err
			}
		}
		if err := ip.along(Traverse, n, back); err != nil {
			return err
		}
	}
	if err := ip.along(Feed, n, cy.bottom); err != nil {
		return err
	}
	return ip.along(Traverse, n, cy.clear)
}

// tap performs G84, and G74 with the spindle the other way.
func (ip *interpreter) tap(n int) error {
	cy := &ip.cycle
	before, synchronised := ip.st.SpindleTurn, ip.st.Synchronised
	ip.st.Synchronised = true
	err := inTurn(
		func() error { return ip.along(Feed, n, cy.bottom) },
		func() error { return ip.spindle(geom.Straight) },
		func() error { return ip.spindle(-before) },
		func() error { return ip.along(Feed, n, cy.clear) },
	)
	ip.st.Synchronised = synchronised
	if err != nil {
		return err
	}
	return inTurn(
		func() error { return ip.spindle(geom.Straight) },
		func() error { return ip.spindle(before) },
	)
}

// backBore performs G87 (NISTIR 6556, section 3.5.16.8, from memory).
func (ip *interpreter) backBore(n int) error {
	cy := &ip.cycle
	before := ip.st.SpindleTurn
	orient := func() error {
		ip.st.SpindleTurn, ip.st.Oriented = geom.Straight, true
		return ip.act(Spindle)
	}
	start := func() error { return ip.spindle(before) }
	out := func() error { return ip.aside(1) }
	in := func() error { return ip.aside(-1) }
	to := func(k Kind, level float64) step { return func() error { return ip.along(k, n, level) } }
	return inTurn(
		out, orient, to(Traverse, cy.bottom), in, start,
		to(Feed, cy.backwardLevel), to(Feed, cy.bottom),
		orient, out, to(Traverse, cy.clear), in, start,
	)
}

// tapOnce performs G33.1: a rigid tap with the pitch K, along a straight line and
// back. Common practice, no source: the spindle's speed and K make the feed, and
// the spindle turns afterwards as before.
func (ip *interpreter) tapOnce() error {
	l := &ip.line
	if !l.has(linearAxes) || l.has(rotaryAxes) {
		return ip.failG(groupMotion, "G33.1 moves X, Y and Z only and needs one of them: say where to go")
	}
	if !l.has(hasK) || l.value('K') <= 0 {
		return ip.failG(groupMotion, "G33.1 needs the pitch of the thread as a K word above zero: add K")
	}
	if ip.comp.on || ip.st.InverseTime {
		return ip.failG(groupMotion, "G33.1 is not possible under radius compensation or G93: write G40 and G94 before")
	}
	before := ip.st.SpindleTurn
	feed := l.value('K') * ip.scale * ip.st.SpindleSpeed
	if before == geom.Straight || !(feed > 0 && feed <= maxFeed) {
		return ip.failG(groupMotion, "the spindle must turn for G33.1: write M3 or M4 and a speed before")
	}
	from := ip.pos
	var to [6]float64
	if err := ip.target(&to); err != nil {
		return err
	}
	old, synchronised := ip.st.FeedRate, ip.st.Synchronised
	ip.st.FeedRate, ip.st.Synchronised = feed, true
	err := inTurn(
		func() error { return ip.move(Feed, &to) },
		func() error { return ip.spindle(-before) },
		func() error { return ip.move(Feed, &from) },
	)
	ip.st.FeedRate, ip.st.Synchronised = old, synchronised
	if err != nil {
		return err
	}
	return ip.spindle(before)
}
