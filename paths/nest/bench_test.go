package nest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
)

// BenchmarkDiscs is quality against time: the discs placed on a plate among
// six screws for rising effort.
func BenchmarkDiscs(b *testing.B) {
	for _, effort := range []float64{0.02, 0.1, 0.5} {
		b.Run(fmt.Sprintf("effort=%g", effort), func(b *testing.B) {
			placed := 0
			for range b.N {
				p := screwed(1, 118, 90, 34, 6)
				p.Effort = effort
				l, err := Discs(context.Background(), p)
				if err != nil {
					b.Fatal(err)
				}
				placed = len(l.Centres)
			}
			b.ReportMetric(float64(placed), "discs")
		})
	}
}

// BenchmarkFirstAnswer is the time until a first layout is known.
func BenchmarkFirstAnswer(b *testing.B) {
	for range b.N {
		ctx, cancel := context.WithCancel(context.Background())
		p := screwed(1, 118, 90, 34, 6)
		p.Progress = func(g Progress) {
			if g.Placed > 0 {
				cancel()
			}
		}
		if _, err := Discs(ctx, p); err != nil {
			b.Fatal(err)
		}
		cancel()
	}
}

// BenchmarkMaxRadius is the time to the best-known radius, relative to it.
func BenchmarkMaxRadius(b *testing.B) {
	for _, row := range records(b) {
		if row.n%10 != 0 || row.n > 30 {
			continue
		}
		b.Run(fmt.Sprintf("%s/%d", row.container, row.n), func(b *testing.B) {
			for k := range b.N {
				p, err := MaxRadius(context.Background(), row.region(), row.n,
					RadiusOptions{Seed: uint64(k), Effort: 10, Enough: row.radius * (1 - 1e-12)})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(p.Radius/row.radius, "ratio")
			}
		})
	}
}

// BenchmarkEnergy is the inner loop of the search.
func BenchmarkEnergy(b *testing.B) {
	for _, n := range []int{10, 30, 100} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			row := record{"unit-square", n, 0}
			size := make([]float64, n)
			for i := range size {
				size[i] = 1
			}
			p := newPacker(newField(Problem{Stock: row.region()}.groups(), 0.5), size, 0, 0.5)
			f := finder{p: p, rng: rand.New(rand.NewPCG(1, 1))}
			x := f.random(0.4 / float64(n))
			g := make([]float64, len(x))
			b.ReportAllocs()
			for b.Loop() {
				p.energy(x, g, 0.01)
			}
		})
	}
}
