package geom

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"
)

// reached finds by halving, beside the closed form, from which distance on segment j
// is nearer than that, by the given depth, to the point with its foot at fraction
// f of an item; +Inf for more than most.
func reached(w *walls, item, j int32, f, by, most float64) float64 {
	near := func(h float64) bool {
		var k curveAt
		return w.curve(&k, item, h) && w.off(j, k.at(f)) < h-by
	}
	if !near(most) {
		return math.Inf(1)
	}
	lo, hi := 0.0, most
	for range 60 {
		if m := (lo + hi) / 2; near(m) {
			hi = m
		} else {
			lo = m
		}
	}
	return hi
}

// someLevels returns the levels of a random region on one of its sides, nil where
// there is none of few enough segments.
func someLevels(t *testing.T, seed int64) (l *levels, rng *rand.Rand, family string) {
	rng = rand.New(rand.NewSource(seed))
	family = families[int(seed)%len(families)]
	src, err := Resolve(randomContours(rng, family), NonZero)
	require.NoError(t, err)
	if len(src) == 0 || count(src) > 400 {
		return nil, rng, family
	}
	return newLevels(src, rng.Intn(2) == 0, OffsetOptions{}), rng, family
}

// Contacts are what a search for them finds.
func TestContact(t *testing.T) {
	tested, told, touched, exact := 0, 0, 0, 0
	for seed := range int64(60) {
		l, rng, family := someLevels(t, seed)
		if l == nil {
			continue
		}
		tr := &l.t
		for range 200 {
			s := &l.spans[rng.Intn(len(l.spans))]
			j := int32(rng.Intn(len(l.walls.segs)))
			lo := rng.Float64() * 0.9
			hi := lo + rng.Float64()*(1-lo)
			tr.d = 0.01
			if !l.walls.curve(&tr.k, s.item, tr.d) {
				continue
			}
			tr.keep = append(tr.keep[:0], [2]float64{lo, hi})
			var f feet
			tr.stand(&f)
			tested++
			c, ok := l.walls.contact(&f, j)
			// Its own segments touch it everywhere at every distance.
			if own := s.item >> 1; !ok || j == own || j == l.walls.next[own] || j == l.walls.prev[own] || s.item&1 == 1 && j == l.walls.next[l.walls.next[own]] {
				continue
			}
			told++
			most := 50.0
			if tr.k.kind == withinArc {
				most = (l.walls.sides[s.item>>1].size) * 0.999
			}
			first, last := math.Inf(1), 0.0
			const n = 100
			for i := range n + 1 {
				at := lo + (hi-lo)*float64(i)/n
				first = min(first, reached(&l.walls, s.item, j, at, depth, most))
				last = max(last, reached(&l.walls, s.item, j, at, -depth, most))
			}
			where := fmt.Sprintf("seed %d, %s, item %d %g..%g, segment %d", seed, family, s.item, lo, hi, j)
			require.LessOrEqual(t, c.first*(1-1e-6), first+safe/100, where)
			if c.last < most {
				require.LessOrEqual(t, last, c.last*(1+1e-6)+safe/100, where)
			}
			if first < most {
				touched++
				if c.first > first*0.98-safe {
					exact++
				}
			}
		}
		l.free()
	}
	require.Greater(t, told, tested/3)
	// About one centre the first is only a bound, and between samples it is less.
	require.Greater(t, exact, touched*9/10)
	t.Logf("%d tested, %d told, %d touched, %d of them exact", tested, told, touched, exact)
}

// What is behind the end that it has in common with another segment is never nearer
// than that one, and no point of a span is farther along a direction than told.
func TestBehindTip(t *testing.T) {
	behind := 0
	for seed := range int64(60) {
		l, rng, family := someLevels(t, 1000+seed)
		if l == nil {
			continue
		}
		w, tr := &l.walls, &l.t
		for range 200 {
			item := l.spans[rng.Intn(len(l.spans))].item
			lo := rng.Float64() * 0.9
			hi := lo + rng.Float64()*(1-lo)
			d := 0.01 + rng.Float64()
			until := d + 20*rng.Float64()
			if tr.d = d; !w.curve(&tr.k, item, d) {
				continue
			}
			if tr.k.kind == withinArc {
				until = min(until, d+0.9*tr.k.r)
			}
			tr.keep = append(tr.keep[:0], [2]float64{lo, hi})
			if tr.stand(&tr.feet); !tr.feet.narrow {
				continue
			}
			v := Polar(1, rng.Float64()*7)
			most, found := tr.feet.most(v, d, until), math.Inf(-1)
			j := int32(rng.Intn(len(w.segs)))
			next := w.next[j]
			alike := tr.behindTip(j, []rival{{seg: next}}, d, until)
			if alike {
				behind++
			}
			const n = 8
			for i := range n * n {
				var k curveAt
				require.True(t, w.curve(&k, item, d+(until-d)*float64(i/n)/(n-1)))
				p := k.at(lo + (hi-lo)*float64(i%n)/(n-1))
				found = max(found, v.Dot(p))
				if alike {
					require.GreaterOrEqual(t, w.off(j, p), w.off(next, p)-1e-12, "seed %d, %s, item %d, segment %d", seed, family, item, j)
				}
			}
			require.LessOrEqual(t, found, most+1e-9, "seed %d, %s, item %d", seed, family, item)
			require.LessOrEqual(t, most, found+0.05*until, "seed %d, %s, item %d", seed, family, item)
		}
		l.free()
	}
	require.Greater(t, behind, 100)
}

// The pockets of the families need no arrangement: one would take a hundred times
// as long, and hide a span that is trimmed wrong.
func TestPocketsNeedNoArrangement(t *testing.T) {
	for _, f := range measured {
		for _, n := range []int{100, 300, 1000} {
			r := f.make(n)
			ds := pocketSteps(r, f.step)
			src := newStandIns(r, OffsetOptions{})
			for i, d := range ds {
				next := 0.0
				if i+1 < len(ds) {
					next = -ds[i+1]
				}
				_, err := src.at(-d, 1, next, -ds[len(ds)-1])
				require.NoError(t, err)
			}
			for _, s := range []standIn{src.fit, src.source} {
				if l := s.sides[1]; l != nil {
					require.Zero(t, l.slow, "%s %d", f.name, n)
				}
			}
			src.free()
		}
	}
}
