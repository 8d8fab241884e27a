package main

import (
	"errors"
	"fmt"
	"os"

	"github.com/urfave/cli/v2"

	"proofcut/gcode/release"
	"proofcut/paths/job"
)

func probeCommand() *cli.Command {
	return &cli.Command{
		Name:         "probe",
		Usage:        "write a program that probes the face of the stock, and the table to fill in",
		ArgsUsage:    "JOB.yaml",
		OnUsageError: usage,
		Description: "Writes NAME-probe.proof.json, NAME-probe.svg and NAME-probe.csv into DIR, and\n" +
			"NAME-probe.nc only when the program is proven. The language of the programs has no\n" +
			"word that writes a file: read z off the control into the table, then give it to\n" +
			"the job as the surface of its stock.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "out", Value: ".", Usage: "write the files into `DIR`; it is made when it is missing"},
		},
		Action: func(c *cli.Context) error {
			j, err := jobArgument(c)
			if err != nil {
				return err
			}
			watch, done := watching(c)
			p, err := job.NewProbePlanner(c.Context, j, watch)
			done()
			if err != nil {
				return err
			}
			if err := printReport(c.App.Writer, p.Job()); err != nil {
				return err
			}
			prog, err := release.Probe(c.Context, p)
			if err != nil {
				return err
			}
			dir := c.String("out")
			if err := os.MkdirAll(dir, 0o755); err != nil {
				return outputError{err}
			}
			if err := prog.Write(dir); err != nil {
				if errors.Is(err, release.ErrFilledIn) {
					return usageError{err}
				}
				return outputError{err}
			}
			printRecord(c.App.Writer, prog.Record, prog.Name+".nc")
			if !prog.Record.Proven {
				fmt.Fprintln(c.App.Writer, "the program is not proven; no .nc file was written")
				return errNotProven
			}
			_, err = fmt.Fprintf(c.App.Writer, "%d places to touch; fill in the column z of %s.csv\n", len(prog.Setup.Probing.Points), prog.Name)
			if err != nil {
				return outputError{err}
			}
			return nil
		},
	}
}
