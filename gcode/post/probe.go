package post

import (
	"bufio"
	"errors"
	"fmt"
	"io"

	"proofcut/gcode"
	"proofcut/paths/setup"
)

// The parameters in which a control keeps where the probe tripped (NISTIR 6556,
// section 3.5.9, from memory).
const touchedParameter = 5061

// WriteProbe writes a program that touches the face of the stock at the places of
// the set-up's Probing with its one tool. Between the places the stylus travels at
// the clear height; it comes down at rapid rate to the approach gap above where
// the face may be, and from there probes (G38.2) to as far below. The spindle
// stands.
//
// The language has no word that writes a file. So every touched place is either
// kept in parameters, to be read off at the control when the program has ended
// (whether they outlive it, or a power cut, is the control's affair), or the
// program stops at it for the display to be read.
//
// Errors: a set-up without a probing or with another number of tools than one,
// and that of w.
func WriteProbe(w io.Writer, s *setup.Setup, h Header) error {
	switch {
	case s == nil || s.Probing == nil:
		return errors.New("the set-up does not say how to probe")
	case len(s.Tools) != 1:
		return fmt.Errorf("a probing program has one tool, the stylus, not %d", len(s.Tools))
	}
	if err := s.Probing.Validate(); err != nil {
		return err
	}
	g, t := s.Probing, s.Tools[0]
	p := &printer{w: bufio.NewWriter(w), s: s, unit: s.Unit.MM(), res: s.Unit.Resolution()}
	p.probeHeader(h, t)
	p.begin()
	p.words('M', 5)
	p.tool = t.Number
	if s.Machine.ToolChange != setup.NoToolChange {
		p.words('T', t.Number, 'M', 6)
		p.raised = false
	}
	if s.Machine.LengthOffsets {
		p.words('G', 43, 'H', t.Number)
		p.offset, p.raised = true, false
	}
	p.up()
	above := p.steps(s.Stock.Top+g.Within+s.Approach, true)
	below := p.steps(s.Stock.Top-g.Within, true)
	for i, q := range g.Points {
		p.comment(fmt.Sprintf("Point %d", i+1))
		to := [3]int64{p.steps(q.X, false), p.steps(q.Y, false), p.at[2]}
		p.axes(0, 0, to, true)
		p.axes(0, 0, [3]int64{to[0], to[1], above}, false)
		p.word('G', 38.2)
		p.word('Z', p.say(below))
		p.feed = 0
		p.rate(1, g.Feed)
		p.flush()
		p.motion, p.raised = -1, false
		p.at[2] = below // or higher, where it touched
		if g.Log == setup.LogStop {
			p.words('M', 0)
		} else {
			p.keep(g.First + 3*i)
		}
		p.up()
	}
	if p.offset {
		p.words('G', 49)
	}
	p.words('M', 2)
	if p.err != nil {
		return p.err
	}
	return p.w.Flush()
}

// keep writes the touched place into three parameters.
func (p *printer) keep(first int) {
	for i := range 3 {
		number := func(n int) *gcode.Expr { return &gcode.Expr{Op: gcode.OpNumber, Num: float64(n)} }
		p.block.Settings = append(p.block.Settings, gcode.Setting{
			Index: gcode.Number(float64(first + i)),
			Value: gcode.Value{Expr: &gcode.Expr{Op: gcode.OpParameter, X: number(touchedParameter + i)}},
		})
	}
	p.flush()
	p.block.Settings = p.block.Settings[:0]
}

// probeHeader writes the comments at the head of a probing program.
func (p *printer) probeHeader(h Header, t setup.Tool) {
	g, s := p.s.Probing, p.s
	p.text("Job: ", h.Job+", probing of the face")
	unit := "millimetres"
	if s.Unit == setup.Inch {
		unit = "inches"
	}
	p.text("Units: ", unit+", absolute coordinates")
	p.text("Program zero: ", h.Zero)
	p.text("Machine: ", s.Machine.Name)
	p.text("", fmt.Sprintf("Tool %d: %s, tip diameter %s, stick-out %s. The spindle stands.", t.Number, t.Name, p.len(t.Diameter), p.len(t.StickOut)))
	if s.Machine.ToolChange == setup.NoToolChange {
		p.text("", "The probe has to be in the spindle, plugged in and tried by hand before the program is started.")
	}
	p.text("", fmt.Sprintf("Heights are those of the lowest point of the tip. The face has to lie between Z %s and Z %s everywhere: nothing but a probing move goes lower than Z %s.",
		p.len(s.Stock.Top-g.Within), p.len(s.Stock.Top+g.Within), p.len(s.Stock.Top+g.Within)))
	p.text("", "Where the probe meets nothing the control stops with an alarm.")
	n := len(g.Points)
	if g.Log == setup.LogStop {
		p.text("", fmt.Sprintf("%d points. The program stops with the probe on each: write down Z from the display, then go on.", n))
	} else {
		p.text("", fmt.Sprintf("%d points. Z of point n is kept in parameter %d + 3 n, the last in %d, X and Y in the two before it: read them off before anything else uses them.",
			n, g.First-1, g.First+3*n-1))
	}
	for _, z := range s.Zones {
		p.text("Zone: ", fmt.Sprintf("%s, top at Z %s, to be cleared by %s", z.Name, p.len(z.Top), p.len(z.Clearance)))
	}
	for _, note := range h.Notes {
		p.text("Note: ", note)
	}
	for _, c := range cautions[:1] {
		p.text("", c)
	}
	p.text("", "Run it with a hand on the stop, and watch the first points.")
}
