package main

import (
	"encoding/json"
	"io"

	"github.com/urfave/cli/v2"
)

// printed prints what a command found: as JSON with --json, else as text for a
// person.
func printed(c *cli.Context, data func() any, text func(io.Writer) error) error {
	var err error
	if c.Bool("json") {
		e := json.NewEncoder(c.App.Writer)
		e.SetIndent("", "  ")
		err = e.Encode(data())
	} else {
		err = text(c.App.Writer)
	}
	if err != nil {
		return outputError{err}
	}
	return nil
}
