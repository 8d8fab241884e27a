package paths_test

import (
	"fmt"
	"math"
	"testing"

	"proofcut/paths"
	"proofcut/paths/geom"
)

// blob is a smooth closed curve of n chords, 30 mm across, the same every time.
func blob(n int) geom.Region {
	pts := make([]geom.Point, n)
	for i := range pts {
		a := 2 * math.Pi * float64(i) / float64(n)
		pts[i] = geom.Pt(25, 22).Add(geom.Polar(13+1.5*math.Sin(3*a)+0.8*math.Sin(7*a+1), a))
	}
	return geom.RegionOf(geom.Polygon(pts...))
}

// BenchmarkPocket plans a pocket of n chords in passes of half a millimetre.
func BenchmarkPocket(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			shape := blob(n)
			s := world()
			b.ReportAllocs()
			for b.Loop() {
				if _, err := (paths.Pocket{Op: op("pocket", -0.5, 0), Shape: shape, StepOver: 0.3}).Plan(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkProfile plans one disc with bridges and a finishing cut.
func BenchmarkProfile(b *testing.B) {
	s := world()
	p := paths.Profile{Op: op("disc", -2.9, 0.3), Shape: disc(20, 20, 6.4135), Finish: 0.1, Bridges: paths.Bridges{Count: 3, Width: 1, Height: 0.5}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Plan(s); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLink joins 400 holes among 40 screws.
func BenchmarkLink(b *testing.B) {
	s := world()
	for i := range 40 {
		s.Zones = append(s.Zones, screw(fmt.Sprint("screw ", i), 100+float64(i%8)*10, float64(i/8)*10))
	}
	var at []geom.Point
	for i := range 400 {
		at = append(at, geom.Pt(2+float64(i%20)*2.5, 2+float64(i/20)*2))
	}
	plan := mustPlan(b, s, paths.Drill{Op: with(op("holes", -1, 0), drill2), At: at})
	b.ReportAllocs()
	for b.Loop() {
		if _, err := paths.Link(s, plan); err != nil {
			b.Fatal(err)
		}
	}
}
