package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"proofcut/gcode/proof"
	"proofcut/gcode/release"
	"proofcut/paths/job"
)

func checkCommand() *cli.Command {
	return &cli.Command{
		Name:         "check",
		Usage:        "prove a program, from wherever it comes, against a job's set-up",
		ArgsUsage:    "PROGRAM.nc --job JOB.yaml",
		OnUsageError: usage,
		Description: "For a job with a batch the row is the one whose program has the name of the file,\n" +
			"or the one given with --as.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "job", Usage: "the set-up is that of `JOB.yaml`"},
			&cli.StringFlag{Name: "as", Usage: "take the program for `NAME`, one of the batch's programs"},
			&cli.BoolFlag{Name: "json", Usage: "print the proof record as JSON"},
			&cli.BoolFlag{Name: "probe", Usage: "the program is one that probes the face of the stock"},
			&cli.BoolFlag{Name: "rules", Usage: "list the rules of the proof with their reasons, and check nothing"},
		},
		Action: func(c *cli.Context) error {
			if c.Bool("rules") {
				return printRules(c.App.Writer)
			}
			path, err := fileArgument(c, "program")
			if err != nil {
				return err
			}
			if c.String("job") == "" {
				return usageError{fmt.Errorf("check needs the job whose set-up the program is for: --job JOB.yaml")}
			}
			text, err := openProgram(path)
			if err != nil {
				return err
			}
			defer text.Close()
			p, err := plannerFor(c, c.String("job"))
			if err != nil {
				return err
			}
			row, err := rowFor(p, path, c.String("as"))
			if err != nil {
				return err
			}
			prove := release.Check
			if c.Bool("probe") {
				prove = release.CheckProbe
			}
			record, err := prove(c.Context, p, row, filepath.Base(path), text)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				err = record.WriteJSON(c.App.Writer)
			} else {
				printRecord(c.App.Writer, record, path)
			}
			if err != nil {
				return outputError{err}
			}
			if !record.Proven {
				return errNotProven
			}
			return nil
		},
	}
}

// printRules lists what a proof looks for.
func printRules(w io.Writer) error {
	seen := map[string]bool{}
	for _, r := range append(proof.Rules(), proof.ProbingRules()...) {
		if seen[r.Name] {
			continue
		}
		seen[r.Name] = true
		if _, err := fmt.Fprintf(w, "%-18s %-8s %s\n", r.Name, r.Severity, r.Reason); err != nil {
			return outputError{err}
		}
	}
	return nil
}

// openProgram opens a program text. A folder has none, and a device may never
// come to its end.
func openProgram(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if info.IsDir() || info.Mode()&os.ModeDevice != 0 {
		return nil, usageError{fmt.Errorf("%s is no file that could hold a program", path)}
	}
	return os.Open(path)
}

// rowFor finds the program of a job that a file is checked as.
func rowFor(p *job.Planner, path, as string) (job.Program, error) {
	list := p.Programs()
	if as == "" && len(list) == 1 {
		return list[0], nil
	}
	name := as
	if name == "" {
		name = strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	}
	for _, r := range list {
		if r.Name == name {
			return r, nil
		}
	}
	return job.Program{}, usageError{fmt.Errorf("the job has no program %q; say with --as which of its %d programs this is, such as --as %s", name, len(list), list[0].Name)}
}
