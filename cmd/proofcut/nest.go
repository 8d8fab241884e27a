package main

import (
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"proofcut/paths/job"
)

func nestCommand() *cli.Command {
	return &cli.Command{
		Name:         "nest",
		Usage:        "show how many parts fit, where, and what share of the slab they use",
		ArgsUsage:    "JOB.yaml",
		OnUsageError: usage,
		Flags:        []cli.Flag{&cli.BoolFlag{Name: "json", Usage: "print JSON"}},
		Action: func(c *cli.Context) error {
			path, err := fileArgument(c, "job file")
			if err != nil {
				return err
			}
			p, err := plannerFor(c, path)
			if err != nil {
				return err
			}
			layouts := p.Layouts()
			if len(layouts) == 0 {
				return usageError{fmt.Errorf("the job nests nothing: none of its parts has the key nest")}
			}
			return printed(c, func() any {
				var list []job.LayoutRecord
				for _, l := range layouts {
					list = append(list, l.Record())
				}
				return list
			}, func(w io.Writer) error {
				if err := printReport(w, p.Job()); err != nil {
					return err
				}
				for _, l := range layouts {
					if err := l.Print(w); err != nil {
						return err
					}
				}
				return nil
			})
		},
	}
}
