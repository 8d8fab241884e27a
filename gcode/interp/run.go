package interp

import (
	"errors"
	"io"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// mmPerInch is exact by definition (international yard and pound agreement, 1959).
const mmPerInch = 25.4

// Source is a program block by block: a *gcode.Reader or a *gcode.Cursor. Next
// returns io.EOF after the last block; Finish is called when the program has
// ended before that.
type Source interface {
	Name() string
	Next() (*gcode.Block, error)
	Finish() error
}

// Final is where a program leaves the machine.
type Final struct {
	State    State       // after the resets of the program end
	Position geom.Point3 // of the controlled point in the work system in force
	ABC      [3]float64  // rotary axes, degrees

	Ended      bool            // by M2, M30 or the closing %, not by an error
	Blocks     int             // executed or skipped by block delete
	Events     int             // handed to the sink
	Parameters map[int]float64 // those that are not 0, in the unit of Options.Parameters
}

// Run executes the program and hands every Event to sink. It ends at M2, M30 or
// the closing %, at the first error of the program (a *gcode.Error), at an error
// of the source, or when sink returns an error, which Run returns as it is. Final
// then tells how far it came. Memory does not grow with the program. Where
// subprogram calls are allowed src has to be a Jumper, and a text is kept in
// memory up to gcode.MaxSubprogramText.
func Run(src Source, o Options, sink func(*Event) error) (Final, error) {
	ip, err := newInterpreter(src, o, sink)
	if err != nil {
		return Final{}, err
	}
	err = ip.run()
	f := ip.final()
	f.Ended = err == nil
	return f, err
}

// interpreter is the control: its modal state and the line it is at.
type interpreter struct {
	src  Source
	o    Options
	sink func(*Event) error
	subs *subprograms // nil unless the practice is on

	st     State
	ev     Event
	params [gcode.LastParameter + 1]float64
	scale  float64    // mm of a program unit
	pos    [6]float64 // of the controlled point in the work system
	cycle  cycle      // what is sticky
	comp   compensation

	allowedG [1000]int8 // modal group of ten times the G code, or a no* constant
	allowedM [100]int8

	blocks, events int
	opened, over   bool // by %; program has ended

	line line
}

// final returns the present state.
func (ip *interpreter) final() Final {
	f := Final{State: ip.st, Blocks: ip.blocks, Events: ip.events, Parameters: map[int]float64{}}
	f.Position = point(&ip.pos)
	f.ABC = [3]float64{ip.pos[3], ip.pos[4], ip.pos[5]}
	for i, v := range ip.params {
		if v != 0 {
			f.Parameters[i] = v
		}
	}
	return f
}

func newInterpreter(src Source, o Options, sink func(*Event) error) (*interpreter, error) {
	if err := o.validate(); err != nil {
		return nil, err
	}
	ip := &interpreter{src: src, o: o, sink: sink, scale: 1}
	ip.ev.State = &ip.st
	ip.params[5220] = 1
	for n, v := range o.Parameters {
		ip.params[n] = v
	}
	system, ok := gcode.Integer(ip.params[5220])
	if !ok || system < 1 || system > 9 {
		return nil, &gcode.Error{Msg: "parameter 5220, the work system, must be an integer from 1 to 9"}
	}
	ip.st = State{Motion: g80, System: system, Inch: o.Inch, Override: true, Tool: o.Tool}
	if o.Inch {
		ip.scale = mmPerInch
	}
	copy(ip.st.Origin[:], ip.params[systemParameter(system):])
	copy(ip.st.Offset[:], ip.params[parameterG92:parameterG92+6])
	ip.st.OffsetOn = ip.st.Offset != [6]float64{}
	ip.pos = [6]float64{o.Start.X, o.Start.Y, o.Start.Z, o.StartABC[0], o.StartABC[1], o.StartABC[2]}
	ip.allowedG, ip.allowedM = allowed(&o)
	if o.Practice.Subprograms {
		var err error
		if ip.subs, err = findSubprograms(src); err != nil {
			return nil, err
		}
	}
	return ip, nil
}

func (ip *interpreter) run() error {
	for !ip.over {
		b, err := ip.src.Next()
		if err == io.EOF {
			return ip.fail("the program ends without M2, M30 or a closing %%: add M2 or M30 as the last block")
		}
		if err != nil {
			return err
		}
		if ip.blocks == ip.o.Limits.Blocks {
			return ip.fail("more than %d blocks were executed: raise the limit if the program is meant to run so long", ip.blocks)
		}
		ip.blocks++
		ip.line.block = b
		ip.ev.Pos = b.Pos
		ip.ev.Block = b.Pos.Line
		if b.Pos.Line == 0 { // not read from a text
			ip.ev.Block = ip.blocks
		}
		if ip.subs != nil {
			ip.subs.step()
		}
		if err := ip.execute(b); err != nil {
			var e *gcode.Error
			if errors.As(err, &e) && e.File == "" {
				e.File = ip.src.Name()
			}
			return err
		}
	}
	return nil
}

// emit hands the event to the sink.
func (ip *interpreter) emit() error {
	if ip.events == ip.o.Limits.Events {
		return ip.fail("the program has more than %d actions: raise the limit if it is meant to run so long", ip.events)
	}
	ip.events++
	return ip.sink(&ip.ev)
}

// act emits an action that moves nothing.
func (ip *interpreter) act(k Kind) error {
	ip.stay(k)
	return ip.emit()
}

func (ip *interpreter) stay(k Kind) {
	ev := &ip.ev
	ev.Kind = k
	ev.Plane = ip.st.Plane
	ev.From = point(&ip.pos)
	ev.To = ev.From
	ev.FromABC = [3]float64(ip.pos[3:])
	ev.ToABC = ev.FromABC
}

// move emits a straight move to the place.
func (ip *interpreter) move(k Kind, to *[6]float64) error {
	ev := &ip.ev
	ev.Kind = k
	ev.Plane = ip.st.Plane
	ev.From = point(&ip.pos)
	ev.To = point(to)
	ev.FromABC = [3]float64(ip.pos[3:])
	ev.ToABC = [3]float64(to[3:])
	ip.pos = *to
	return ip.emit()
}

func point(a *[6]float64) geom.Point3 { return geom.Point3{X: a[0], Y: a[1], Z: a[2]} }
