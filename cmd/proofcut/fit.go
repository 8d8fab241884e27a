package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"proofcut/paths/fits"
	"proofcut/paths/setup"
)

func fitCommand() *cli.Command {
	return &cli.Command{
		Name:         "fit",
		Usage:        "limits of a disc for a bore and a fit of ISO 286-1, and what the lathe takes off it",
		ArgsUsage:    "BORE FIT",
		OnUsageError: usage,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "measured", Usage: "what the bore measures, such as 12.706mm"},
			&cli.StringFlag{Name: "allowance", Usage: "what the disc is cut larger, on the diameter, such as 5thou"},
			&cli.StringFlag{Name: "cut-within", Value: "0.02mm", Usage: "how far the diameter as cut may be off"},
			&cli.BoolFlag{Name: "json", Usage: "print JSON"},
		},
		Action: func(c *cli.Context) error {
			if c.NArg() != 2 {
				return usageError{fmt.Errorf("fit needs a bore and a fit, such as 12.7mm H7/p6, not %d arguments; see proofcut help fit", c.NArg())}
			}
			r, err := fitReport(c)
			if err != nil {
				return usageError{err}
			}
			return printed(c, func() any { return r }, r.Print)
		},
	}
}

// fitReport reads the arguments of the command; a bare number is millimetres.
func fitReport(c *cli.Context) (fits.Report, error) {
	bore, err := setup.ParseLength(c.Args().Get(0), setup.MM)
	if err != nil {
		return fits.Report{}, fmt.Errorf("bore: %w", err)
	}
	f, err := fits.ParseFit(c.Args().Get(1), bore)
	if err != nil {
		return fits.Report{}, err
	}
	if c.IsSet("measured") {
		m, err := setup.ParseLength(c.String("measured"), setup.MM)
		if err != nil {
			return fits.Report{}, fmt.Errorf("measured: %w", err)
		}
		if f, err = f.Measured(m); err != nil {
			return fits.Report{}, err
		}
	}
	if !c.IsSet("allowance") {
		return fits.NewReport(f, nil), nil
	}
	allowance, err := setup.ParseLength(c.String("allowance"), setup.MM)
	if err != nil {
		return fits.Report{}, fmt.Errorf("allowance: %w", err)
	}
	within, err := setup.ParseLength(c.String("cut-within"), setup.MM)
	if err != nil {
		return fits.Report{}, fmt.Errorf("cut-within: %w", err)
	}
	t, err := fits.Turn(f.Shaft, allowance, within)
	if err != nil {
		return fits.Report{}, err
	}
	return fits.NewReport(f, &t), nil
}
