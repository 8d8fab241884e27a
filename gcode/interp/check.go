package interp

// check finds the motion of the line and refuses words that stand together
// wrongly, before anything of the line is executed (NISTIR 6556, sections 3.3
// and 3.4, from memory).
func (ip *interpreter) check() error {
	l := &ip.line
	l.motion = noMotion
	axes := l.mask & allAxes
	switch {
	case l.hasG(groupMotion):
		m := l.g[groupMotion]
		if m == g80 {
			if axes != 0 && !l.takesAxes() {
				return ip.failG(groupMotion, "axis words with G80: write a motion code, or leave the axis words out")
			}
			break
		}
		if l.takesAxes() {
			return ip.failG(groupNone, "two codes of the block take the axis words: put them on two blocks")
		}
		if axes == 0 {
			return ip.failG(groupMotion, "the motion has no axis word: say where to go")
		}
		l.motion = m
	case l.takesAxes():
	case axes != 0:
		if ip.st.Motion == g80 {
			return ip.failAxis("axis words, but no motion code is on the block or in force: write one")
		}
		l.motion = ip.st.Motion
	}
	if axes == 0 && l.nonModal(g92) {
		return ip.failG(groupNone, "G92 has no axis word: say what the axes shall read")
	}
	if l.nonModal(g53) {
		if l.motion != g0 && l.motion != g1 {
			return ip.failG(groupNone, "G53 needs G0 or G1 and an axis word, on the block or in force: add what is missing")
		}
	}
	if l.has(rotaryAxes) {
		if err := ip.checkRotary(); err != nil {
			return err
		}
	}
	if l.has(withUser) {
		if err := ip.checkUsers(); err != nil {
			return err
		}
	}
	if l.has(hasO) && ip.subs == nil {
		return ip.failAt('O', "O words are beyond the published language and not switched on for this machine: switch subprograms on in the machine's control if it has them, or remove the word")
	}
	if l.has(hasT) && ip.o.Lacks.ToolChange {
		return ip.failAt('T', "this machine has no tool change: leave the T word out")
	}
	return nil
}

// failAxis returns an error at the first axis word.
func (ip *interpreter) failAxis(format string, args ...any) error {
	for _, w := range ip.line.block.Words {
		if c := w.Letter; c >= 'A' && c <= 'C' || c >= 'X' {
			return ip.errorAt(w.Pos, format, args...)
		}
	}
	return ip.fail(format, args...)
}

func (ip *interpreter) checkRotary() error {
	lacks := [3]bool{ip.o.Lacks.A, ip.o.Lacks.B, ip.o.Lacks.C}
	for i, lack := range lacks {
		if c := axisLetters[3+i]; lack && ip.line.has(1<<(c-'A')) {
			return ip.failAt(c, "this machine has no axis %c: leave the word out", c)
		}
	}
	return nil
}

// checkUsers refuses words that nothing on the line uses.
func (ip *interpreter) checkUsers() error {
	l := &ip.line
	motion := l.motion
	cycle := isCycle(motion)
	calls := l.hasM(groupStop) && l.m[groupStop] == 98
	used := func(m letters, c byte, ok bool, users string) error {
		if l.has(m) && !ok {
			return ip.failAt(c, "nothing in the block uses the %c word: it belongs to %s", c, users)
		}
		return nil
	}
	radius := l.hasG(groupRadius) && l.g[groupRadius] != g40
	length := l.hasG(groupLength) && l.g[groupLength] == g43
	centre := isArc(motion) || motion == g87
	dwell, system := l.nonModal(g4), l.nonModal(g10)
	wantP := count(usesDwell(motion), dwell, system, calls)
	wantL := count(cycle, system, calls)
	if wantP > 1 && l.has(hasP) {
		return ip.failAt('P', "two codes of the block want the P word: put them on two blocks")
	}
	if wantL > 1 && l.has(hasL) {
		return ip.failAt('L', "two codes of the block want the L word: put them on two blocks")
	}
	for _, err := range [...]error{
		used(hasD, 'D', radius, "G41 and G42"),
		used(hasH, 'H', length, "G43"),
		used(hasI, 'I', centre, "G2, G3 and G87"),
		used(hasJ, 'J', centre, "G2, G3 and G87"),
		used(hasK, 'K', centre || motion == g33_1, "G2, G3 and G87"),
		used(hasL, 'L', wantL > 0, "cycles and G10"),
		used(hasP, 'P', wantP > 0, "G4, G10, G82, G86, G88 and G89"),
		used(hasQ, 'Q', usesPeck(motion), "G83"),
		used(hasR, 'R', cycle || isArc(motion), "arcs and cycles"),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

// count returns how many of the conditions hold.
func count(conditions ...bool) int {
	n := 0
	for _, c := range conditions {
		if c {
			n++
		}
	}
	return n
}
