package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/urfave/cli/v2"

	"proofcut/gcode/proof"
	"proofcut/gcode/release"
)

func makeCommand() *cli.Command {
	return &cli.Command{
		Name:         "make",
		Usage:        "plan a job, write its programs, read them back and prove them",
		ArgsUsage:    "JOB.yaml",
		OnUsageError: usage,
		Description: "Writes NAME.proof.json and NAME.svg for every program into DIR, and NAME.nc only\n" +
			"when the program is proven.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "out", Value: ".", Usage: "write the files into `DIR`; it is made when it is missing"},
		},
		Action: func(c *cli.Context) error {
			path, err := fileArgument(c, "job file")
			if err != nil {
				return err
			}
			p, err := plannerFor(c, path)
			if err != nil {
				return err
			}
			dir := c.String("out")
			if err := os.MkdirAll(dir, 0o755); err != nil {
				return outputError{err}
			}
			if err := printReport(c.App.Writer, p.Job()); err != nil {
				return err
			}
			bar := newProgress(c.App.ErrWriter, len(p.Programs()))
			failed, err := release.Make(c.Context, p, dir, func(prog *release.Program) {
				bar.clear()
				printProgram(c.App.Writer, prog)
				bar.step()
			})
			bar.clear()
			if err != nil {
				return outputError{err}
			}
			if failed > 0 {
				fmt.Fprintf(c.App.Writer, "%d of %d programs not proven; no .nc file was written for them\n", failed, len(p.Programs()))
				return errNotProven
			}
			return nil
		},
	}
}

// outputError is an error of writing: a missing folder is then the system's
// fault and not a mistyped name.
type outputError struct{ error }

func (e outputError) Unwrap() error { return e.error }

// printProgram prints what a person wants to know first about a program.
func printProgram(w io.Writer, p *release.Program) {
	r := p.Record
	for _, n := range p.Notes {
		fmt.Fprintf(w, "note      %s: %s\n", p.Name, n)
	}
	printRecord(w, r, p.Name+".nc")
}

// printRecord prints the verdict of a proof in one line, and every finding in
// the form file:line:col that editors understand.
func printRecord(w io.Writer, r *proof.Record, file string) {
	if !r.Proven {
		fmt.Fprintf(w, "NOT PROVEN  %s\n", file)
	} else {
		fmt.Fprintf(w, "proven      %s  %d blocks, %s", file, r.Program.Blocks, duration(r.Time))
		if n := len(r.Parts); n > 0 {
			fmt.Fprintf(w, ", %s", count(n, "part"))
		}
		if c, ok := tightest(r); ok {
			fmt.Fprintf(w, ", least clearance %.3f mm to %s in block %d", c.Minimum, c.Zone, c.Block)
		}
		fmt.Fprintln(w)
	}
	for _, f := range r.Findings {
		place := file
		if f.Line > 0 {
			place = fmt.Sprintf("%s:%d:%d", file, f.Line, max(f.Col, 1))
		}
		block := ""
		if f.Block > 0 {
			block = fmt.Sprintf("block %d: ", f.Block)
		}
		fmt.Fprintf(w, "  %s: %s: %s%s [%s]\n", place, f.Severity, block, f.Text, f.Rule)
	}
	for _, s := range r.Suppressed {
		fmt.Fprintf(w, "  %s: and %d more of [%s]\n", s.Severity, s.More, s.Rule)
	}
}

// tightest returns the clearance that exceeds what is needed by the least.
func tightest(r *proof.Record) (proof.Clearance, bool) {
	var best proof.Clearance
	found := false
	for _, c := range r.Clearances {
		if c.Block == 0 {
			continue
		}
		if !found || c.Minimum-c.Needed < best.Minimum-best.Needed {
			best, found = c, true
		}
	}
	return best, found
}

func duration(s float64) string {
	t := int(s + 0.5)
	if t < 60 {
		return fmt.Sprintf("%d s", t)
	}
	return fmt.Sprintf("%d min %02d s", t/60, t%60)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// isSystem reports whether an error came from writing.
func isSystem(err error) bool {
	var o outputError
	return errors.As(err, &o)
}
