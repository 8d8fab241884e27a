package geom

import (
	"fmt"
	"testing"
)

func BenchmarkMedialAxis(b *testing.B) {
	for _, f := range measured {
		for n := 100; n <= 100000; n *= 10 {
			r := f.make(n)
			b.Run(fmt.Sprintf("%s/%d", f.name, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := MedialAxis(r, MedialOptions{}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func BenchmarkMedialOffset(b *testing.B) {
	for _, f := range measured {
		for n := 100; n <= 10000; n *= 10 {
			m, err := MedialAxis(f.make(n), MedialOptions{})
			if err != nil {
				b.Fatal(err)
			}
			b.Run(fmt.Sprintf("%s/%d", f.name, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := m.Offset(-0.5); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
