package post_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode/post"
	"proofcut/gcode/proof"
	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

var stylus = setup.Tool{
	Number: 9, Name: "touch probe", Shape: setup.Ball, Diameter: 2, Flutes: 1, FluteLength: 2, Shank: 1.2, StickOut: 20, CentreCuts: true,
	Holder: []setup.Section{{Z0: 20, R0: 12, Z1: 60, R1: 12}},
}

// probing returns the world with a hole in its stock and a probing of its face.
func probing(t require.TestingT, unit setup.Unit, spacing float64) *setup.Setup {
	s := world()
	s.Unit = unit
	s.Tools = []setup.Tool{stylus}
	s.Stock.Outline = append(s.Stock.Outline, geom.Circle(geom.Pt(20, 20), 4).Reverse())
	s.Probing = &setup.Probing{Within: 0.8, Feed: 60, Edge: 0.5, First: 1001}
	points, err := paths.ProbeGrid(s, stylus, spacing)
	require.NoError(t, err)
	s.Probing.Points = points
	return s
}

func probeText(t require.TestingT, s *setup.Setup) string {
	var b bytes.Buffer
	require.NoError(t, post.WriteProbe(&b, s, post.Header{Job: "offcut", Zero: "corner"}))
	return b.String()
}

// TestProbingIsProven draws machines and grids: what is written is proven, and
// run against a bowed face it keeps what it touched, place by place.
func TestProbingIsProven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom([]setup.Unit{setup.MM, setup.Inch}).Draw(t, "unit")
		s := probing(t, unit, rapid.Float64Range(4.5, 25).Draw(t, "spacing"))
		s.Machine.ToolChange = rapid.SampledFrom([]setup.ToolChange{setup.NoToolChange, setup.ManualToolChange, setup.AutoToolChange}).Draw(t, "change")
		s.Machine.LengthOffsets = rapid.Bool().Draw(t, "length offsets")
		text := probeText(t, s)
		rec, err := proof.CheckProbing(context.Background(), s, "probe.nc", []byte(text), proof.Options{})
		require.NoError(t, err)
		require.True(t, rec.Proven, "%v", rec.Findings)

		face := func(p geom.Point) float64 { return 0.3*math.Sin(p.X/20) + 0.004*p.Y }
		got, err := proof.Probed(s, "probe.nc", []byte(text), face)
		require.NoError(t, err)
		for i, q := range s.Probing.Points {
			require.InDelta(t, 0, got[i].XY().Dist(q), 0.003)
			require.InDelta(t, face(got[i].XY()), got[i].Z, 1e-9)
			// Neither an edge nor the hole is under the tip.
			require.Equal(t, geom.Inside, s.Stock.Outline.Contains(got[i].XY()))
			require.GreaterOrEqual(t, s.Stock.Outline.BoundaryDistance(got[i].XY()), 1.5)
			require.GreaterOrEqual(t, got[i].XY().Dist(geom.Pt(50, 38)), 2.75+0.5+0.6, "the stem beside the screw's head")
		}
		_, err = proof.Probed(s, "probe.nc", []byte(text), func(geom.Point) float64 { return -0.9 })
		require.ErrorContains(t, err, "meets nothing")
	})
}

func TestProbingWithAFaultIsNotProven(t *testing.T) {
	s := probing(t, setup.MM, 15)
	good := probeText(t, s)
	stop := *s
	stop.Probing = &setup.Probing{}
	*stop.Probing = *s.Probing
	stop.Probing.Log = setup.LogStop
	stopped := probeText(t, &stop)
	second := strings.Index(good, "(Point 2)")
	for name, c := range map[string]struct {
		set       *setup.Setup
		text      string
		old, with string
		rule      string
	}{
		"spindle turns":         {s, good, "M5\n", "S3000 M3\n", "probe-spindle"},
		"coolant runs":          {s, good, "M5\n", "M8\n", "probe-spindle"},
		"probes too deep":       {s, good, "G38.2 Z-0.8", "G38.2 Z-1.8", "probe-way"},
		"probes too fast":       {s, good, "F60", "F600", "probe-way"},
		"probes sideways":       {s, good, "G38.2 Z-0.8", "G38.2 X3 Z-0.8", "probe-way"},
		"begins too low":        {s, good, "Z1.3\nG38.2", "Z0.5\nG38.2", "probe-way"},
		"rapid too low":         {s, good, "Z1.3\nG38.2", "Z0.5\nG38.2", "probe-height"},
		"feeds instead":         {s, good, "G38.2 Z-0.8", "G1 Z-0.8", "probe-height"},
		"no retract":            {s, good, "#1003=#5063\nG0 Z10.0", "#1003=#5063\nG0 Z0.1", "probe-height"},
		"retracts aslant":       {s, good, "#1003=#5063\nG0 Z10.0", "#1003=#5063\nG0 X9 Z10.0", "probe-height"},
		"off the edge":          {s, good, "(Point 1)\nX1.501 Y1.501", "(Point 1)\nX1.4 Y1.501", "probe-place"},
		"beside the stock":      {s, good, "(Point 1)\nX1.501 Y1.501", "(Point 1)\nX-3 Y1.501", "probe-place"},
		"another place":         {s, good, "(Point 1)\nX1.501 Y1.501", "(Point 1)\nX1.601 Y1.501", "probe-kept"},
		"touch left out":        {s, good, good[strings.Index(good, "(Point 1)"):second], "", "probe-kept"},
		"not kept":              {s, good, "#1001=#5061 #1002=#5062 #1003=#5063\n", "", "probe-kept"},
		"kept for another":      {s, good, "#1006=#5063", "#1009=#5063", "probe-kept"},
		"kept the wrong way":    {s, good, "#1003=#5063", "#1003=#5062", "probe-kept"},
		"read before the touch": {s, good, "M5\n", "M5\n#9=#5063\n", "inherited"},
		"no clear end":          {s, good, "G0 Z10.0\nM2", "G0 Z5\nM2", "safe-end"},
		"tool left out":         {s, good, "T9 M6\n", "", "tool"},
		"no stop":               {&stop, stopped, "M0\n", "", "probe-kept"},
		"into the screw":        {s, good, "(Point 2)\n", "(Point 2)\nG0 X46.5 Y38\nG38.2 Z-0.8 F60\nG0 Z10.0\n", "zone"},
		"does not end":          {s, good, "M2", "", "language"},
	} {
		t.Run(name, func(t *testing.T) {
			require.Contains(t, c.text, c.old)
			text := strings.Replace(c.text, c.old, c.with, 1)
			rec, err := proof.CheckProbing(context.Background(), c.set, "probe.nc", []byte(text), proof.Options{})
			require.NoError(t, err)
			assert.False(t, rec.Proven, text)
			var rules []string
			for _, f := range rec.Findings {
				rules = append(rules, f.Rule)
			}
			assert.Contains(t, rules, c.rule, "%v", rec.Findings)
		})
	}
	rec, err := proof.CheckProbing(context.Background(), &stop, "probe.nc", []byte(stopped), proof.Options{})
	require.NoError(t, err)
	assert.True(t, rec.Proven, "%v", rec.Findings)
}

// A probing program is none that cuts: the other rules refuse it.
func TestProbingIsNoCut(t *testing.T) {
	s := probing(t, setup.MM, 15)
	text := probeText(t, s)
	s.Probing = nil
	rec, err := proof.Check(context.Background(), s, "probe.nc", strings.NewReader(text), proof.Options{})
	require.NoError(t, err)
	assert.False(t, rec.Proven)
}

func TestProbeGridErrors(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*setup.Setup)
		space  float64
		want   string
	}{
		"spacing not a number":    {func(*setup.Setup) {}, math.NaN(), "spacing of the probed grid is NaN"},
		"spacing of nothing":      {func(*setup.Setup) {}, 0, "spacing of the probed grid is 0"},
		"too many":                {func(*setup.Setup) {}, 1, "at most 400"},
		"far too many":            {func(*setup.Setup) {}, 1e-9, "wider spacing"},
		"screw up to the way":     {func(s *setup.Setup) { s.Zones[0].Top = 9.8 }, 8, "raise it"},
		"tip wider than the slab": {func(s *setup.Setup) { s.Probing.Edge = 25 }, 8, "no place on the stock"},
		"zone over all":           {func(s *setup.Setup) { s.Zones[0].Area = s.Stock.Outline }, 8, "leave 0 places"},
		"one row": {func(s *setup.Setup) {
			s.Zones[0].Area = geom.RegionOf(geom.Rect(geom.Pt(-5, 5), geom.Pt(70, 50), 0))
		}, 15, "in one line"},
		"no probing": {func(s *setup.Setup) { s.Probing = nil }, 8, "does not say how to probe"},
	} {
		t.Run(name, func(t *testing.T) {
			s := probing(t, setup.MM, 15)
			c.change(s)
			_, err := paths.ProbeGrid(s, stylus, c.space)
			assert.ErrorContains(t, err, c.want)
		})
	}
	s := probing(t, setup.MM, 15)
	s.Probing.First = 4990
	assert.ErrorContains(t, post.WriteProbe(&bytes.Buffer{}, s, post.Header{}), "free are 1 to 5000")
	s.Tools = append(s.Tools, endMill)
	s.Probing.First = 1
	assert.ErrorContains(t, post.WriteProbe(&bytes.Buffer{}, s, post.Header{}), "one tool")
	assert.Error(t, post.WriteProbe(&bytes.Buffer{}, nil, post.Header{}))
}

// The places that a stylus touches on a small plate with one screw in it.
func ExampleWriteProbe() {
	s := world()
	s.Stock.Outline = geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(20, 10), 0))
	s.Zones[0].Area = geom.RegionOf(geom.Circle(geom.Pt(17, 7), 1))
	s.Tools = []setup.Tool{stylus}
	s.Machine.ToolChange = setup.NoToolChange
	s.Probing = &setup.Probing{Within: 0.5, Feed: 60, Edge: 1, Log: setup.LogStop}
	var err error
	if s.Probing.Points, err = paths.ProbeGrid(s, stylus, 10); err != nil {
		fmt.Println(err)
		return
	}
	var b strings.Builder
	if err := post.WriteProbe(&b, s, post.Header{Job: "plate"}); err != nil {
		fmt.Println(err)
		return
	}
	text := b.String()
	fmt.Print(text[strings.Index(text, "(Point 4)"):])
	// Output:
	// (Point 4)
	// X10.0 Y7.999
	// Z1.0
	// G38.2 Z-0.5 F60
	// M0
	// G0 Z10.0
	// (Point 5)
	// X2.001 Y7.999
	// Z1.0
	// G38.2 Z-0.5 F60
	// M0
	// G0 Z10.0
	// M2
}
