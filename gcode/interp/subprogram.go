package interp

import (
	"proofcut/gcode"
)

// subprograms is the practice of calls: M98 P n calls the blocks that begin with
// O n, L times; M99 goes back. Common practice, no source.
type subprograms struct {
	at    *gcode.Cursor
	start map[int]int // index of the block with O n
	calls []call
}

type call struct {
	back, start int // indices of blocks
	left        int // further runs
}

// findSubprograms looks through the program for O words. A call may lead
// anywhere, so the program is kept in memory: a stream is read to its end first.
func findSubprograms(src Source) (*subprograms, error) {
	at, ok := src.(*gcode.Cursor)
	if r, stream := src.(*gcode.Reader); stream {
		p, err := r.Program()
		if err != nil {
			return nil, err
		}
		at, ok = p.Source(), true
	}
	if !ok {
		return nil, &gcode.Error{File: src.Name(), Msg: "subprogram calls need a reader of the text or a program in memory"}
	}
	s := &subprograms{at: at, start: map[int]int{}}
	blocks := at.Program().Blocks
	for i := range blocks {
		w := blocks[i].Word('O')
		if w == nil {
			continue
		}
		n, ok := gcode.Integer(w.Value.Num)
		if !ok || n < 0 || w.Value.Expr != nil {
			return nil, &gcode.Error{File: src.Name(), Pos: w.Pos, Msg: "the number of a subprogram is a plain integer, not negative"}
		}
		if _, twice := s.start[n]; twice {
			return nil, &gcode.Error{File: src.Name(), Pos: w.Pos, Msg: "this subprogram number stands twice in the program: change one"}
		}
		s.start[n] = i
	}
	return s, nil
}

// enterSubprogram passes the block that names a subprogram. The name of the main
// program, in its first block, has no effect.
func (ip *interpreter) enterSubprogram() error {
	s := ip.subs
	here := s.at.Index() - 1
	if n := len(s.calls); n > 0 && s.calls[n-1].start == here {
		return nil
	}
	for i := range here {
		if b := &s.at.Program().Blocks[i]; len(b.Words) > 0 {
			return ip.failAt('O', "the program runs into a subprogram that nothing has called: end the main program with M2 or M30, the subprogram before with M99")
		}
	}
	return nil
}

func (ip *interpreter) call() error {
	s, l := ip.subs, &ip.line
	if !l.has(hasP) {
		return ip.failM(groupStop, "M98 has no P word: say which subprogram")
	}
	n, ok := gcode.Integer(l.value('P'))
	start, found := 0, false
	if ok {
		start, found = s.start[n]
	}
	if !found {
		return ip.failAt('P', "there is no subprogram O%v in the program", l.value('P'))
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
		return ip.failM(groupStop, "calls are nested deeper than %d", ip.o.Limits.Depth)
	}
	s.calls = append(s.calls, call{back: s.at.Index(), start: start, left: times - 1})
	s.at.Jump(start)
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
		s.at.Jump(c.start)
		return nil
	}
	s.at.Jump(c.back)
	s.calls = s.calls[:n-1]
	return nil
}
