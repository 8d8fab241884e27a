package main

import (
	"io"
	"os"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress is a bar on a terminal and silent elsewhere.
type progress struct{ bar *progressbar.ProgressBar }

func newProgress(w io.Writer, total int) progress {
	f, ok := w.(*os.File)
	if !ok || total < 2 || !term.IsTerminal(int(f.Fd())) {
		return progress{}
	}
	return progress{progressbar.NewOptions(total,
		progressbar.OptionSetWriter(w),
		progressbar.OptionSetDescription("programs"),
		progressbar.OptionShowCount(),
		progressbar.OptionClearOnFinish(),
	)}
}

func (p progress) step() {
	if p.bar != nil {
		_ = p.bar.Add(1) // a bar that cannot be drawn is no reason to stop
	}
}

func (p progress) clear() {
	if p.bar != nil {
		_ = p.bar.Clear()
	}
}

// share is a bar of a share of work on a terminal and silent elsewhere.
type share struct{ progress }

const shareSteps = 200

func newShare(w io.Writer, what string) share {
	p := newProgress(w, shareSteps)
	if p.bar != nil {
		p.bar.Describe(what)
	}
	return share{p}
}

// say changes what the bar is about.
func (s share) say(what string) {
	if s.bar != nil {
		s.bar.Describe(what)
	}
}

func (s share) set(done float64) {
	if s.bar != nil {
		_ = s.bar.Set(int(done * shareSteps))
	}
}
