// Command geometry measures the plane-geometry kernel beside the reference
// libraries and prints one JSON object a line.
//
//	geometry figures -drivers DIR [-max N] [-case NAME]
//	geometry shape NAME N            prints a shape as text
//
// DIR holds the programs geos, clipper and boost, built from the C++ files
// beside this directory. All times are CPU seconds of the operation alone, the
// least of three runs where a run is short.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"syscall"
	"time"

	"proofcut/paths/geom"
)

const (
	facet    = 0.01 // mm, the chord error that the references work with
	distance = 0.5  // mm, of the one offset, inward
	limit    = 60 * time.Second
	short    = 0.3 // s, a run worth repeating
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "geometry:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) == 3 && args[0] == "shape" {
		n, err := strconv.Atoi(args[2])
		if err != nil {
			return err
		}
		r, err := shape(args[1], n)
		if err != nil {
			return err
		}
		_, err = os.Stdout.WriteString(text(r))
		return err
	}
	if len(args) == 0 || args[0] != "figures" {
		return errors.New("usage: geometry figures -drivers DIR [-max N] [-case NAME] | geometry shape NAME N")
	}
	fs := flag.NewFlagSet("figures", flag.ContinueOnError)
	drivers := fs.String("drivers", "", "directory of the reference programs")
	most := fs.Int("max", 100000, "largest size")
	only := fs.String("case", "", "one family only")
	if err := fs.Parse(args[1:]); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "geometry")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	b := bench{drivers: *drivers, dir: dir, out: json.NewEncoder(os.Stdout), lost: map[string]bool{}}
	for _, f := range families {
		if *only != "" && *only != f.name {
			continue
		}
		if err := b.family(f, *most); err != nil {
			return err
		}
	}
	if *only == "" || *only == "arcs" {
		return b.arcs(*most)
	}
	return nil
}

// bench runs the measurements.
type bench struct {
	drivers, dir string
	out          *json.Encoder
	lost         map[string]bool // references that ran out of time on a smaller size
}

// seconds is a measured time, null where the program did not end in time.
type seconds float64

func (s seconds) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(s)) {
		return []byte("null"), nil
	}
	return []byte(strconv.FormatFloat(float64(s), 'g', 4, 64)), nil
}

type offsetFigure struct {
	Figure  string  `json:"figure"`
	Case    string  `json:"case"`
	N       int     `json:"n"`
	Ours    seconds `json:"ours_s"`
	Clipper seconds `json:"clipper_s"`
	GEOS    seconds `json:"geos_s"`
	Rings   int     `json:"ours_rings"`
}

type medialFigure struct {
	Figure string  `json:"figure"`
	Case   string  `json:"case"`
	N      int     `json:"n"`
	Ours   seconds `json:"ours_s"`
	Boost  seconds `json:"boost_s"`
}

type growthFigure struct {
	Figure   string  `json:"figure"`
	Case     string  `json:"case"`
	Exponent seconds `json:"exponent"`
	Of       string  `json:"of"`
}

type memoryFigure struct {
	Figure string `json:"figure"`
	Case   string `json:"case"`
	N      int    `json:"n"`
	Bytes  int    `json:"bytes_per_vertex"`
}

func (b *bench) family(f family, most int) error {
	ours := map[string][]float64{}
	for n := 100; n <= most; n *= 10 {
		r, err := shape(f.name, n)
		if err != nil {
			return err
		}
		file := filepath.Join(b.dir, fmt.Sprintf("%s%d.txt", f.name, n))
		if err := os.WriteFile(file, []byte(text(r)), 0o600); err != nil {
			return err
		}
		var one geom.Region
		t, err := least(func() (err error) {
			one, err = geom.Offset(r, -distance, geom.OffsetOptions{})
			return err
		})
		if err != nil {
			return fmt.Errorf("offset of %s %d: %w", f.name, n, err)
		}
		ours["offset"] = append(ours["offset"], t)
		d := strconv.FormatFloat(-distance, 'g', -1, 64)
		if err := b.out.Encode(offsetFigure{"offset", f.name, n, seconds(t),
			b.reference("clipper", "offset", f.name, file, d), b.reference("geos", "offset", f.name, file, d), len(one)}); err != nil {
			return err
		}
		if err := b.out.Encode(memoryFigure{"memory", f.name, n, memory(r)}); err != nil {
			return err
		}
		step := strconv.FormatFloat(f.step, 'g', -1, 64)
		rings := 0
		t, err = least(func() error {
			all, err := pocket(r, f.step)
			rings = 0
			for _, l := range all {
				rings += len(l)
			}
			return err
		})
		if err != nil {
			return fmt.Errorf("pocket of %s %d: %w", f.name, n, err)
		}
		ours["pocket"] = append(ours["pocket"], t)
		if err := b.out.Encode(offsetFigure{"pocket", f.name, n, seconds(t),
			b.reference("clipper", "pocket", f.name, file, step), b.reference("geos", "pocket", f.name, file, step), rings}); err != nil {
			return err
		}
		t, err = least(func() error {
			_, err := geom.MedialAxis(r, geom.MedialOptions{})
			return err
		})
		if err != nil {
			fmt.Fprintf(os.Stderr, "geometry: medial axis of %s %d: %v\n", f.name, n, err)
			t = math.NaN()
		}
		ours["medial"] = append(ours["medial"], t)
		if err := b.out.Encode(medialFigure{"medial", f.name, n, seconds(t),
			b.reference("boost", "medial", f.name, file)}); err != nil {
			return err
		}
	}
	for _, of := range [...]string{"offset", "pocket", "medial"} {
		if t := ours[of]; len(t) > 1 {
			e := math.Log10(t[len(t)-1] / t[len(t)-2])
			if err := b.out.Encode(growthFigure{"growth", f.name, seconds(e), of}); err != nil {
				return err
			}
		}
	}
	return nil
}

// pocket returns the levels of a pocket at a step, each the offset of r.
func pocket(r geom.Region, step float64) ([]geom.Region, error) {
	size := r.Bounds().Size()
	var ds []float64
	for d := step; d < math.Min(size.X, size.Y)/2+step; d += step {
		ds = append(ds, -d)
	}
	return geom.Offsets(r, ds, geom.OffsetOptions{})
}

// cpu returns the CPU seconds that this process has used.
func cpu() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err) // cannot fail for this process
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + 1e-6*float64(u.Utime.Usec+u.Stime.Usec)
}

// least returns the least CPU time of up to three runs.
func least(f func() error) (float64, error) {
	best := math.Inf(1)
	for range 3 {
		runtime.GC()
		start := cpu()
		if err := f(); err != nil {
			return 0, err
		}
		t := cpu() - start
		best = math.Min(best, t)
		if t > short {
			break
		}
	}
	return best, nil
}

// memory returns all that one offset allocates, in bytes for each segment of r.
// What is live at any moment is less.
func memory(r geom.Region) int {
	n := 0
	for _, c := range r {
		n += len(c)
	}
	defer debug.SetGCPercent(debug.SetGCPercent(-1))
	var a, b runtime.MemStats
	runtime.ReadMemStats(&a)
	if _, err := geom.Offset(r, -distance, geom.OffsetOptions{}); err != nil {
		return -1
	}
	runtime.ReadMemStats(&b)
	return int(b.TotalAlloc-a.TotalAlloc) / n
}

// reference returns the least time of up to three runs of a reference program,
// NaN where it runs out of time here or did on a smaller size.
func (b *bench) reference(program, op, family, file string, more ...string) seconds {
	key := program + op + family
	if b.lost[key] {
		return seconds(math.NaN())
	}
	args := append([]string{op, file}, more...)
	if program != "boost" {
		args = append(args, strconv.FormatFloat(facet, 'g', -1, 64))
	}
	best := math.Inf(1)
	for range 3 {
		ctx, cancel := context.WithTimeout(context.Background(), limit)
		out, err := exec.CommandContext(ctx, filepath.Join(b.drivers, program), args...).Output()
		late := ctx.Err() != nil
		cancel()
		if late {
			b.lost[key] = true
			return seconds(math.NaN())
		}
		if err != nil {
			fmt.Fprintf(os.Stderr, "geometry: %s %s: %v\n", program, strings.Join(args, " "), err)
			return seconds(math.NaN())
		}
		var t float64
		if _, err := fmt.Fscan(bytes.NewReader(out), &t); err != nil {
			fmt.Fprintf(os.Stderr, "geometry: %s: %v\n", program, err)
			return seconds(math.NaN())
		}
		best = math.Min(best, t)
		if t > short {
			break
		}
	}
	return seconds(best)
}
