package interp

import (
	"proofcut/gcode"
	"proofcut/paths/geom"
)

// execute performs one block in the order of NISTIR 6556, section 3.8 (from
// memory).
func (ip *interpreter) execute(b *gcode.Block) error {
	if b.Percent {
		if !ip.opened {
			ip.opened = true
			return nil
		}
		return ip.end(-1)
	}
	if b.Delete {
		if ip.o.Lacks.BlockDelete {
			return ip.fail("this machine has no block delete: remove the / or the block")
		}
		if ip.o.BlockDelete {
			return nil
		}
	}
	if err := ip.collect(b); err != nil {
		return err
	}
	if err := ip.check(); err != nil {
		return err
	}
	l := &ip.line
	if ip.o.Watch != nil {
		ip.o.Watch(Words{l}, &ip.st)
	}
	if len(b.Comments) > 0 {
		if text, ok := b.Comments[len(b.Comments)-1].Message(); ok {
			ip.ev.Text = text
			err := ip.act(Message)
			ip.ev.Text = ""
			if err != nil {
				return err
			}
		}
	}
	if l.hasG(groupFeed) {
		ip.feedMode(l.g[groupFeed])
	}
	if l.has(hasF) {
		if err := ip.setFeed(l.value('F')); err != nil {
			return err
		}
	}
	if l.has(hasS) {
		ip.st.SpindleSpeed, ip.st.SpeedSet = l.value('S'), true
		if err := ip.act(Spindle); err != nil {
			return err
		}
	}
	if l.has(hasT) {
		if err := ip.selectTool(); err != nil {
			return err
		}
	}
	if l.mmask != 0 {
		if err := ip.switches(); err != nil {
			return err
		}
	}
	if l.nonModal(g4) {
		if err := ip.dwellCode(); err != nil {
			return err
		}
	}
	if l.gmask&^(1<<groupNone|1<<groupMotion|1<<groupFeed) != 0 {
		if err := ip.modes(); err != nil {
			return err
		}
	}
	if l.hasG(groupNone) {
		if err := ip.offsets(l.g[groupNone]); err != nil {
			return err
		}
	}
	if ip.subs != nil {
		if l.has(hasO) {
			if err := ip.enterSubprogram(); err != nil {
				return err
			}
		}
		ip.subs.begun = ip.subs.begun || len(b.Words) > 0
	}
	if err := ip.motion(); err != nil {
		return err
	}
	if l.hasM(groupStop) {
		return ip.stop(l.m[groupStop])
	}
	return nil
}

// feedMode executes G93 and G94. The document does not say what feed is in force
// after a change of the mode; here none is, so that the program must give one.
func (ip *interpreter) feedMode(code int) {
	inverse := code == g93
	if inverse != ip.st.InverseTime {
		ip.st.FeedRate = 0
	}
	ip.st.InverseTime, ip.st.ModeSet = inverse, true
}

// setFeed executes F, in the unit in force before the block (F comes before G20
// and G21 in the order of execution).
func (ip *interpreter) setFeed(f float64) error {
	if !ip.st.InverseTime {
		f *= ip.scale
	}
	if !(f <= maxFeed) {
		return ip.failAt('F', "the feed is out of range: check the decimal point of F")
	}
	ip.st.FeedRate, ip.st.FeedSet = f, true
	return nil
}

// maxFeed bounds feeds so that lengths divided by them stay ordinary numbers.
const maxFeed = 1e12

// slot returns the tool slot that the word names.
func (ip *interpreter) slot(c byte) (int, error) {
	n, ok := gcode.Integer(ip.line.value(c))
	if !ok {
		return 0, ip.failAt(c, "%c%v: a tool slot is an integer", c, ip.line.value(c))
	}
	if n < 0 || n > ip.o.Slots {
		return 0, ip.failAt(c, "%c%d: the tool slots end at %d", c, n, ip.o.Slots)
	}
	return n, nil
}

func (ip *interpreter) selectTool() error {
	n, err := ip.slot('T')
	if err != nil {
		return err
	}
	ip.st.Selected = n
	return ip.act(ToolSelect)
}

// switches executes the M codes that come before motion.
func (ip *interpreter) switches() error {
	l := &ip.line
	if l.hasM(groupTool) {
		if err := ip.changeTool(); err != nil {
			return err
		}
	}
	if l.hasM(groupSpindle) {
		ip.st.SpindleTurn = [...]geom.Turn{geom.CW, geom.CCW, geom.Straight}[l.m[groupSpindle]-3]
		ip.st.Oriented = false
		if err := ip.act(Spindle); err != nil {
			return err
		}
	}
	if l.hasM(groupCoolant) {
		switch l.m[groupCoolant] {
		case 7:
			ip.st.Mist = true
		case 8:
			ip.st.Flood = true
		default:
			ip.st.Mist, ip.st.Flood = false, false
		}
		if err := ip.act(Coolant); err != nil {
			return err
		}
	}
	if l.hasM(groupOverride) {
		ip.st.Override = l.m[groupOverride] == 48
	}
	return nil
}

// changeTool executes M6. The spindle stands still afterwards; the length offset
// stays as it is, and where the tip of the new tool is nobody has said yet.
func (ip *interpreter) changeTool() error {
	if err := ip.act(ToolChange); err != nil {
		return err
	}
	ip.st.Placed[2] = false
	ip.st.Tool = ip.st.Selected
	if ip.st.SpindleTurn == geom.Straight {
		return nil
	}
	return ip.spindle(geom.Straight)
}

// spindle starts or stops the spindle.
func (ip *interpreter) spindle(turn geom.Turn) error {
	ip.st.SpindleTurn, ip.st.Oriented = turn, false
	return ip.act(Spindle)
}

func (ip *interpreter) dwellCode() error {
	if !ip.line.has(hasP) {
		return ip.failG(groupNone, "G4 has no P word: say how long to wait")
	}
	return ip.dwell(ip.line.value('P'))
}

// maxDwell bounds a wait, in seconds: a month.
const maxDwell = 31 * 24 * 3600

// dwell waits p, as the P word counts.
func (ip *interpreter) dwell(p float64) error {
	if ip.o.Practice.DwellMilliseconds {
		p /= 1000
	}
	if !(p <= maxDwell) {
		return ip.failAt('P', "the dwell of %v s is out of range: check whether its P counts milliseconds", p)
	}
	ip.ev.Seconds = p
	err := ip.act(Dwell)
	ip.ev.Seconds = 0
	return err
}

// modes executes the modal G codes that come before motion, groupFeed aside.
func (ip *interpreter) modes() error {
	l := &ip.line
	st := &ip.st
	if l.hasG(groupPlane) {
		if err := ip.selectPlane(l.g[groupPlane]); err != nil {
			return err
		}
	}
	if l.hasG(groupUnit) {
		if ip.comp.on {
			return ip.failG(groupUnit, "the unit cannot change while radius compensation is on: write G40 before")
		}
		st.Inch, st.UnitSet = l.g[groupUnit] == g20, true
		ip.scale = 1
		if st.Inch {
			ip.scale = mmPerInch
		}
	}
	if l.hasG(groupRadius) {
		if err := ip.radiusCode(l.g[groupRadius]); err != nil {
			return err
		}
	}
	if l.hasG(groupLength) {
		if err := ip.lengthCode(l.g[groupLength]); err != nil {
			return err
		}
	}
	if l.hasG(groupSystem) {
		if ip.comp.on {
			return ip.failG(groupSystem, "the work system cannot change while radius compensation is on: write G40 before")
		}
		ip.selectSystem(systemOf(l.g[groupSystem]))
		st.SystemSet = true
	}
	if l.hasG(groupPath) {
		switch l.g[groupPath] {
		case g61:
			st.Path = ExactPath
		case g61_1:
			st.Path = ExactStop
		default:
			st.Path = Continuous
		}
	}
	if l.hasG(groupDistance) {
		st.Relative, st.DistSet = l.g[groupDistance] == g91, true
	}
	if l.hasG(groupRetract) {
		st.RetractR, st.RetractSet = l.g[groupRetract] == g99, true
	}
	return nil
}

func (ip *interpreter) selectPlane(code int) error {
	p := Plane((code - g17) / 10)
	if ip.comp.on && p != XY {
		return ip.failG(groupPlane, "the plane cannot change while radius compensation is on: write G40 before")
	}
	ip.st.Plane, ip.st.PlaneSet = p, true
	return nil
}

// stop executes the M codes that come after motion.
func (ip *interpreter) stop(code int) error {
	switch code {
	case 2, 30:
		return ip.end(code)
	case 98:
		return ip.call()
	case 99:
		return ip.leaveSubprogram()
	case 1:
		if !ip.o.OptionalStop {
			return nil
		}
	}
	ip.ev.Code = code
	err := ip.act(Stop)
	ip.ev.Code = 0
	return err
}

// end ends the program and brings the modes to where the document wants them.
func (ip *interpreter) end(code int) error {
	ip.ev.Code = code
	err := ip.act(ProgramEnd)
	ip.ev.Code = 0
	if err != nil {
		return err
	}
	ip.over = true
	if err := ip.src.Finish(); err != nil {
		return err
	}
	if code < 0 {
		return nil // a % resets nothing
	}
	st := &ip.st
	st.Offset, st.OffsetOn = [6]float64{}, false
	ip.selectSystem(1)
	ip.radiusOff()
	st.Plane, st.Relative = XY, false
	if st.InverseTime {
		st.InverseTime, st.FeedRate = false, 0
	}
	st.Override = true
	st.SpindleTurn, st.Oriented = geom.Straight, false
	st.Motion = g1
	st.Mist, st.Flood = false, false
	return nil
}
