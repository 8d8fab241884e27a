package geom

import (
	"fmt"
	"testing"
)

// pocketSteps returns the distances of the passes of a pocket, until nothing is left.
func pocketSteps(r Region, step float64) (ds []float64) {
	size := r.Bounds().Size()
	for d := step; d < min(size.X, size.Y)/2+step; d += step {
		ds = append(ds, -d)
	}
	return ds
}

func BenchmarkPocket(b *testing.B) {
	for _, f := range measured {
		for n := 100; n <= 100000; n *= 10 {
			r := f.make(n)
			ds := pocketSteps(r, f.step)
			b.Run(fmt.Sprintf("%s-%d", f.name, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := Offsets(r, ds, OffsetOptions{}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
