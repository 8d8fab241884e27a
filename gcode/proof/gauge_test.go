package proof

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// run sends a tool with level moves through a fresh block and returns what the
// bins say, and the volume that has really gone from the cells.
func run(tool setup.Tool, z float64, path []geom.Point, each func(*bin, float64)) (gone, cell float64) {
	stock := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(20, 12), 0))
	s := &setup.Setup{Stock: setup.Stock{Outline: stock, Thickness: 4}, Tools: []setup.Tool{tool}}
	m := newMaterial(s, tool.Diameter/2/cellsPerRadius)
	g := newGauge(m, stock)
	g.sample = each
	before := append([]float32(nil), g.height...)
	a := newAssembly(tool)
	for i := 1; i < len(path); i++ {
		mo := &motion{from: path[i-1].At(z), to: path[i].At(z), tool: a}
		mo.length = mo.from.Dist(mo.to)
		mo.box = geom.EmptyBox3().Add(mo.from).Add(mo.to)
		g.begin(mo, cutting{load: &toolLoad{tool: &a.tool}, feed: 100, speed: 1000})
		m.cut(mo, g)
	}
	g.close()
	for i := range before {
		gone += float64(before[i] - g.height[i])
	}
	return gone * m.res * m.res, m.res * m.res
}

var gaugeMill = setup.Tool{Number: 1, Diameter: 2, Flutes: 2, FluteLength: 5, Shank: 2, StickOut: 10}

// TestGaugeLosesNothing sends a tool along random lines that come in from outside:
// all that goes from the cells is met by the tool's front somewhere along the way,
// but for what flickers at the rim.
func TestGaugeLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
		path := []geom.Point{geom.Pt(-3, num(-1, 13, "y"))}
		for range rapid.IntRange(1, 6).Draw(t, "moves") {
			path = append(path, geom.Pt(num(-2, 22, "x"), num(-2, 14, "y")))
		}
		z := -num(0.1, 3, "depth")
		met := 0.0
		gone, _ := run(gaugeMill, z, path, func(b *bin, length float64) {
			met += b.volume
			if b.depth > -z+1e-6 {
				t.Fatalf("depth %g of a cut %g deep", b.depth, -z)
			}
			width, arc := b.engagement(&gaugeMill, length)
			if !(width >= 0 && width <= gaugeMill.Diameter && arc >= 0 && arc <= math.Pi) {
				t.Fatalf("width %g, arc %g", width, arc)
			}
		})
		if met > gone+1e-9 || met < 0.97*gone-0.02 {
			t.Fatalf("%g of %g mm3 were met", met, gone)
		}
	})
}

// TestGaugeAgainstSampling holds the engagement of a step along a wall against a
// slow search of the cutter's rim: for each place on the path it asks of each of
// many points just ahead of the rim whether they were ever cut before.
func TestGaugeAgainstSampling(t *testing.T) {
	const r, rimAhead = 1.0, 1.0001
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.Float64Range(0.2, 1.8).Draw(t, "step")
		turn := rapid.Float64Range(-0.6, 0.6).Draw(t, "turn")
		dir := geom.Polar(1, turn)
		middle := geom.Pt(10, 6)
		first := []geom.Point{middle.Sub(dir.Mul(16)), middle.Add(dir.Mul(16))}
		side := dir.Left().Mul(step)
		second := []geom.Point{first[0].Add(side), first[1].Add(side)}
		var got []float64
		path := append(append([]geom.Point{}, first...), geom.Pt(30, 30), geom.Pt(-10, 30), second[0], second[1])
		run(gaugeMill, -1, path, func(b *bin, length float64) {
			_, arc := b.engagement(&gaugeMill, length)
			got = append(got, arc)
		})
		require.NotEmpty(t, got)
		// The slow way, in the middle of the second pass.
		p := middle.Add(side)
		met := 0
		const rim = 20000
		for i := range rim {
			a := turn - math.Pi/2 + math.Pi*(float64(i)+0.5)/rim
			q := p.Add(geom.Polar(r*rimAhead, a))
			if math.Sqrt(squared(q, first[0], first[1])) > r {
				met++
			}
		}
		want := math.Pi * float64(met) / rim
		best := math.Inf(1)
		for _, g := range got {
			best = math.Min(best, math.Abs(g-want))
		}
		// A tenth of the radius in width; the arc is steepest at its ends.
		tol := math.Acos(1-math.Min(2, step/r)) - math.Acos(1-math.Max(0, step/r-0.1))
		if best > math.Max(tol, 0.12) {
			t.Fatalf("arc of %g deg not among %v", want*180/math.Pi, got)
		}
	})
}

// TestGaugeOnlyTheRepeat passes twice: the second time nothing is met.
func TestGaugeOnlyTheRepeat(t *testing.T) {
	there := []geom.Point{geom.Pt(-3, 4), geom.Pt(15, 7.3), geom.Pt(-3, 9.1)}
	var once, twice float64
	run(gaugeMill, -1, there, func(b *bin, _ float64) { once += b.volume })
	run(gaugeMill, -1, append(append([]geom.Point{}, there...), there...), func(b *bin, _ float64) { twice += b.volume })
	require.Positive(t, once)
	require.InDelta(t, once, twice, 1e-9)
}
