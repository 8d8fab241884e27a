// Command proofcut turns a job file into RS-274 programs that its own
// interpreter has read back and proven.
//
// Exit status: 0 all programs proven, 1 one or more not proven, 2 bad input or
// usage, 3 the system failed (disk full, no permission).
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"syscall"

	"github.com/urfave/cli/v2"

	"proofcut/paths/hold"
	"proofcut/paths/job"
	"proofcut/paths/nest"
)

// The exit statuses.
const (
	exitProven    = 0
	exitNotProven = 1
	exitInput     = 2
	exitSystem    = 3
)

func main() { os.Exit(run(os.Args, os.Stdout, os.Stderr)) }

// run is main without the process: it returns the exit status.
func run(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	list := commands()
	app := &cli.App{
		Name:      "proofcut",
		Usage:     "programs for small parts, proven before the first cut",
		UsageText: usageText(list),
		Description: "Exit status: 0 every program is proven, 1 one is not, 2 bad input or usage,\n" +
			"3 the system failed. A proof covers the set-up as described; it does not replace\n" +
			"the machine's manual, local rules and the judgement of a qualified person.",
		Commands:        list,
		Writer:          stdout,
		ErrWriter:       stderr,
		HideVersion:     true,
		ExitErrHandler:  func(*cli.Context, error) {},
		OnUsageError:    usage,
		CommandNotFound: nil,
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageError{fmt.Errorf("there is no command %q; the commands are %s", c.Args().First(), names(list))}
			}
			return cli.ShowAppHelp(c)
		},
	}
	if len(args) > 2 {
		args = append(args[:2:2], flagsFirst(args[2:], withValue(list, args[1])...)...)
	}
	err := app.RunContext(ctx, args)
	switch {
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(stderr, "proofcut: interrupted; what was finished before is complete")
	case err != nil && !errors.Is(err, errNotProven):
		fmt.Fprintln(stderr, "proofcut:", err)
	}
	return status(err)
}

// errNotProven ends a command whose programs were made or read but not proven;
// what is wrong has been printed.
var errNotProven = errors.New("not proven")

// usageError is a wrong call of the command.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func usage(_ *cli.Context, err error, _ bool) error {
	return usageError{fmt.Errorf("%w; see proofcut help", err)}
}

// status maps an error to the exit status.
func status(err error) int {
	var list job.ErrorList
	var one *job.Error
	var bad usageError
	switch {
	case err == nil:
		return exitProven
	case errors.Is(err, errNotProven):
		return exitNotProven
	case isSystem(err):
		return exitSystem
	case errors.As(err, &list), errors.As(err, &one), errors.As(err, &bad):
		return exitInput
	case errors.Is(err, fs.ErrNotExist):
		return exitInput // a name that was mistyped
	}
	return exitSystem
}

// jobArgument reads the one job file that a command is called with.
func jobArgument(c *cli.Context) (*job.Job, error) {
	path, err := fileArgument(c, "job file")
	if err != nil {
		return nil, err
	}
	return job.Load(path)
}

// plannerFor reads a job and nests its discs.
func plannerFor(c *cli.Context, path string) (*job.Planner, error) {
	j, err := job.Load(path)
	if err != nil {
		return nil, err
	}
	watch, done := watching(c)
	defer done()
	return job.NewWatchedPlanner(c.Context, j, watch)
}

// watching shows how far the search for the places of the screws and of the parts
// has come.
func watching(c *cli.Context) (watch job.Watch, done func()) {
	bar := newShare(c.App.ErrWriter, "screws")
	return job.Watch{
		Screws: func(p hold.Progress) { bar.set(p.Done) },
		Nest: func(p nest.Progress) {
			bar.say(fmt.Sprintf("nesting, %s so far", count(p.Placed, "part")))
			bar.set(p.Done)
		},
	}, bar.clear
}

// fileArgument returns the one file that a command is called with.
func fileArgument(c *cli.Context, what string) (string, error) {
	if c.NArg() != 1 {
		return "", usageError{fmt.Errorf("%s needs one %s, not %d arguments; see proofcut help %s", c.Command.Name, what, c.NArg(), c.Command.Name)}
	}
	return c.Args().First(), nil
}
