// Command proof measures what the proof claims and prints one JSON object a
// line: "prove", the cost of a proof with removed material of a long engraving
// program in CPU time, and "faults", how many harmful faults put into proven
// programs are caught. Misses are listed on standard error.
package main

import (
	"bufio"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"syscall"

	"proofcut/gcode/proof"
	"proofcut/gcode/proof/prooftest"
)

// The figures, as they are printed.
type (
	proveFigure struct {
		Figure     string  `json:"figure"`
		Blocks     int     `json:"blocks"`
		Time       float64 `json:"us_per_block"`
		Peak       float64 `json:"peak_mib"`
		Resolution float64 `json:"resolution_mm"`
		Exponent   float64 `json:"exponent"`
	}
	faultsFigure struct {
		Figure      string `json:"figure"`
		Kinds       int    `json:"kinds"`
		Mutants     int    `json:"mutants"`
		Harmful     int    `json:"harmful"`
		Caught      int    `json:"caught"`
		FalseAlarms int    `json:"false_alarms"`
		Refused     int    `json:"refused"` // by any control, no harm before
		Unread      int    `json:"unread"`  // controls may do this or that, no harm before
		Silent      int    `json:"silent"`  // refused or unread, and proven; unread without a caution
		Benign      int    `json:"benign"`
	}
)

func main() {
	log.SetFlags(0)
	blocks := flag.Int("blocks", 1_000_000, "length of the engraving program")
	mutants := flag.Int("mutants", 20_000, "programs with a fault")
	seed := flag.Uint64("seed", 1, "of the faults")
	flag.Parse()
	for _, figure := range flag.Args() {
		var err error
		switch figure {
		case "prove":
			err = prove(*blocks)
		case "faults":
			err = faults(*mutants, *seed)
		default:
			err = fmt.Errorf("no figure %q", figure)
		}
		if err != nil {
			log.Fatal(err)
		}
	}
}

// prove proves engraving programs of three lengths; the exponent is the slope
// of CPU time over length on logarithmic scales between the last two.
func prove(blocks int) error {
	var last, cpu float64
	var before, n int
	var r *proof.Record
	for _, want := range []int{blocks / 16, blocks / 4, blocks} {
		before, last = n, cpu
		var err error
		if r, cpu, err = proveOne(want); err != nil {
			return err
		}
		n = r.Program.Blocks
	}
	return show(proveFigure{"prove", n, round(cpu / float64(n) * 1e6), round(peak()), r.Material.Resolution,
		round(math.Log(cpu/last) / math.Log(float64(n)/float64(before)))})
}

func proveOne(blocks int) (*proof.Record, float64, error) {
	e := prooftest.NewEngraving(blocks)
	f, err := os.CreateTemp("", "engraving-*.nc")
	if err != nil {
		return nil, 0, err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	w := bufio.NewWriterSize(f, 1<<20)
	if _, err := e.WriteTo(w); err != nil {
		return nil, 0, err
	}
	if err := w.Flush(); err != nil {
		return nil, 0, err
	}
	if _, err := f.Seek(0, 0); err != nil {
		return nil, 0, err
	}
	start := used()
	r, err := proof.Check(context.Background(), e.Setup, "engraving.nc", f, proof.Options{})
	if err != nil {
		return nil, 0, err
	}
	if !r.Proven {
		return nil, 0, fmt.Errorf("the engraving program is not proven: %+v", r.Findings)
	}
	return r, used() - start, nil
}

func faults(mutants int, seed uint64) error {
	missed := 0
	r, err := prooftest.Run(context.Background(), mutants, seed, func(r prooftest.Result) {
		for ; missed < len(r.Misses); missed++ {
			log.Printf("missed: %s\n%s", r.Misses[missed], r.Misses[missed].Text)
		}
		if r.Mutants%1000 == 0 {
			log.Printf("%d mutants, %d harmful, %d caught", r.Mutants, r.Harmful, r.Caught)
		}
	})
	if err != nil {
		return err
	}
	return show(faultsFigure{"faults", r.Kinds, r.Mutants, r.Harmful, r.Caught, r.FalseAlarms, r.Refused,
		r.Unread, len(r.Misses) - (r.Harmful - r.Caught), r.Benign})
}

func show(v any) error { return json.NewEncoder(os.Stdout).Encode(v) }

func round(v float64) float64 { return math.Round(v*100) / 100 }

func usage() syscall.Rusage {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		log.Fatal(err)
	}
	return u
}

// used returns the CPU time of the process in seconds.
func used() float64 {
	u := usage()
	sec := func(t syscall.Timeval) float64 { return float64(t.Sec) + float64(t.Usec)/1e6 }
	return sec(u.Utime) + sec(u.Stime)
}

// peak returns the largest resident size of the process in MiB.
func peak() float64 { return float64(usage().Maxrss) / 1024 }
