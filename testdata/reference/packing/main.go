// Command packing measures the nesting routine: the radius reached for the
// containers of the packing table, as a share of the best-known one, and the
// discs placed on irregular slabs beside the best hexagonal lattice and the
// proven bound, the shapes placed on such slabs, for rising effort, and how soon
// the first answer comes. It prints one JSON object a line.
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
	"strings"
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
	// beyondFigure is for a count that the table does not list: how much of the
	// container's area the discs cover stands for the ratio.
	beyondFigure struct {
		Figure    string  `json:"figure"`
		Container string  `json:"container"`
		N         int     `json:"n"`
		Radius    float64 `json:"radius"`
		Density   float64 `json:"density"`
		Seconds   float64 `json:"seconds"`
	}
	// firstFigure is when a search had its first answer, and when the wanted
	// number of discs.
	firstFigure struct {
		Figure  string  `json:"figure"`
		Case    string  `json:"case"`
		First   int     `json:"first"`
		Seconds float64 `json:"seconds"`
		Wanted  int     `json:"wanted"`
		After   float64 `json:"seconds_to_wanted"`
	}
	shapesFigure struct {
		Figure  string  `json:"figure"`
		Case    string  `json:"case"`
		Effort  float64 `json:"effort"`
		Placed  []int   `json:"placed"` // of each kind
		Bound   []int   `json:"bound"`  // of each kind alone
		Share   float64 `json:"share"`
		Seconds float64 `json:"seconds"`
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
	beyond := flag.String("beyond", "45,64,120", "counts that the table does not list, run with half the effort for large ones")
	only := flag.String("only", "", "one of first, packing, beyond, slabs, shapes; empty: all")
	seed := flag.Uint64("seed", 1, "seed of the search")
	flag.Parse()
	runtime.GOMAXPROCS(1)
	for _, group := range []struct {
		name string
		run  func() error
	}{
		{"first", func() error { return first(*seed) }},
		{"packing", func() error { return packings(*table, *most, *small, *large, *seed) }},
		{"beyond", func() error { return rest(*beyond, *large/2, *seed) }},
		{"slabs", func() error { return slabs(*seed) }},
		{"shapes", func() error { return shapes(*seed) }},
	} {
		if *only != "" && *only != group.name {
			continue
		}
		if err := group.run(); err != nil {
			fmt.Fprintln(os.Stderr, "packing:", err)
			os.Exit(1)
		}
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

var containers = map[string]geom.Region{
	"unit-circle": geom.RegionOf(geom.Circle(geom.Pt(0, 0), 1)),
	"unit-square": geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(1, 1), 0)),
}

// rest runs counts that the table does not list.
func rest(list string, effort float64, seed uint64) error {
	for _, word := range strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == ' ' }) {
		n, err := strconv.Atoi(word)
		if err != nil {
			return err
		}
		for _, name := range []string{"unit-circle", "unit-square"} {
			start := processor()
			p, err := nest.MaxRadius(context.Background(), containers[name], n, nest.RadiusOptions{Seed: seed, Effort: effort})
			if err != nil {
				return fmt.Errorf("%s %d: %w", name, n, err)
			}
			density := float64(n) * math.Pi * p.Radius * p.Radius / containers[name].Area()
			if err := print(beyondFigure{"packing-beyond", name, n, p.Radius, density, round(processor() - start)}); err != nil {
				return err
			}
		}
	}
	return nil
}

// first measures how soon a plate with six screws has an answer, and 30 discs.
func first(seed uint64) error {
	for k := range uint64(6) {
		p := screwed(k+1, 118, 90, 34, 6)
		p.Seed, p.Effort = seed, 2
		f := firstFigure{Figure: "first-answer", Case: fmt.Sprintf("plate %d, 6 screws", k+1), Wanted: 30, After: math.NaN()}
		ctx, cancel := context.WithCancel(context.Background())
		start := processor()
		p.Progress = func(g nest.Progress) {
			if g.Placed > 0 && f.First == 0 {
				f.First, f.Seconds = g.Placed, round(processor()-start)
			}
			if g.Placed >= f.Wanted && math.IsNaN(f.After) {
				f.After = round(processor() - start)
				cancel()
			}
		}
		_, err := nest.Discs(ctx, p)
		cancel()
		if err != nil {
			return err
		}
		if math.IsNaN(f.After) {
			return fmt.Errorf("%s: no %d discs within an effort of %g", f.Case, f.Wanted, p.Effort)
		}
		if err := print(f); err != nil {
			return err
		}
	}
	return nil
}

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
	corner := nest.Problem{Stock: geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(150, 0), geom.Pt(150, 40), geom.Pt(40, 40),
		geom.Pt(40, 150), geom.Pt(0, 150))), Diameter: 12.827, Gap: 1.8, Edge: 1}
	holed := nest.Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(150, 100), 3), geom.Circle(geom.Pt(45, 50), 22),
		geom.Circle(geom.Pt(108, 45), 18)), Diameter: 12.827, Gap: 1.8, Edge: 1}
	ring := nest.Problem{Stock: geom.RegionOf(geom.Circle(geom.Pt(0, 0), 50), geom.Circle(geom.Pt(0, 0), 18)), Diameter: 10, Gap: 1.8, Edge: 1}
	sheet := nest.Problem{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(150, 100), 3)), Diameter: 12.827, Gap: 1.8, Edge: 1}
	cases = append(cases, named{"ring 100/36", ring}, named{"sheet 150 x 100", sheet}, named{"corner 150 x 150 x 40", corner}, named{"sheet with two large holes", holed})
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

// shapes nests closed shapes on such slabs for rising effort.
func shapes(seed uint64) error {
	plate := geom.RegionOf(geom.Polygon(geom.Pt(-7, 9), geom.Pt(-7, -2), geom.Pt(-6.2, -5), geom.Pt(-4, -8), geom.Pt(0, -11),
		geom.Pt(4, -8), geom.Pt(6.2, -5), geom.Pt(7, -2), geom.Pt(7, 9)))
	angle := geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(20, 0), geom.Pt(20, 6), geom.Pt(6, 6), geom.Pt(6, 20), geom.Pt(0, 20)))
	bar := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(30, 8), 2))
	token := geom.RegionOf(geom.Circle(geom.Pt(0, 0), 5))
	free := nest.Turning{Free: true}
	grain := nest.Turning{Angle: 0.6, Tolerance: 0.07, HalfTurn: true}
	type named struct {
		name string
		m    nest.ShapeMix
	}
	var cases []named
	for k := range uint64(3) {
		p := screwed(k+1, 118, 90, 34, 6)
		on := func(s ...nest.Shape) nest.ShapeMix {
			return nest.ShapeMix{Stock: p.Stock, Keepouts: p.Keepouts, Shapes: s, Gap: p.Gap, Edge: 1, Seed: seed}
		}
		cases = append(cases,
			named{fmt.Sprintf("shields along the grain, plate %d", k+1), on(nest.Shape{Outline: plate, Turning: grain})},
			named{fmt.Sprintf("angles any way, plate %d", k+1), on(nest.Shape{Outline: angle, Turning: free})},
			named{fmt.Sprintf("6 angles, 5 bars, tokens, plate %d", k+1), on(nest.Shape{Outline: angle, Turning: free, Count: 6},
				nest.Shape{Outline: bar, Turning: free, Count: 5}, nest.Shape{Outline: token})},
		)
	}
	cases = append(cases, named{"rectangles 18 x 10 on a sheet 150 x 100", nest.ShapeMix{Stock: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(150, 100), 0)),
		Shapes: []nest.Shape{{Outline: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(18, 10), 0)), Turning: free}}, Gap: 1.8, Edge: 1, Seed: seed}})
	for _, c := range cases {
		for _, effort := range []float64{0.02, 0.5, 5} {
			m := c.m
			m.Effort = effort
			start := processor()
			l, err := nest.Shapes(context.Background(), m)
			if err != nil {
				return fmt.Errorf("%s: %w", c.name, err)
			}
			seconds := processor() - start
			if err := m.Check(*l); err != nil {
				return fmt.Errorf("%s: %w", c.name, err)
			}
			if err := print(shapesFigure{"shapes", c.name, effort, l.Counts, l.Bounds, round(l.Share), round(seconds)}); err != nil {
				return err
			}
		}
	}
	return nil
}
