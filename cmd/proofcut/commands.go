package main

import (
	"strings"

	"github.com/urfave/cli/v2"
)

// commands returns all commands in the order of a job: know the slab, hold it,
// nest, make, check.
func commands() []*cli.Command {
	return []*cli.Command{
		traceCommand(),
		probeCommand(),
		holdCommand(),
		nestCommand(),
		yieldCommand(),
		fitCommand(),
		makeCommand(),
		checkCommand(),
	}
}

// usageText lists how the commands are called.
func usageText(list []*cli.Command) string {
	var lines []string
	for _, c := range list {
		lines = append(lines, "proofcut "+c.Name+" "+c.ArgsUsage+" [options]")
	}
	return strings.Join(lines, "\n")
}

// names lists the names of the commands in a sentence.
func names(list []*cli.Command) string {
	var all []string
	for _, c := range list {
		all = append(all, c.Name)
	}
	last := len(all) - 1
	return strings.Join(all[:last], ", ") + " and " + all[last]
}

// withValue returns the names of a command's flags that take a value.
func withValue(list []*cli.Command, command string) []string {
	var out []string
	for _, c := range list {
		if c.Name != command {
			continue
		}
		for _, f := range c.Flags {
			if _, plain := f.(*cli.BoolFlag); !plain {
				out = append(out, f.Names()...)
			}
		}
	}
	return out
}
