// Package post writes toolpaths as a program in the RS-274/NGC language for the
// machine of a set-up: absolute coordinates, arcs with their centres, and no
// word that the machine does not know.
//
// In plan every written line and arc stays within one resolution of the unit
// (0.001 mm or 0.0001 in) of its toolpath, ends within half a resolution along
// each axis, and heights are rounded up, so that rounding never cuts deeper.
// paths.Reserve is the distance that strategies keep for this. Start and end of
// an arc lie on one circle about the written centre within ArcTolerance.
//
// The same input gives the same bytes. Nothing here proves the program: that is
// the work of gcode/proof, from the text alone.
package post

import (
	"bufio"
	"fmt"
	"io"
	"math"

	"proofcut/gcode"
	"proofcut/paths"
	"proofcut/paths/setup"
)

// Header is what the comments at the head of a program say beside the set-up.
// Any text is made safe before it is written.
type Header struct {
	Job   string   // name of the job
	Row   string   // what sets this program apart in a batch, or empty
	Zero  string   // where program zero lies on the work
	Notes []string // remarks for the person at the machine
}

// Write writes one program that cuts the toolpaths in order. The error says
// which toolpath asks for what the machine cannot do, or is that of w.
func Write(w io.Writer, s *setup.Setup, h Header, toolpaths []paths.Toolpath) error {
	if err := check(s, toolpaths); err != nil {
		return err
	}
	p := &printer{w: bufio.NewWriter(w), s: s, unit: s.Unit.MM(), res: s.Unit.Resolution()}
	p.header(h, toolpaths)
	p.begin()
	for i := range toolpaths {
		if err := p.toolpath(&toolpaths[i]); err != nil {
			return fmt.Errorf("%s: %w", toolpaths[i].Name, err)
		}
	}
	p.end()
	if p.err != nil {
		return p.err
	}
	return p.w.Flush()
}

// printer keeps the modal state of the program written so far.
type printer struct {
	w    *bufio.Writer
	s    *setup.Setup
	unit float64 // mm in one unit of the program
	res  float64 // mm in one step of a coordinate

	block gcode.Block
	line  []byte
	err   error

	at      [3]int64 // written position in steps
	known   bool     // X and Y of at are true
	raised  bool     // Z of at is true
	motion  int      // G word in force, -1 for none
	feed    float64  // F in force, 0 for none
	tool    int      // loaded by the program, 0 for none
	speed   float64  // S in force with the spindle turning, 0 when it stands
	coolant setup.Coolant
	offset  bool // G43 in force
}

// word adds a word to the block in hand.
func (p *printer) word(letter byte, v float64) {
	p.block.Words = append(p.block.Words, gcode.Word{Letter: letter, Value: gcode.Number(v)})
}

// flush writes the block in hand as a line.
func (p *printer) flush() {
	if p.err == nil {
		p.line, p.err = gcode.AppendBlock(p.line[:0], &p.block)
		if p.err == nil {
			_, p.err = p.w.Write(append(p.line, '\n'))
		}
	}
	p.block.Words, p.block.Comments = p.block.Words[:0], p.block.Comments[:0]
}

// words writes a line of words given as letter and value in turn.
func (p *printer) words(pairs ...any) {
	for i := 0; i+1 < len(pairs); i += 2 {
		v := 0.0
		switch x := pairs[i+1].(type) {
		case int:
			v = float64(x)
		case float64:
			v = x
		}
		p.word(byte(pairs[i].(rune)), v)
	}
	p.flush()
	p.motion = -1 // a line of other words stands between: name the motion anew
}

// comment writes a line with a comment and nothing else.
func (p *printer) comment(text string) {
	p.block.Comments = append(p.block.Comments, gcode.Comment{Text: gcode.CommentText(text)})
	p.flush()
}

// begin puts the control into a known state, whatever ran before, and takes the
// tool up before anything else moves. Where heights depend on the length offset
// of a tool that is still to be loaded, change does that.
func (p *printer) begin() {
	unit := 21
	if p.s.Unit == setup.Inch {
		unit = 20
	}
	state := []any{'G', unit, 'G', 17, 'G', 90, 'G', 94, 'G', 40, 'G', 49, 'G', 80, 'G', 54}
	if !p.s.Machine.NoPathModes {
		state = append(state, 'G', 61)
	}
	p.words(state...)
	p.motion = -1
	if !p.s.Machine.LengthOffsets {
		p.up()
	}
}

// up takes the tool straight to the clear height.
func (p *printer) up() {
	z := p.steps(p.s.ClearZ, true)
	if p.raised && p.at[2] == z {
		return
	}
	p.mode(0)
	p.word('Z', p.say(z))
	p.flush()
	p.at[2], p.raised = z, true
}

// end stops everything with the tool at the clear height.
func (p *printer) end() {
	p.up()
	p.cool(setup.Dry)
	p.words('M', 5)
	if p.offset {
		p.words('G', 49)
	}
	p.words('M', 2)
}

// toolpath writes one toolpath from clear height to clear height.
func (p *printer) toolpath(t *paths.Toolpath) error {
	p.comment(t.Name)
	// Say everything again, so that an operation reads from its own first line.
	p.motion, p.feed, p.known = -1, 0, false
	if t.Tool.Number != p.tool {
		p.change(t)
	}
	p.spin(math.Round(t.Speed))
	p.cool(t.Coolant)
	return p.moves(t)
}

// change brings a tool into the spindle. On a machine without tool change the
// one tool of the program is in it from the start.
func (p *printer) change(t *paths.Toolpath) {
	first := p.tool == 0
	p.tool = t.Tool.Number
	if p.s.Machine.ToolChange != setup.NoToolChange {
		p.cool(setup.Dry)
		if !first {
			p.words('M', 5)
			p.speed = 0
		}
		p.words('T', t.Tool.Number, 'M', 6)
		p.raised = false // the change may move the axes
	}
	if p.s.Machine.LengthOffsets {
		p.words('G', 43, 'H', t.Tool.Number)
		p.offset, p.raised = true, false
	}
	p.up()
}

// spin starts the spindle clockwise, or changes its speed.
func (p *printer) spin(speed float64) {
	if speed == p.speed {
		return
	}
	p.words('S', speed, 'M', 3)
	p.speed = speed
	if p.s.Machine.SpinUp > 0 {
		p.dwell(math.Ceil(p.s.Machine.SpinUp*10) / 10)
	}
}

// dwell waits, in the unit in which the control counts.
func (p *printer) dwell(seconds float64) {
	if p.s.Machine.Practice.DwellMilliseconds {
		seconds = math.Ceil(seconds * 1000)
	}
	p.words('G', 4, 'P', seconds)
}

// cool switches the coolant, with the words that the machine has.
func (p *printer) cool(c setup.Coolant) {
	if c == p.coolant {
		return
	}
	if p.coolant != setup.Dry {
		p.words('M', 9)
	}
	switch c {
	case setup.Mist:
		p.words('M', 7)
	case setup.Flood:
		p.words('M', 8)
	}
	p.coolant = c
}

// mode adds the motion word when it is not in force.
func (p *printer) mode(g int) {
	if p.motion != g {
		p.word('G', float64(g))
		p.motion = g
	}
}
