package interp

import (
	"math"

	"proofcut/gcode"
)

func systemOf(code int) int {
	if code > g59 {
		return code - g59 + 6
	}
	return (code-g54)/10 + 1
}

// selectSystem makes the work system the one in force. The machine stands still,
// so the coordinates of where it is change. Parameter 5220 follows.
func (ip *interpreter) selectSystem(n int) {
	origin := [6]float64(ip.params[systemParameter(n):])
	for i := range ip.pos {
		ip.pos[i] += ip.st.Origin[i] - origin[i]
	}
	ip.st.Origin, ip.st.System = origin, n
	ip.params[parameterSystem] = float64(n)
}

// setLength changes the length offset in force. The machine stands still.
func (ip *interpreter) setLength(v float64) {
	ip.pos[2] += ip.st.LengthOffset - v
	ip.st.LengthOffset = v
}

// lengthCode executes G43 and G49. Another length leaves the machine where it is
// and the tip at another height: that is no height of the program's choosing.
func (ip *interpreter) lengthCode(code int) error {
	on, index, length := ip.st.LengthOn, ip.st.LengthIndex, ip.st.LengthOffset
	defer func() {
		if on != ip.st.LengthOn || index != ip.st.LengthIndex || length != ip.st.LengthOffset {
			ip.st.Placed[2] = false
		}
	}()
	if code == g49 {
		ip.setLength(0)
		ip.st.LengthOn, ip.st.LengthIndex = false, 0
		return nil
	}
	if !ip.line.has(hasH) {
		return ip.failG(groupLength, "G43 has no H word: say whose length to take")
	}
	n, err := ip.slot('H')
	if err != nil {
		return err
	}
	v := 0.0 // H0 is no offset
	if n > 0 {
		v = ip.o.Tools[n].Length
	}
	ip.setLength(v)
	ip.st.LengthOn, ip.st.LengthIndex = true, n
	return nil
}

// offsets executes the codes that are not modal, apart from G4 and G53.
func (ip *interpreter) offsets(code int) error {
	if code == g4 || code == g53 {
		return nil
	}
	if ip.comp.on && code != g10 {
		return ip.failG(groupNone, "not possible while radius compensation is on: write G40 before")
	}
	switch code {
	case g10:
		return ip.setSystem()
	case g28:
		return ip.home(parameterG28)
	case g30:
		return ip.home(parameterG30)
	case g92:
		return ip.setOffsets()
	}
	off := &ip.st.Offset
	switch code {
	case g92_1:
		*off = [6]float64{}
		copy(ip.params[parameterG92:], off[:])
	case g92_2:
		*off = [6]float64{}
	case g92_3:
		copy(off[:], ip.params[parameterG92:])
	}
	ip.st.OffsetOn = *off != [6]float64{}
	return nil
}

// setSystem executes G10 L2.
func (ip *interpreter) setSystem() error {
	l := &ip.line
	if key, ok := gcode.Integer(l.value('L')); !l.has(hasL) || !ok || key != 2 {
		return ip.failG(groupNone, "G10 needs L2: there is no other G10")
	}
	if !l.has(hasP) {
		return ip.failG(groupNone, "G10 has no P word: say which work system, 1 to 9")
	}
	n, ok := gcode.Integer(l.value('P'))
	if !ok || n < 1 || n > 9 {
		return ip.failAt('P', "P%v: a work system is an integer from 1 to 9", l.value('P'))
	}
	if ip.comp.on && n == ip.st.System {
		return ip.failG(groupNone, "the work system in force cannot change while radius compensation is on: write G40 before")
	}
	for i, c := range axisLetters {
		if !l.has(1 << (c - 'A')) {
			continue
		}
		v, err := ip.axisValue(i)
		if err != nil {
			return err
		}
		ip.params[systemParameter(n)+i] = v
	}
	if n == ip.st.System {
		ip.selectSystem(n)
	}
	return nil
}

// axisValue returns the value of the axis word in millimetres or degrees.
func (ip *interpreter) axisValue(axis int) (float64, error) {
	c := axisLetters[axis]
	v := ip.line.value(c)
	if axis < 3 {
		v *= ip.scale
	}
	if !(math.Abs(v) <= maxLength) {
		return 0, ip.failAt(c, "%c%v is out of range: check its decimal point and unit", c, ip.line.value(c))
	}
	return v, nil
}

// setOffsets executes G92: the axes named read as told from now on.
func (ip *interpreter) setOffsets() error {
	off := &ip.st.Offset
	for i, c := range axisLetters {
		if !ip.line.has(1 << (c - 'A')) {
			continue
		}
		v, err := ip.axisValue(i)
		if err != nil {
			return err
		}
		// New offset = (what the axis reads - v) + old offset.
		off[i] = ip.pos[i] - v
	}
	copy(ip.params[parameterG92:], off[:])
	ip.st.OffsetOn = *off != [6]float64{}
	return nil
}

// home executes G28 and G30: over the place named, if one is, to the home that
// the parameters hold in machine coordinates.
func (ip *interpreter) home(first int) error {
	if ip.line.has(allAxes) {
		var to [6]float64
		if err := ip.target(&to); err != nil {
			return err
		}
		if err := ip.move(Traverse, &to); err != nil {
			return err
		}
	}
	to := [6]float64(ip.params[first:])
	ip.fromMachine(&to)
	for i, lack := range [6]bool{3: ip.o.Lacks.A, 4: ip.o.Lacks.B, 5: ip.o.Lacks.C} {
		if lack {
			to[i] = ip.pos[i]
		} else {
			ip.st.Placed[i] = true
		}
	}
	return ip.move(Traverse, &to)
}

// fromMachine turns machine coordinates into those of the work system.
func (ip *interpreter) fromMachine(p *[6]float64) {
	for i := range p {
		p[i] -= ip.st.Origin[i]
	}
	p[2] -= ip.st.LengthOffset
}

// target sets to to where the axis words lead, in the work system.
func (ip *interpreter) target(to *[6]float64) error {
	l := &ip.line
	*to = ip.pos
	if ip.comp.entered {
		to[0], to[1] = ip.comp.x, ip.comp.y
	}
	axes := l.mask & allAxes
	for i := 0; axes != 0; i++ {
		c := axisLetters[i]
		bit := letters(1) << (c - 'A')
		if axes&bit == 0 {
			continue
		}
		axes &^= bit
		v := l.val[c-'A']
		if i < 3 {
			v *= ip.scale
		}
		if ip.st.Relative {
			v += to[i]
		} else {
			v += ip.st.Offset[i]
			ip.st.Placed[i] = true
		}
		if !(v <= maxLength && v >= -maxLength) {
			return ip.failAt(c, "%c%v leads out of range: check its decimal point and unit", c, l.value(c))
		}
		to[i] = v
	}
	return nil
}
