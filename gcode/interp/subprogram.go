package interp

import (
	"proofcut/gcode"
)

// Jumper is a Source that can go on at another place: what subprogram calls
// need. A *gcode.Reader and a *gcode.Cursor are.
type Jumper interface {
	Source
	Subprograms() (map[int]gcode.Place, error)
	Place() gcode.Place
	Jump(gcode.Place)
}

// subprograms is the practice of calls: M98 P n calls the blocks that begin with
// O n, L times; M99 goes back. Common practice, no source.
type subprograms struct {
	at    Jumper
	start map[int]gcode.Place // of the block with O n
	calls []call

	begun   bool // a block with words was executed
	entered bool // the block that is executed was called
	called  bool // the next one is
}

type call struct {
	back, start gcode.Place
	left        int // further runs
}

func findSubprograms(src Source) (*subprograms, error) {
	at, ok := src.(Jumper)
	if !ok {
		return nil, &gcode.Error{File: src.Name(), Msg: "subprogram calls need a source that can jump: a reader of the text or a program in memory"}
	}
	start, err := at.Subprograms()
	if err != nil {
		return nil, err
	}
	return &subprograms{at: at, start: start}, nil
}

// step takes note of the block that is executed next.
func (s *subprograms) step() { s.entered, s.called = s.called, false }

// jump goes on with a subprogram.
func (s *subprograms) jump(to gcode.Place) {
	s.at.Jump(to)
	s.called = true
}

// enterSubprogram passes the block that names a subprogram. The name of the main
// program, in its first block, has no effect.
func (ip *interpreter) enterSubprogram() error {
	if s := ip.subs; !s.entered && s.begun {
		return ip.failAt('O', "the program runs into a subprogram that nothing has called: end the main program with M2 or M30, the subprogram before with M99")
	}
	return nil
}

func (ip *interpreter) call() error {
	s, l := ip.subs, &ip.line
	if !l.has(hasP) {
		return ip.failM(groupStop, "M98 has no P word: say which subprogram")
	}
	n, ok := gcode.Integer(l.value('P'))
	var start gcode.Place
	found := false
	if ok {
		start, found = s.start[n]
	}
	if !found {
		return ip.failAt('P', "there is no subprogram O%v in the program: correct P or add it", l.value('P'))
	}
	times := 1
	if l.has(hasL) {
		if times, ok = gcode.Integer(l.value('L')); !ok || times < 1 {
			return ip.failAt('L', "L%v: the number of calls is an integer above 0", l.value('L'))
		}
		if times > ip.o.Limits.Repeats {
			return ip.failAt('L', "L%d: more than %d calls: raise the limit if the program is meant so", times, ip.o.Limits.Repeats)
		}
	}
	if len(s.calls) == ip.o.Limits.Depth {
		return ip.failM(groupStop, "calls are nested deeper than %d: a subprogram that calls itself has no end, remove the call", ip.o.Limits.Depth)
	}
	s.calls = append(s.calls, call{back: s.at.Place(), start: start, left: times - 1})
	s.jump(start)
	return nil
}

func (ip *interpreter) leaveSubprogram() error {
	s := ip.subs
	n := len(s.calls)
	if n == 0 {
		return ip.failM(groupStop, "M99 outside a subprogram: end the main program with M2 or M30")
	}
	c := &s.calls[n-1]
	if c.left > 0 {
		c.left--
		s.jump(c.start)
		return nil
	}
	s.at.Jump(c.back)
	s.calls = s.calls[:n-1]
	return nil
}
