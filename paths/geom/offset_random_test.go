package geom

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"
)

// Bounds of an offset that the tests hold it to, in mm: no point of its
// boundary nearer to the source than the distance less safe, and no point of
// the true offset farther from it than miss.
const (
	safe = 1e-6
	miss = 1e-3
)

// count returns the number of segments.
func count(r Region) (n int) {
	for _, c := range r {
		n += len(c)
	}
	return n
}

// checkOffset compares an offset with its definition, on points along its
// boundary and along the normals of the source.
func checkOffset(src Region, d float64, got Region) error {
	a := math.Abs(d)
	where := Outside
	if d < 0 {
		where = Inside
	}
	// Distances are brute force, so of large shapes every so many-th is looked at.
	stride := 1 + count(src)*(count(src)+count(got))/4000
	k := 0
	skip := func() bool { k++; return k%stride != 0 }
	for i, c := range got {
		for j, s := range c {
			if skip() {
				continue
			}
			for _, t := range [...]float64{0, 0.31, 0.5, 0.77} {
				p := s.At(t)
				off := src.BoundaryDistance(p) - a
				if off < -safe || off > miss {
					return fmt.Errorf("contour %d, segment %d %v at %g: distance %.9g instead of %g", i, j, s, t, off+a, a)
				}
				if src.Contains(p) != where {
					return fmt.Errorf("contour %d, segment %d at %g: %v of the source", i, j, t, src.Contains(p))
				}
			}
		}
	}
	for i, c := range src {
		for j, s := range c {
			if s.A == s.B && !s.IsArc() || skip() {
				continue
			}
			for _, t := range [...]float64{0, 0.21, 0.5, 0.83, 1} {
				side := -1.0
				if d < 0 {
					side = 1
				}
				n := s.Tangent(t).Left().Mul(side)
				q := s.At(t).Add(n.Mul(a))
				// A place where the offset has an inside: beyond it the distance grows.
				if src.Contains(q) != where || src.BoundaryDistance(q) < a-1e-9 || src.BoundaryDistance(q.Add(n.Mul(miss/4))) < a+miss/8 {
					continue
				}
				if m := got.BoundaryDistance(q); !(m <= miss) {
					return fmt.Errorf("source contour %d, segment %d at %g: offset missed by %.3g at %v", i, j, t, m, q)
				}
			}
		}
	}
	return nil
}

// randomOffset makes a random region of a family, offsets it and checks.
func randomOffset(seed int64, family string) error {
	rng := rand.New(rand.NewSource(seed))
	src, err := Resolve(randomContours(rng, family), NonZero)
	if err != nil {
		return err
	}
	d := math.Pow(10, rng.Float64()*2.5-1.8)
	if rng.Intn(2) == 0 {
		d = -d
	}
	if rng.Intn(3) == 0 {
		d = float64(rng.Intn(8)-4) / 2
	}
	if rng.Intn(3) == 0 { // parts of 300 mm
		src, d = src.Transform(Scale(15)), d*15
	}
	got, err := Offset(src, d, OffsetOptions{})
	if err != nil {
		return fmt.Errorf("distance %g: %w", d, err)
	}
	if d == 0 || len(src) == 0 {
		return nil
	}
	if err := checkOffset(src, d, got); err != nil {
		return fmt.Errorf("distance %g: %w", d, err)
	}
	if err := lengthless(got); err != nil {
		return fmt.Errorf("distance %g: %w", d, err)
	}
	if d > 0 && got.Area() < src.Area() || d < 0 && got.Area() > src.Area() {
		return fmt.Errorf("distance %g: area %g of %g", d, got.Area(), src.Area())
	}
	return nil
}

// randomLevels offsets a random region at many distances in one call and checks
// each against its definition and against the offset made on its own.
func randomLevels(seed int64, family string) error {
	rng := rand.New(rand.NewSource(seed))
	src, err := Resolve(randomContours(rng, family), NonZero)
	if err != nil || len(src) == 0 {
		return err
	}
	step := 0.05 + rng.Float64()
	var ds []float64
	for i := 12; i > 0; i-- {
		ds = append(ds, float64(i)*step, -float64(i)*step)
	}
	levels, err := Offsets(src, ds, OffsetOptions{})
	if err != nil {
		return err
	}
	for i, d := range ds {
		if err := checkOffset(src, d, levels[i]); err != nil {
			return fmt.Errorf("level %g: %w", d, err)
		}
		one, err := Offset(src, d, OffsetOptions{})
		if err != nil {
			return err
		}
		if a, b := levels[i].Area(), one.Area(); math.Abs(a-b) > safe*(1+one.Perimeter()) {
			return fmt.Errorf("level %g: area %.9g, alone %.9g", d, a, b)
		}
	}
	return nil
}

// randomMitre checks a mitred offset of a random region: it holds the round one,
// and its boundary lies at the distance at least and within the limit.
func randomMitre(seed int64, family string) error {
	rng := rand.New(rand.NewSource(seed))
	src, err := Resolve(randomContours(rng, family), NonZero)
	if err != nil || len(src) == 0 || count(src) > 100 { // it takes the arrangement
		return err
	}
	d := math.Pow(10, rng.Float64()*2-1.5)
	if rng.Intn(2) == 0 {
		d = -d
	}
	o := OffsetOptions{Join: MiterJoin, MiterLimit: 1 + 4*rng.Float64()}
	got, err := Offset(src, d, o)
	if err != nil {
		return err
	}
	round, err := Offset(src, d, OffsetOptions{})
	if err != nil {
		return err
	}
	for i, c := range got {
		for j, s := range c {
			for _, t := range [...]float64{0, 0.29, 0.5} {
				if at := src.BoundaryDistance(s.At(t)); at < math.Abs(d)-safe || at > math.Abs(d)*o.MiterLimit+miss {
					return fmt.Errorf("distance %g, limit %g: contour %d, segment %d at %g: %.9g", d, o.MiterLimit, i, j, t, at)
				}
			}
		}
	}
	less, more := round, got
	if d < 0 {
		less, more = got, round
	}
	left, err := Difference(less, more)
	if err != nil {
		return err
	}
	if a := left.Area(); a > safe*(1+round.Perimeter()) {
		return fmt.Errorf("distance %g, limit %g: mitred and round offset differ the wrong way by %.3g mm2", d, o.MiterLimit, a)
	}
	return nil
}

// randomBothWays checks that an offset made of spans and one by the arrangement of
// the raw curve, which is what the first falls back on, are the same. The source
// is full of contours that touch.
func randomBothWays(seed int64, family string) error {
	rng := rand.New(rand.NewSource(seed))
	cs := randomContours(rng, family)
	if rng.Intn(4) == 0 {
		cs = bows(rng)
	}
	if len(cs) == 0 || len(cs[0]) > 100 { // the arrangement takes its time
		return nil
	}
	src, err := Resolve(cs, FillRule(rng.Intn(2)))
	if err != nil {
		return err
	}
	d := math.Pow(10, rng.Float64()*3-1.5)
	if rng.Intn(3) == 0 {
		d = float64(1 + rng.Intn(8))
	}
	for _, inward := range []bool{false, true} {
		l := newLevels(src, inward, OffsetOptions{})
		a, err := l.at(d)
		if err != nil {
			return err
		}
		b, err := l.arranged(d)
		if err != nil {
			return err
		}
		l.free()
		if off := a.Area() - b.Area(); math.Abs(off) > safe*(1+b.Perimeter()) {
			return fmt.Errorf("distance %g, inward %t: area %.9g, by the arrangement %.9g", d, inward, a.Area(), b.Area())
		}
	}
	return nil
}

// randomStroke checks the stroke of random paths: its boundary lies at the
// distance, the paths within it, and it is what the arrangement of all that
// bounds it gives.
func randomStroke(seed int64, family string) error {
	rng := rand.New(rand.NewSource(seed))
	var paths []Path
	for _, c := range randomContours(rng, family) {
		n := 1 + rng.Intn(len(c))
		paths = append(paths, Path(c[:n]))
	}
	d := math.Pow(10, rng.Float64()*2-1.5)
	got, err := OffsetPath(paths, d, OffsetOptions{})
	if err != nil {
		return err
	}
	if err := lengthless(got); err != nil {
		return fmt.Errorf("distance %g: %w", d, err)
	}
	distance := func(p Point) float64 {
		m := math.Inf(1)
		for _, q := range paths {
			m = math.Min(m, q.Distance(p))
		}
		return m
	}
	segs := 0
	for _, p := range paths {
		segs += len(p)
	}
	if segs < 100 { // the arrangement takes its time
		l := newPathLevels(paths, OffsetOptions{Join: RoundJoin})
		slow, err := l.arranged(d)
		if err != nil {
			return err
		}
		if a, b := got.Area(), slow.Area(); math.Abs(a-b) > safe*(1+slow.Perimeter()) {
			return fmt.Errorf("distance %g: area %.9g, by the arrangement %.9g", d, a, b)
		}
	}
	stride := 1 + segs*segs/2000 // distances are brute force
	k := 0
	skip := func() bool { k++; return k%stride != 0 }
	for i, c := range got {
		for j, s := range c {
			if skip() {
				continue
			}
			for _, t := range [...]float64{0, 0.37, 0.5} {
				if off := distance(s.At(t)) - d; off < -safe || off > miss {
					return fmt.Errorf("distance %g: contour %d, segment %d at %g: off by %.3g", d, i, j, t, off)
				}
			}
		}
	}
	for i, p := range paths {
		for j, s := range p {
			if skip() {
				continue
			}
			for _, t := range [...]float64{0, 0.5, 1} {
				if got.Contains(s.At(t)) != Inside {
					return fmt.Errorf("distance %g: path %d, segment %d at %g is not inside", d, i, j, t)
				}
			}
		}
	}
	return nil
}

// lengthless looks for a segment without length.
func lengthless(r Region) error {
	for i, c := range r {
		for j, s := range c {
			if s.A == s.B && !s.IsArc() {
				return fmt.Errorf("contour %d, segment %d at %v has no length", i, j, s.A)
			}
		}
	}
	return nil
}

// seeded is a seed that once failed, and its family.
type seeded struct {
	seed   int64
	family string
}

// The property tests of offsets: what each checks, of how many of the random
// regions, and the seeds that once failed.
var offsetProperties = []struct {
	name  string
	check func(seed int64, family string) error
	part  int
	seeds []seeded
}{
	{"one distance", randomOffset, 2, nil},
	{"many distances", randomLevels, 12, []seeded{{3010, "dense chords"}}},
	{"mitred", randomMitre, 12, []seeded{{127, "polygons"}, {2477, "far away"}}},
	{"both ways", randomBothWays, 6, nil},
	{"paths", randomStroke, 6, []seeded{
		{149, "full-circle arcs"}, {282, "full-circle arcs"}, {1739, "full-circle arcs"}, {370, "arcs"}, {211, "tiny arcs"}, {156, "grid"},
	}},
}

func TestOffsetRandom(t *testing.T) {
	for _, p := range offsetProperties {
		t.Run(p.name, func(t *testing.T) {
			for _, s := range p.seeds {
				require.NoError(t, p.check(s.seed, s.family), "seed %d, %s", s.seed, s.family)
			}
			for k := range randoms() / p.part {
				f := families[k%len(families)]
				seed := *randomSeed + int64(k)
				require.NoError(t, p.check(seed, f), "seed %d, %s", seed, f)
			}
		})
	}
}
