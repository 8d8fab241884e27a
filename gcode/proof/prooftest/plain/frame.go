package plain

// Offsets between the program and the machine (sections 3.2.2, 3.5.5, 3.5.8, 3.5.18).

// shift is what is added to a programmed coordinate to get the machine's.
func (r *reader) shift(i int) float64 {
	s := r.g92[i] + r.origin[r.system][i]
	if i == 2 {
		s += r.lengthZ
	}
	return s
}

// settled leaves the reading where it is open what is added: a program that has
// written a parameter of the system or of the offsets in force.
func (r *reader) settled() {
	for i := range 6 {
		if r.unclear[5201+20*r.system+i] {
			r.open("a move after parameter %d was set", 5201+20*r.system+i)
		}
		if r.unclear[5211+i] {
			r.open("a move after parameter %d was set", 5211+i)
		}
	}
	if r.unclear[5220] {
		r.open("a move after parameter 5220 was set")
	}
}

// assign sets a parameter.
func (r *reader) assign(n int, v float64) {
	if r.inch && positions(n) && v != 0 {
		r.open("unit of parameter %d", n)
	}
	r.par[n] = v
	for s := 1; s <= 9; s++ {
		i := n - 5201 - 20*s
		if i < 0 || i > 5 {
			continue
		}
		if s == r.system {
			r.unclear[n] = true // whether it is in force at once
		} else {
			r.origin[s][i] = v
		}
	}
	if n >= 5211 && n <= 5216 || n == 5220 {
		r.unclear[n] = true
	}
}

func (r *reader) selectSystem(code int) {
	s := (code-540)/10 + 1
	if code > 590 {
		s = code - 590 + 6
	}
	if s == r.system {
		return // whether it reads the parameters again is open
	}
	if r.unclear[5220] {
		r.open("a system after parameter 5220 was set")
	}
	for i := range 6 {
		n := 5201 + 20*r.system + i
		if r.unclear[n] { // the next selection of that system reads it
			r.origin[r.system][i] = r.par[n]
			delete(r.unclear, n)
		}
	}
	r.system = s
	r.par[5220] = float64(s)
}

// setSystem does G10 L2.
func (r *reader) setSystem(b *block) {
	if !b.has("L") || r.integer(b.words['L'], "L of G10") != 2 {
		r.fail("G10 without L2")
	}
	if !b.has("P") {
		r.fail("G10 without P")
	}
	s := r.integer(b.words['P'], "P of G10")
	if s < 1 || s > 9 {
		r.fail("there is no system %d", s)
	}
	if r.comp.side != 0 && s == r.system {
		r.open("G10 of the system in force under compensation")
	}
	for i := range 6 {
		v, ok := r.axis(b, i)
		if !ok {
			continue
		}
		r.origin[s][i], r.par[5201+20*s+i] = v, v
		delete(r.unclear, 5201+20*s+i)
	}
}

// home does G28 and G30: by way of the point of the axis words, with the axes that
// are named, to the point of the parameters with all.
func (r *reader) home(b *block, first int) {
	if r.comp.side != 0 {
		r.fail("G28 or G30 under compensation")
	}
	if r.leaveComp(b); b.has(axisLetters) {
		to, known := r.target(b, false)
		r.straight(Rapid, to)
		r.known = known
	}
	r.comp.aside = false
	var to [6]float64
	for i := range 6 {
		to[i] = r.par[first+i]
	}
	r.straight(Rapid, to)
	r.known = [6]bool{true, true, true, true, true, true}
}

// offsets does G92 and its variants.
func (r *reader) offsets(b *block, code int) {
	if r.comp.side != 0 {
		r.fail("G92 under compensation")
	}
	r.comp.clean(r)
	if code == 920 {
		r.settled()
	}
	for i := range 6 {
		n := 5211 + i
		switch code {
		case 920:
			if v, ok := r.axis(b, i); ok {
				reads := r.at[i] - r.shift(i)
				r.g92[i] += reads - v
				r.afloat[i] = !r.known[i]
			}
			r.par[n], r.kept[i] = r.g92[i], r.afloat[i]
		case 921:
			r.g92[i], r.par[n], r.afloat[i], r.kept[i] = 0, 0, false, false
			delete(r.unclear, n)
		case 922:
			if r.unclear[n] {
				r.open("G92.2 after parameter %d was set", n)
			}
			r.g92[i], r.afloat[i] = 0, false
		case 923:
			r.g92[i], r.afloat[i] = r.par[n], r.kept[i] && !r.unclear[n]
			delete(r.unclear, n)
		}
	}
}
