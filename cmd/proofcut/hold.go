package main

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/urfave/cli/v2"

	"proofcut/gcode/release"
	"proofcut/paths/hold"
	"proofcut/paths/job"
)

func holdCommand() *cli.Command {
	return &cli.Command{
		Name:         "hold",
		Usage:        "show where the screws go that hold the slab, and what they cost in parts",
		ArgsUsage:    "JOB.yaml",
		OnUsageError: usage,
		Description: "With 'screws: choose' in the job the places are chosen that leave the most parts;\n" +
			"otherwise the job's own are measured. Interrupting keeps the best so far.",
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "json", Usage: "print JSON"},
			&cli.StringFlag{Name: "out", Usage: "write a picture NAME-hold.svg and a table NAME-screws.csv into `DIR`; it is made when it is missing"},
		},
		Action: func(c *cli.Context) error {
			j, err := jobArgument(c)
			if err != nil {
				return err
			}
			if j.Screws == nil {
				return usageError{fmt.Errorf("the job has no screws to place; give it the key screws, such as\n  screws: {count: 3, head: 5.5mm, hole: 3.4mm, head_height: 3mm, clearance: 0.5mm, reach: 25mm, plate: {rectangle: {at: [-5, -5], size: [70, 55]}, edge: 5mm}, choose: {effort: 6s}}")}
			}
			bar := newShare(c.App.ErrWriter, "screws")
			h, err := job.Hold(c.Context, j, func(p hold.Progress) { bar.set(p.Done) })
			bar.clear()
			if err != nil {
				return err
			}
			if err := printed(c, func() any { return h.Record() }, h.Print); err != nil {
				return err
			}
			if dir := c.String("out"); dir != "" {
				if err := os.MkdirAll(dir, 0o755); err != nil {
					return outputError{err}
				}
				name := filepath.Join(dir, job.FileName(j.Name))
				if err := release.WriteFile(name+"-hold.svg", h.WriteSVG); err != nil {
					return outputError{err}
				}
				if err := release.WriteFile(name+"-screws.csv", h.WriteCSV); err != nil {
					return outputError{err}
				}
			}
			return nil
		},
	}
}
