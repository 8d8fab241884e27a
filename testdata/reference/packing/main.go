// Command packing measures the nesting routine: the radius reached for the
// containers of the packing table, as a share of the best-known one, and the
// discs placed on irregular slabs beside the best hexagonal lattice and the
// proven bound, for rising effort. It prints one JSON object a line.
//
// Run it from the top of the repository; seconds are processor time of one core.
package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"strconv"
	"syscall"

	"proofcut/paths/geom"
	"proofcut/paths/nest"
)

// The figures, as they are printed.
type (
	packingFigure struct {
		Figure    string  `json:"figure"`
		Container string  `json:"container"`
		N         int     `json:"n"`
		Ratio     float64 `json:"ratio"`
		Seconds   float64 `json:"seconds"`
	}
	slabFigure struct {
		Figure    string  `json:"figure"`
		Case      string  `json:"case"`
		Effort    float64 `json:"effort"`
		Hexagonal int     `json:"hexagonal"`
		Placed    int     `json:"placed"`
		Bound     int     `json:"bound"`
		Share     float64 `json:"share"`
		Seconds   float64 `json:"seconds"`
	}
)

func main() {
	table := flag.String("table", "paths/nest/testdata/packing.csv", "the packing table")
	most := flag.Int("n", 100, "largest count of the table to run")
	small := flag.Float64("small", 8, "effort for counts to 30, nominal seconds")
	large := flag.Float64("large", 50, "effort for larger counts, nominal seconds")
	seed := flag.Uint64("seed", 1, "seed of the search")
	flag.Parse()
	runtime.GOMAXPROCS(1)
	if err := packings(*table, *most, *small, *large, *seed); err != nil {
		fmt.Fprintln(os.Stderr, "packing:", err)
		os.Exit(1)
	}
	if err := slabs(*seed); err != nil {
		fmt.Fprintln(os.Stderr, "packing:", err)
		os.Exit(1)
	}
}

// processor returns the processor time used so far.
func processor() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return math.NaN()
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}

func print(v any) error { return json.NewEncoder(os.Stdout).Encode(v) }

func round(v float64) float64 { return math.Round(v*1000) / 1000 }

func packings(table string, most int, small, large float64, seed uint64) error {
	file, err := os.Open(table)
	if err != nil {
		return err
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		return err
	}
	containers := map[string]geom.Region{
		"unit-circle": geom.RegionOf(geom.Circle(geom.Pt(0, 0), 1)),
		"unit-square": geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(1, 1), 0)),
	}
	for _, row := range rows[1:] {
		n, err := strconv.Atoi(row[1])
		if err != nil {
			return err
		}
		best, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			return err
		}
		if n > most {
			continue
		}
		o := nest.RadiusOptions{Seed: seed, Effort: small, Enough: best * (1 - 1e-12)}
		if n > 30 {
			o.Effort = large
		}
		start := processor()
		p, err := nest.MaxRadius(context.Background(), containers[row[0]], n, o)
		if err != nil {
			return fmt.Errorf("%s %d: %w", row[0], n, err)
		}
		if err := print(packingFigure{"packing", row[0], n, p.Radius / best, round(processor() - start)}); err != nil {
			return err
		}
	}
	return nil
}

// slab returns an irregular outline of 18 points about w by h.
func slab(seed uint64, w, h float64) geom.Region {
	rng := rand.New(rand.NewPCG(seed, 1))
	ps := make([]geom.Point, 18)
	for i := range ps {
		a := 2 * math.Pi * (float64(i) + 0.6*rng.Float64()) / float64(len(ps))
		c, s := math.Cos(a), math.Sin(a)
		k := (0.8 + 0.2*rng.Float64()) / math.Pow(math.Pow(math.Abs(c), 4)+math.Pow(math.Abs(s), 4), 0.25)
		ps[i] = geom.Pt(w/2*c*k, h/2*s*k)
	}
	return geom.RegionOf(geom.Polygon(ps...))
}

// screwed returns the problem of the inlay job on such a slab: 12.7 mm discs
// cut 0.127 mm oversize with a 1/16 in cutter and a web of 0.2 mm, screws with
// heads of 5 mm and a clearance of 0.6 mm.
func screwed(seed uint64, w, h, circle float64, screws int) nest.Problem {
	const cutter = 25.4 / 16
	p := nest.Problem{Stock: slab(seed, w, h), Diameter: 12.827, Gap: cutter + 0.2, Edge: 1}
	for i := range screws {
		q := geom.Polar(circle, float64(i)*2*math.Pi/float64(screws)+0.2)
		p.Keepouts = append(p.Keepouts, nest.Keepout{Area: geom.RegionOf(geom.Circle(q, 2.5)), Margin: 0.6 + cutter})
	}
	return p
}

func slabs(seed uint64) error {
	type named struct {
		name string
		p    nest.Problem
	}
	var cases []named
	for k := range uint64(6) {
		cases = append(cases, named{fmt.Sprintf("offcut %d, 3 screws", k+1), screwed(k+1, 62, 47, 20, 3)})
	}
	for k := range uint64(6) {
		cases = append(cases, named{fmt.Sprintf("plate %d, 6 screws", k+1), screwed(k+1, 118, 90, 34, 6)})
	}
	ring := nest.Problem{Stock: geom.RegionOf(geom.Circle(geom.Pt(0, 0), 50), geom.Circle(geom.Pt(0, 0), 18)), Diameter: 10, Gap: 1.8, Edge: 1}
	sheet := nest.Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(150, 100), 3)), Diameter: 12.827, Gap: 1.8, Edge: 1}
	cases = append(cases, named{"ring 100/36", ring}, named{"sheet 150 x 100", sheet})
	for _, c := range cases {
		for _, effort := range []float64{0.1, 1, 10} {
			p := c.p
			p.Seed, p.Effort = seed, effort
			start := processor()
			l, err := nest.Discs(context.Background(), p)
			if err != nil {
				return fmt.Errorf("%s: %w", c.name, err)
			}
			seconds := processor() - start
			if err := p.Check(*l); err != nil {
				return fmt.Errorf("%s: %w", c.name, err)
			}
			if err := print(slabFigure{"slab", c.name, effort, l.Hexagonal, len(l.Centres), l.Bound, round(l.Share), round(seconds)}); err != nil {
				return err
			}
		}
	}
	return nil
}
