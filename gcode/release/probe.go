package release

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"

	"proofcut/gcode/post"
	"proofcut/gcode/proof"
	"proofcut/paths/job"
)

// maxProgram bounds a probing program that is read from a file: a few hundred
// places take some tens of thousands of bytes.
const maxProgram = 16 << 20

// Probing is a probing program with its proof.
type Probing struct {
	Program
	Table []byte // CSV to be filled in, see job.ProbeColumns
}

// Probe plans, writes and proves the program that probes the face of a job's
// stock. The error says why the face cannot be probed.
func Probe(ctx context.Context, p *job.Planner) (*Probing, error) {
	s, err := p.ProbeSetup()
	if err != nil {
		return nil, err
	}
	out := &Probing{Program: Program{Name: job.FileName(p.Job().Name) + "-probe", Setup: s}}
	var text, table bytes.Buffer
	if err := post.WriteProbe(&text, s, post.Header{Job: s.Name, Zero: p.Job().Zero, Notes: p.Job().Report()}); err != nil {
		return nil, err
	}
	if err := job.WriteProbeTable(&table, s); err != nil {
		return nil, err
	}
	out.Text, out.Table = text.Bytes(), table.Bytes()
	out.Record, out.Drawing, err = prove(s, out.Name+".nc", nil, func(o proof.Options) (*proof.Record, error) {
		return proof.CheckProbing(ctx, s, out.Name+".nc", out.Text, o)
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// CheckProbe proves a probing program, wherever it comes from, against the
// probing set-up of a job. The row does not matter.
func CheckProbe(ctx context.Context, p *job.Planner, _ job.Program, file string, text io.Reader) (*proof.Record, error) {
	s, err := p.ProbeSetup()
	if err != nil {
		return nil, err
	}
	data, err := io.ReadAll(io.LimitReader(text, maxProgram+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxProgram {
		return nil, fmt.Errorf("%s has more than %d bytes, no probing program is that long", file, maxProgram)
	}
	return proof.CheckProbing(ctx, s, file, data, proof.Options{})
}

// Write writes the files of a probing program into dir: record, drawing and the
// table to fill in always, the program only when it is proven. A table that is
// there already and has been filled in is not written over: that is an error.
func (p *Probing) Write(dir string) error {
	path := filepath.Join(dir, p.Name)
	if err := remove(path + ".nc"); err != nil {
		return err
	}
	if err := p.writeTable(path + ".csv"); err != nil {
		return err
	}
	return p.write(path)
}
