// Package release takes a job from its document to files that a machine may
// run. For every program it plans the toolpaths, writes the program text, hands
// that text and nothing else to the proof, draws what the interpreter read, and
// lets the program out only when it is proven.
package release

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"proofcut/gcode/drawing"
	"proofcut/gcode/interp"
	"proofcut/gcode/post"
	"proofcut/gcode/proof"
	"proofcut/paths/job"
	"proofcut/paths/setup"
)

// Program is one program of a job with its proof.
type Program struct {
	Name    string       // without folder and ending
	Setup   *setup.Setup // what it is proven against, nil when it could not be planned
	Text    []byte       // nil when it could not be planned
	Record  *proof.Record
	Drawing []byte // SVG
	Notes   []string

	CutLength float64 // mm that a tool travels at feed rate below the stock's top
}

// Build plans, writes and proves one program in memory. What cannot be planned
// is no error but a program without text, whose record is not proven and says
// why. The error is of the set-up, of the context or of the system.
func Build(ctx context.Context, p *job.Planner, row job.Program) (*Program, error) {
	out := &Program{Name: row.Name}
	file := row.Name + ".nc"
	plan, err := p.Plan(row)
	if err != nil {
		out.Record = refused(p.Job().Name, file, "plan", err)
		return out, ctx.Err()
	}
	out.Setup = plan.Setup
	for _, n := range plan.Notes {
		out.Notes = append(out.Notes, n.String())
	}
	var text bytes.Buffer
	if err := post.Write(&text, plan.Setup, header(p, plan), plan.Toolpaths); err != nil {
		out.Record = refused(p.Job().Name, file, "post", err)
		return out, ctx.Err()
	}
	out.Text = text.Bytes()
	var cut length
	out.Record, out.Drawing, err = prove(plan.Setup, file, cut.of(plan.Setup), func(o proof.Options) (*proof.Record, error) {
		return proof.Check(ctx, plan.Setup, file, bytes.NewReader(out.Text), o)
	})
	out.CutLength = float64(cut)
	return out, err
}

// Check proves a program text, wherever it comes from, against the set-up of
// one program of a job. When the job itself cannot be planned the program is
// held against what there is of the set-up, and the record is not proven.
func Check(ctx context.Context, p *job.Planner, row job.Program, file string, text io.Reader) (*proof.Record, error) {
	s, planErr := p.SetupOf(row)
	if s == nil {
		return refused(p.Job().Name, file, "plan", planErr), nil
	}
	record, err := proof.Check(ctx, s, file, text, proof.Options{})
	if err != nil {
		return nil, err
	}
	if planErr != nil {
		record.Proven = false
		record.Findings = append(refused(s.Name, file, "plan", planErr).Findings, record.Findings...)
	}
	return record, nil
}

// length is how far a tool travels in the stock, mm.
type length float64

// of returns an observer that adds up the motions at feed rate that end below the
// stock's top.
func (l *length) of(s *setup.Setup) func(*interp.Event) {
	return func(e *interp.Event) {
		if (e.Kind == interp.Feed || e.Kind == interp.Arc) && e.To.Z < s.Stock.Top {
			*l += length(e.Length())
		}
	}
}

// prove draws a program while check proves it with the options it is given; also
// hears every event and may be nil.
func prove(s *setup.Setup, file string, also func(*interp.Event), check func(proof.Options) (*proof.Record, error)) (*proof.Record, []byte, error) {
	d := drawing.New(s, drawing.Title{Job: s.Name, Program: file})
	record, err := check(proof.Options{Observer: func(e *interp.Event) {
		d.Add(e)
		if also != nil {
			also(e)
		}
	}})
	if err != nil {
		return nil, nil, err
	}
	d.Proven(record.Proven)
	var svg bytes.Buffer
	if err := d.WriteSVG(&svg); err != nil {
		return nil, nil, err
	}
	return record, svg.Bytes(), nil
}

// refused is the record of a program that does not exist.
func refused(name, file, rule string, err error) *proof.Record {
	return &proof.Record{
		Setup:   name,
		Program: proof.Program{File: file},
		Findings: []proof.Finding{{
			Severity: proof.Fault, Rule: rule, Text: err.Error(),
		}},
	}
}

// Make builds every program of a job and writes its files into dir: the record
// and the drawing always, the program only when it is proven. An older program
// of the same name goes away first, so that none stands beside a record that is
// not its own. each is called after every program and may be nil.
//
// Make stops at the first error of the system. It returns how many programs are
// not proven.
func Make(ctx context.Context, p *job.Planner, dir string, each func(*Program)) (failed int, err error) {
	for _, row := range p.Programs() {
		if err := ctx.Err(); err != nil {
			return failed, err
		}
		path := filepath.Join(dir, row.Name)
		if err := remove(path + ".nc"); err != nil {
			return failed, err
		}
		prog, err := Build(ctx, p, row)
		if err != nil {
			return failed, fmt.Errorf("%s: %w", row.Name, err)
		}
		if err := prog.write(path); err != nil {
			return failed, err
		}
		if !prog.Record.Proven {
			failed++
		}
		if each != nil {
			each(prog)
		}
	}
	return failed, nil
}

func (p *Program) write(path string) error {
	if err := WriteFile(path+".proof.json", p.Record.WriteJSON); err != nil {
		return err
	}
	if p.Drawing != nil {
		err := WriteFile(path+".svg", func(w io.Writer) error {
			_, err := w.Write(p.Drawing)
			return err
		})
		if err != nil {
			return err
		}
	} else if err := remove(path + ".svg"); err != nil {
		return err
	}
	if !p.Record.Proven {
		return nil
	}
	if len(p.Text) == 0 {
		return errors.New("a proven program has no text") // cannot be; nothing may run on it
	}
	return WriteFile(path+".nc", func(w io.Writer) error {
		_, err := w.Write(p.Text)
		return err
	})
}
