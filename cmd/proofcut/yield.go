package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"proofcut/gcode/release"
	"proofcut/gcode/yield"
	"proofcut/paths/job"
	"proofcut/paths/setup"
)

func yieldCommand() *cli.Command {
	flags := []cli.Flag{
		&cli.StringFlag{Name: "part", Usage: "the nested part to vary, when the job has several"},
		&cli.StringFlag{Name: "out", Usage: "draw the table as NAME.yield.svg into `DIR`"},
		&cli.BoolFlag{Name: "json", Usage: "print JSON"},
	}
	for _, v := range yield.Variables {
		flags = append(flags, &cli.StringFlag{Name: v.String(), Usage: "`LENGTHS` to try, such as 0.8mm,1mm,1/16in"})
	}
	return &cli.Command{
		Name:         "yield",
		Usage:        "parts, waste, time and money against cutter, web, allowance and disc size",
		ArgsUsage:    "JOB.yaml",
		OnUsageError: usage,
		Description: "Plans, writes and proves the job again for every value, one figure changed at a\n" +
			"time. With values given only their figures are varied, otherwise all of them.",
		Flags: flags,
		Action: func(c *cli.Context) error {
			j, err := jobArgument(c)
			if err != nil {
				return err
			}
			o := yield.Options{Part: c.String("part"), Values: map[yield.Variable][]float64{}}
			for _, v := range yield.Variables {
				if !c.IsSet(v.String()) {
					continue
				}
				if o.Values[v], err = lengths(c.String(v.String()), j.Unit); err != nil {
					return usageError{fmt.Errorf("--%s: %w", v, err)}
				}
				o.Only = true
			}
			var bar progress
			o.Each = func(done, total int) {
				if done == 1 {
					bar = newProgress(c.App.ErrWriter, total)
				}
				bar.step()
			}
			t, err := yield.Of(c.Context, j, o)
			bar.clear()
			if c.Context.Err() != nil {
				return c.Context.Err()
			}
			if err != nil {
				return usageError{err}
			}
			return writeYield(c, j, t)
		},
	}
}

func writeYield(c *cli.Context, j *job.Job, t *yield.Table) error {
	if err := printed(c, func() any { return t }, t.Print); err != nil {
		return err
	}
	if !c.IsSet("out") {
		return nil
	}
	if err := os.MkdirAll(c.String("out"), 0o755); err != nil {
		return outputError{err}
	}
	if err := release.WriteFile(filepath.Join(c.String("out"), job.FileName(j.Name)+".yield.svg"), t.WriteSVG); err != nil {
		return outputError{err}
	}
	return nil
}

// maxValues bounds a list of lengths; every one is a job planned and proven.
const maxValues = 20

// lengths reads lengths parted by commas.
func lengths(s string, unit setup.Unit) ([]float64, error) {
	words := strings.Split(s, ",")
	if len(words) > maxValues {
		return nil, fmt.Errorf("%d values, at most %d are tried", len(words), maxValues)
	}
	var out []float64
	for _, w := range words {
		v, err := setup.ParseLength(w, unit)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}
