package proof

import (
	"context"
	"fmt"
	"math"

	"proofcut/gcode"
	"proofcut/paths/setup"
)

// guard reads ahead of the interpreter and stops a program at words whose
// outcome no reading of the text can tell: places that only the machine knows,
// and parameters that an earlier program has left.
type guard struct {
	*gcode.Reader
	ctx         context.Context
	subprograms bool
	probes      bool         // the program may probe, and read where the probe has tripped
	read        int          // blocks
	set         map[int]bool // parameters that the program has given a value
	rest        int          // first line behind the program's end that holds words
	hit         *gcode.Error
	rule        string // that hit belongs to
}

// unknownPlaces are the codes, ten times the G number, that lead to or depend
// on a place outside the set-up, with what to do instead.
var unknownPlaces = map[int]string{
	100: "G10 moves a work system: set it at the machine before the program is started",
	280: "G28 goes by way of a home that only the machine knows: end with G0 to the clear height",
	300: "G30 goes by way of a home that only the machine knows: end with G0 to the clear height",
	382: probing,
	530: "G53 goes to machine coordinates, and where the work is in them is not known: use work coordinates",
	550: otherSystem, 560: otherSystem, 570: otherSystem, 580: otherSystem, 590: otherSystem,
	591: otherSystem, 592: otherSystem, 593: otherSystem,
	920: offsets, 921: offsets, 922: offsets, 923: offsets,
}

const (
	otherSystem = "the set-up gives places in G54 only: use G54"
	probing     = "G38.2 ends where the probe touches: probe in a program of its own"
	offsets     = "G92 offsets depend on where the tool happens to stand: set the zero in G54"
)

// ctxBlocks is after how many blocks the reading looks whether it was cancelled.
const ctxBlocks = 1024

// Next returns the next block unless it has to be stopped at.
func (g *guard) Next() (*gcode.Block, error) {
	// Subprograms may call each other for long without any action.
	if g.read++; g.read%ctxBlocks == 0 {
		if err := g.ctx.Err(); err != nil {
			return nil, err
		}
	}
	b, err := g.Reader.Next()
	if err != nil {
		return b, err
	}
	for i := range b.Words {
		w := &b.Words[i]
		if err := g.value(w.Value); err != nil {
			return nil, err
		}
		if w.Letter != 'G' || w.Value.Expr != nil {
			continue
		}
		// A block delete and G92.1 are refused by the interpreter as well.
		if why, ok := unknownPlaces[int(math.Round(w.Value.Num*10))]; ok && w.Value.Num > 0 && w.Value.Num < 100 && !(g.probes && why == probing) {
			return nil, g.stop(ruleFrame.Name, w.Pos, "%s", why)
		}
	}
	// Settings take effect after all values of the block are read.
	for _, s := range b.Settings {
		if err := g.value(s.Index); err != nil {
			return nil, err
		}
		if err := g.value(s.Value); err != nil {
			return nil, err
		}
	}
	for i := range b.Words {
		if w := &b.Words[i]; w.Letter == 'G' && w.Value.Num == 38.2 {
			for k := range 3 {
				g.keeps(touched + k)
			}
		}
	}
	for _, s := range b.Settings {
		n, ok := gcode.Integer(s.Index.Num)
		switch {
		case s.Index.Expr != nil:
			return nil, g.stop(ruleFrame.Name, s.Pos, "which parameter is set depends on another value, and it may be an origin or an offset: name its number")
		case ok && n > setup.LastFreeParameter:
			return nil, g.stop(ruleFrame.Name, s.Pos, "parameter %d is the control's own, and those are its origins, offsets and homes: set the zero in G54 and use parameters up to %d", n, setup.LastFreeParameter)
		case ok:
			g.keeps(n)
		}
	}
	return b, nil
}

// keeps notes that a parameter holds what the program has put there.
func (g *guard) keeps(n int) {
	if g.set == nil {
		g.set = map[int]bool{}
	}
	g.set[n] = true
}

// touched is the first of the parameters that hold the place of the last touch.
const touched = 5061

// Finish looks at what stands behind the end of the program: subprograms where
// the control knows them, else nothing that anyone should want.
func (g *guard) Finish() error {
	if g.subprograms {
		if err := g.Reader.Finish(); err != nil {
			return err
		}
	}
	var err error
	g.rest, err = g.Reader.Rest()
	return err
}

func (g *guard) value(v gcode.Value) error {
	if v.Expr == nil {
		return nil
	}
	return g.expr(v.Expr)
}

func (g *guard) expr(e *gcode.Expr) error {
	if e == nil {
		return nil
	}
	if e.Op == gcode.OpParameter {
		n, ok := 0, false
		if e.X != nil && e.X.Op == gcode.OpNumber {
			n, ok = gcode.Integer(e.X.Num)
		}
		if !ok {
			return g.stop(ruleInherited.Name, e.Pos, "which parameter is read depends on another value: name its number")
		}
		if !g.set[n] {
			return g.stop(ruleInherited.Name, e.Pos, "parameter %d is read before the program has set it: it holds what an earlier program left", n)
		}
		return nil
	}
	if err := g.expr(e.X); err != nil {
		return err
	}
	return g.expr(e.Y)
}

func (g *guard) stop(rule string, at gcode.Pos, format string, args ...any) error {
	g.rule = rule
	g.hit = &gcode.Error{File: g.Name(), Pos: at, Msg: fmt.Sprintf(format, args...)}
	return g.hit
}
