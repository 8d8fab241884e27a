package yield_test

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/gcode/yield"
	"proofcut/paths/job"
)

const document = `
job: strips of ferrules
unit: mm
zero: lower left corner of the strip
machine:
  name: bench mill
  envelope: {x: [-10, 60], y: [-10, 40], z: [-4, 30]}
  spindle: [3000rpm, 20000rpm]
  feed_max: 600mm/min
  plunge_max: 200mm/min
  rapid: 1500mm/min
  tool_change: manual
stock:
  rectangle: {at: [0, 0], size: [40, 20]}
  thickness: 1mm
  material: brass
heights: {clear: 5mm, approach: 0.5mm}
cost: {currency: EUR, slab: 12, hour: 30, part: 0.5}
tools:
  - {number: 1, name: mill, form: flat, diameter: 2mm, flutes: 2, flute_length: 6mm, shank: 3mm, stick_out: 12mm, speed: 9000rpm, feed: 200mm/min, plunge: 40mm/min, step_down: 0.3mm}
  - {number: 2, name: fine mill, form: flat, diameter: 1.5mm, flutes: 2, flute_length: 4mm, shank: 3mm, stick_out: 12mm, speed: 12000rpm, feed: 150mm/min, plunge: 30mm/min, step_down: 0.2mm}
parts:
  - name: disc
    nest: {finished: 6mm, allowance: 0.2mm, cutter: 1, web: 0.3mm, edge: 0.3mm, effort: 0.05s}
operations:
  - profile: {name: cut out, tool: 1, part: disc, side: outside, skin: 0.1mm, ramp: 3deg}
`

func load(t *testing.T, change ...string) *job.Job {
	t.Helper()
	text := strings.NewReplacer(change...).Replace(document)
	j, err := job.Parse("job.yaml", ".", []byte(text))
	require.NoError(t, err)
	return j
}

// TestClosedForms holds the table against what can be worked out by hand: areas,
// money, and a kerf that is a ring one cutter wide where the rings do not meet.
func TestClosedForms(t *testing.T) {
	j := load(t)
	table, err := yield.Of(context.Background(), j, yield.Options{
		Values: map[yield.Variable][]float64{yield.Web: {3}}, Only: true,
	})
	require.NoError(t, err)
	require.Len(t, table.Rows, 2)
	own, wide := table.Rows[0], table.Rows[1]
	assert.True(t, own.Given)
	assert.False(t, wide.Given)
	assert.GreaterOrEqual(t, own.Parts, 10, "two rows of five fit")
	assert.Less(t, wide.Parts, own.Parts)
	for _, r := range table.Rows {
		assert.True(t, r.Proven, r.Reason)
		disc := math.Pi * 3.1 * 3.1
		assert.InDelta(t, float64(r.Parts)*disc/800, r.Share, 1e-9)
		assert.InDelta(t, 800-float64(r.Parts)*disc, r.WasteArea, 1e-6)
		assert.InDelta(t, r.WasteArea*1, r.WasteVolume, 1e-9)
		assert.InDelta(t, 12+30*r.Time/3600+0.5*float64(r.Parts), r.Cost, 1e-9)
		assert.InDelta(t, r.Cost/float64(r.Parts), r.CostEach, 1e-9)
		assert.LessOrEqual(t, r.Parts, r.Bound)
	}
	// A web of 3 mm keeps the rings apart and inside the strip but for its edge.
	ring := math.Pi * (5.1*5.1 - 3.1*3.1) * 0.9
	assert.LessOrEqual(t, wide.Kerf, float64(wide.Parts)*ring*1.005)
	assert.Greater(t, wide.Kerf, float64(wide.Parts)*ring*0.7)
}

// TestCutters takes a cutter of the crib as it is and scales any other.
func TestCutters(t *testing.T) {
	table, err := yield.Of(context.Background(), load(t), yield.Options{
		Values: map[yield.Variable][]float64{yield.Cutter: {1.5, 0.25}}, Only: true,
	})
	require.NoError(t, err)
	require.Len(t, table.Rows, 3)
	fine, crib, own := table.Rows[0], table.Rows[1], table.Rows[2]
	assert.Equal(t, "tool 2", crib.Note)
	assert.True(t, crib.Proven, crib.Reason)
	assert.GreaterOrEqual(t, crib.Parts, own.Parts)
	assert.Less(t, crib.Kerf, own.Kerf)
	assert.Contains(t, fine.Note, "scaled from tool 1")
	assert.False(t, fine.Proven, "its flutes are too short")
	assert.NotEmpty(t, fine.Reason)
	assert.Zero(t, fine.CostEach, "what is not proven has no price")
}

func TestEveryVariable(t *testing.T) {
	calls := 0
	o := yield.Options{Values: map[yield.Variable][]float64{
		yield.Cutter: {1.5}, yield.Web: {1.2}, yield.Allowance: {0.4}, yield.Finished: {7},
	}, Each: func(done, total int) { calls++; assert.LessOrEqual(t, done, total) }}
	table, err := yield.Of(context.Background(), load(t), o)
	require.NoError(t, err)
	assert.Len(t, table.Rows, calls)
	seen := map[string]int{}
	for _, r := range table.Rows {
		if r.Given {
			seen[r.Variable]++
		}
	}
	assert.Equal(t, map[string]int{"cutter": 1, "web": 1, "allowance": 1, "finished": 1}, seen)

	var text, svg, again bytes.Buffer
	require.NoError(t, table.Print(&text))
	assert.Contains(t, text.String(), "EUR")
	require.NoError(t, table.WriteSVG(&svg))
	wellFormed(t, bytes.NewReader(svg.Bytes()))
	require.NoError(t, table.WriteSVG(&again))
	assert.Equal(t, svg.String(), again.String())
	second, err := yield.Of(context.Background(), load(t), yield.Options{
		Values: map[yield.Variable][]float64{yield.Web: {1.2}}, Only: true,
	})
	require.NoError(t, err)
	for _, r := range second.Rows {
		assert.Contains(t, table.Rows, r, "the same input gives the same row")
	}
}

func wellFormed(t *testing.T, r io.Reader) {
	t.Helper()
	d := xml.NewDecoder(r)
	for {
		_, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err)
	}
}

// TestNothingFits keeps a row for a size of which the slab holds none.
func TestNothingFits(t *testing.T) {
	table, err := yield.Of(context.Background(), load(t), yield.Options{
		Values: map[yield.Variable][]float64{yield.Finished: {50}}, Only: true,
	})
	require.NoError(t, err)
	last := table.Rows[len(table.Rows)-1]
	assert.Zero(t, last.Parts)
	assert.False(t, last.Proven)
	assert.NotEmpty(t, last.Reason)
	var text bytes.Buffer
	require.NoError(t, table.Print(&text))
}

func TestBadCost(t *testing.T) {
	for bad, want := range map[string]string{
		"slab: -1":   "plain number from 0",
		"slab: NaN":  "plain number from 0",
		"slab: 1e99": "plain number from 0",
		"slab: 5EUR": "plain number from 0",
		"slb: 12":    `did you mean "slab"`,
	} {
		_, err := job.Parse("job.yaml", ".", []byte(strings.Replace(document, "slab: 12", bad, 1)))
		assert.ErrorContains(t, err, want, bad)
	}
}

func TestRefusals(t *testing.T) {
	for _, v := range yield.Variables {
		for _, bad := range []float64{-1, math.NaN(), math.Inf(1), 1e6} {
			_, err := yield.Of(context.Background(), load(t), yield.Options{
				Values: map[yield.Variable][]float64{v: {bad}}, Only: true,
			})
			assert.Error(t, err, "%v %g", v, bad)
		}
	}
	_, err := yield.Of(context.Background(), load(t), yield.Options{Part: "ring"})
	assert.ErrorContains(t, err, `nests no part "ring"`)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = yield.Of(ctx, load(t), yield.Options{})
	assert.ErrorIs(t, err, context.Canceled)
}
