package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"

	"proofcut/paths/geom"
)

// fine is the chord error in mm at which arcs are given to a reference that has
// none. It is the one that the medial axis works with itself.
const fine = geom.DefaultChord

// arcs measures the medial axis of shapes that are arcs, beside that of their
// chords by the reference. n counts the arcs.
func (b *bench) arcs(most int) error {
	for n := 10; n <= min(most, 1000); n *= 10 {
		r := geom.Region{lobes(n / 2)}
		file := filepath.Join(b.dir, fmt.Sprintf("arcs%d.txt", n))
		chords := geom.Region{geom.Polygon(geom.Flatten(r[0], fine)...)}
		if err := os.WriteFile(file, []byte(text(chords)), 0o600); err != nil {
			return err
		}
		t, err := least(func() error {
			_, err := geom.MedialAxis(r, geom.MedialOptions{})
			return err
		})
		if err != nil {
			return fmt.Errorf("medial axis of %d arcs: %w", n, err)
		}
		if err := b.out.Encode(medialFigure{"medial", "arcs", n, seconds(t), b.reference("boost", "medial", "arcs", file)}); err != nil {
			return err
		}
	}
	return nil
}

// lobes is a rim of n round lobes and as many round valleys, half circles about
// 90 mm across.
func lobes(n int) geom.Contour {
	p := make([]geom.Point, 2*n)
	for i := range p {
		p[i] = geom.Polar(45, math.Pi*float64(i)/float64(n))
	}
	var c geom.Contour
	for i, a := range p {
		b, turn := p[(i+1)%len(p)], geom.CCW
		if i%2 == 1 {
			turn = geom.CW
		}
		c = append(c, geom.Arc(a, b, a.Lerp(b, 0.5), turn))
	}
	return c
}
