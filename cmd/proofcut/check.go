package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"proofcut/gcode/release"
	"proofcut/paths/job"
)

func checkCommand() *cli.Command {
	return &cli.Command{
		Name:         "check",
		Usage:        "prove a program, from wherever it comes, against a job's set-up",
		ArgsUsage:    "PROGRAM.nc",
		OnUsageError: usage,
		Description: "For a job with a batch the row is the one whose program has the name of the file,\n" +
			"or the one given with --as.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "job", Usage: "the set-up is that of `JOB.yaml`"},
			&cli.StringFlag{Name: "as", Usage: "take the program for `NAME`, one of the batch's programs"},
			&cli.BoolFlag{Name: "json", Usage: "print the proof record as JSON"},
		},
		Action: func(c *cli.Context) error {
			path, err := fileArgument(c, "program")
			if err != nil {
				return err
			}
			if c.String("job") == "" {
				return usageError{fmt.Errorf("check needs the job whose set-up the program is for: --job JOB.yaml")}
			}
			j, err := job.Load(c.String("job"))
			if err != nil {
				return err
			}
			text, err := os.Open(path)
			if err != nil {
				return err
			}
			defer text.Close()
			p, err := job.NewPlanner(c.Context, j)
			if err != nil {
				return err
			}
			row, err := rowFor(p, path, c.String("as"))
			if err != nil {
				return err
			}
			record, err := release.Check(c.Context, p, row, filepath.Base(path), text)
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
