package job

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths"
	"proofcut/paths/geom"
)

// registered returns an example with a register block at its end and a fixed
// zone added.
func registered(t *testing.T, name, register string) (*Job, error) {
	t.Helper()
	data, err := os.ReadFile(example(t, name))
	require.NoError(t, err)
	text := string(data)
	text = strings.Replace(text, "zones:\n", "zones:\n  - {name: clamp, rectangle: {at: [-9mm, -9mm], size: [3mm, 3mm]}, bottom: -3mm, top: -1mm, clearance: 0.1mm, fixed: true}\n", 1)
	return Parse("job.yaml", filepath.Dir(example(t, name)), []byte(text+register))
}

func touchesOf(m geom.Similarity, scale bool) string {
	var b strings.Builder
	fmt.Fprintf(&b, "register:\n  scale: %v\n  points:\n", scale)
	for i, p := range []geom.Point{{X: 5.4, Y: 6.4}, {X: 55.2, Y: 30.6}, {X: 5.6, Y: 37}} {
		q := m.Apply(p)
		fmt.Fprintf(&b, "    - {name: screw %d, drawing: [%gmm, %gmm], touched: [%.9fmm, %.9fmm]}\n", i+1, p.X, p.Y, q.X, q.Y)
	}
	return b.String()
}

func planned(t *testing.T, j *Job) *Plan {
	t.Helper()
	p, err := NewPlanner(context.Background(), j)
	require.NoError(t, err)
	plan, err := p.Plan(p.Programs()[0])
	require.NoError(t, err)
	return plan
}

func TestTheWholeJobMovesWithTheSlab(t *testing.T) {
	m := geom.Rotate(7 * math.Pi / 180).Then(geom.Translate(geom.Pt(8, -3)))
	for _, name := range []string{"inlays-from-slab", "name-on-flat"} {
		t.Run(name, func(t *testing.T) {
			still, err := registered(t, name, "")
			require.NoError(t, err)
			moved, err := registered(t, name, touchesOf(m, false))
			require.NoError(t, err)
			a, b := planned(t, still), planned(t, moved)
			require.Len(t, b.Setup.Parts, len(a.Setup.Parts))
			for i, p := range a.Setup.Parts {
				assert.InDelta(t, 0, m.Apply(p.At).Dist(b.Setup.Parts[i].At), 1e-6)
				assert.Equal(t, p.Diameter, b.Setup.Parts[i].Diameter)
			}
			assert.InDelta(t, 0, m.Apply(a.Setup.Stock.Outline.Centroid()).Dist(b.Setup.Stock.Outline.Centroid()), 1e-6)
			require.Len(t, b.Setup.Zones, len(a.Setup.Zones))
			for i, z := range a.Setup.Zones {
				want := z.Area.Centroid()
				if z.Name == "clamp" {
					assert.True(t, b.Setup.Zones[i].Fixed)
				} else {
					want = m.Apply(want)
				}
				assert.InDelta(t, 0, want.Dist(b.Setup.Zones[i].Area.Centroid()), 1e-6, z.Name)
			}
			if name == "name-on-flat" { // the same strokes, letter by letter
				from, to := a.Toolpaths[0].Moves, b.Toolpaths[0].Moves
				require.Len(t, to, len(from))
				for i := range from {
					assert.InDelta(t, 0, m.Apply(from[i].To.XY()).Dist(to[i].To.XY()), 1e-6)
					assert.Equal(t, from[i].To.Z, to[i].To.Z)
				}
			}
			require.NotNil(t, b.Setup.Registration)
			assert.Nil(t, a.Setup.Registration)
			assert.Equal(t, 3, b.Setup.Registration.Spare)
			assert.Len(t, moved.Report(), 4)
			assert.Contains(t, moved.Report()[0], "turned 7.0000 deg")
			assert.Empty(t, still.Report())
		})
	}
}

func TestScaleIsTheSlabsAlone(t *testing.T) {
	m := geom.Scale(1.01).Then(geom.Rotate(0.1)).Then(geom.Translate(geom.Pt(8, -3)))
	still, err := registered(t, "inlays-from-slab", "")
	require.NoError(t, err)
	moved, err := registered(t, "inlays-from-slab", touchesOf(m, true))
	require.NoError(t, err)
	assert.InDelta(t, 1.01*1.01*still.Stock.Outline.Area(), moved.Stock.Outline.Area(), 1e-4)
	plan := planned(t, moved)
	require.NotEmpty(t, plan.Setup.Parts)
	for i, p := range plan.Setup.Parts {
		assert.InDelta(t, 12.827, p.Diameter, 1e-12)
		// Each disc lies in the slab as it is on the machine, away from screws.
		assert.Equal(t, geom.Inside, moved.Stock.Outline.Contains(p.At))
		assert.GreaterOrEqual(t, moved.Stock.Outline.BoundaryDistance(p.At), p.Diameter/2+0.3-1e-9)
		for _, q := range plan.Setup.Parts[:i] {
			assert.GreaterOrEqual(t, p.At.Dist(q.At), p.Diameter+1.5875+0.3)
		}
		for _, z := range plan.Setup.Zones {
			f, err := paths.Forbidden(plan.Setup, plan.Setup.Tools[0], -2.9)
			require.NoError(t, err)
			for k := range 64 {
				at := p.At.Add(geom.Polar(p.Diameter/2+1.5875/2, float64(k)*math.Pi/32))
				require.NotEqual(t, geom.Inside, f.Contains(at), "%s near %s", p.Name, z.Name)
			}
		}
	}
}

func TestRegisterFromATableAndEdges(t *testing.T) {
	// The flat of name-on-flat, 22 x 5 mm, turned by 3 degrees and found with a
	// 4 mm tip at its front and left edge and at one point.
	m := geom.Rotate(3 * math.Pi / 180).Then(geom.Translate(geom.Pt(2, 1)))
	at := func(x, y float64) string {
		p := m.Apply(geom.Pt(x, y))
		return fmt.Sprintf("%.6fmm,%.6fmm", p.X, p.Y)
	}
	table := "name,drawing_x,drawing_y,edge_x,edge_y,tip,touched_x,touched_y\n" +
		"front left,0mm,0mm,22mm,0mm,4mm," + at(3, -2) + "\n" +
		"front right,0mm,0mm,22mm,0mm,4mm," + at(20, -2) + "\n" +
		"left,0mm,5mm,0mm,0mm,4mm," + at(-2, 2) + "\n" +
		"mark,21mm,2.5mm,,,," + at(21, 2.5) + "\n"
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "touched.csv"), []byte(table), 0o600))
	data, err := os.ReadFile(example(t, "name-on-flat"))
	require.NoError(t, err)
	j, err := Parse("job.yaml", dir, append(data, "register: {file: touched.csv, limit: 0.02mm}\n"...))
	require.NoError(t, err)
	assert.InDelta(t, 3*math.Pi/180, j.registered.fit.Angle, 1e-7)
	assert.InDelta(t, 0, m.Apply(geom.Pt(22, 5)).Dist(j.registered.fit.Map.Apply(geom.Pt(22, 5))), 1e-5)
	assert.Equal(t, 2, j.registered.fit.Spare)
	assert.Contains(t, strings.Join(j.Report(), "\n"), "front right (edge): residual")
}

func TestBadProbe(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"no spacing", "probe: {tip: 2mm, stem: 1mm, length: 20mm, edge: 1mm, within: 1mm}\n", `probe lacks "spacing"`},
		{"no tip", "probe: {tip: 0mm, stem: 1mm, length: 20mm, spacing: 8mm, edge: 1mm, within: 1mm}\n", "tip has to be more than 0"},
		{"short", "probe: {tip: 2mm, stem: 1mm, length: 1mm, spacing: 8mm, edge: 1mm, within: 1mm}\n", "less than the tip's diameter"},
		{"fast", "probe: {tip: 2mm, stem: 1mm, length: 20mm, spacing: 8mm, edge: 1mm, within: 1mm, feed: 2000mm/min}\n", "the machine's limit is 1000"},
		{"log", "probe: {tip: 2mm, stem: 1mm, length: 20mm, spacing: 8mm, edge: 1mm, within: 1mm, log: file}\n", "log is one of parameters, stop"},
		{"parameter", "probe: {tip: 2mm, stem: 1mm, length: 20mm, spacing: 8mm, edge: 1mm, within: 1mm, log: stop, first_parameter: 100}\n", "of use with 'log: parameters' only"},
		{"reserved", "probe: {tip: 2mm, stem: 1mm, length: 20mm, spacing: 8mm, edge: 1mm, within: 1mm, first_parameter: 5221}\n", "from 1 to 5000"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := registered(t, "inlays-from-slab", c.text)
			require.ErrorContains(t, err, c.says)
			assert.Regexp(t, `^job.yaml:\d+:\d+: `, err.Error())
		})
	}
	data, err := os.ReadFile(example(t, "band-tags"))
	require.NoError(t, err)
	probe := "probe: {tip: 2mm, stem: 1mm, length: 20mm, spacing: 8mm, edge: 1mm, within: 1mm, number: %s}\n"
	_, err = Parse("job.yaml", filepath.Dir(example(t, "band-tags")), append(data[:len(data):len(data)], fmt.Sprintf(probe, "1")...))
	assert.ErrorContains(t, err, "number 1 is that of a cutter")
	_, err = Parse("job.yaml", filepath.Dir(example(t, "band-tags")), append(data[:len(data):len(data)], fmt.Sprintf(probe, "99")...))
	assert.NoError(t, err)
}

func TestBadRegistration(t *testing.T) {
	point := func(name, rest string) string { return "    - {name: " + name + ", " + rest + "}\n" }
	two := point("A", "drawing: [0, 0], touched: [10, 5]") + point("B", "drawing: [50, 0], touched: [60, 5]")
	for _, c := range []struct {
		name, text string
		says       []string
	}{
		{"nothing", "register: {}\n", []string{"register lacks its points"}},
		{"no name", "register:\n  points:\n    - {drawing: [0, 0], touched: [1, 1]}\n", []string{`lacks "name"`}},
		{"one point", "register:\n  points:\n" + point("A", "drawing: [0, 0], touched: [10, 5]"), []string{"1 points: at least 2"}},
		{"same name", "register:\n  points:\n" + two + point("A", "drawing: [5, 30], touched: [15, 35]"), []string{`the name "A" is used twice`}},
		{"given twice", "register:\n  points:\n" + two + point("C", "drawing: [50, 0], touched: [60, 5]"), []string{`"B" and "C": only 0.000 mm apart`}},
		{"one is off", "register:\n  points:\n" + two + point("C", "drawing: [0, 40], touched: [10, 46]"), []string{`"C": lies`, "over the limit of 0.1 mm", "residuals: A "}},
		{"mirrored", "register:\n  points:\n" + two + point("C", "drawing: [0, 40], touched: [10, -35]"), []string{"mirrored"}},
		{"scaled", "register:\n  points:\n" + point("A", "drawing: [0, 0], touched: [10, 5]") + point("B", "drawing: [50, 0], touched: [60.5, 5]"), []string{"a scale of 1.01000 would fit"}},
		{"inches", "register:\n  scale: true\n  points:\n" + point("A", "drawing: [0, 0], touched: [10, 5]") + point("B", "drawing: [50, 0], touched: [20, 5]"), []string{"scaled by 0.2000", "check its unit"}},
		{"both", "register:\n  points:\n" + two + "  file: x.csv\n", []string{"not both"}},
		{"no table", "register: {file: x.csv}\n", []string{`no file "x.csv"`}},
		{"table of something else", "register: {file: slab.csv}\n", []string{"slab.csv:1:1", "has no name"}},
		{"no edge there", "register:\n  points:\n" + two + point("E", "edge: [[20, 20], [40, 20]], touched: [30, 20]"), []string{"no edge of the slab"}},
		{"short edge", "register:\n  points:\n" + two + point("E", "edge: [[20, 0], [21, 0]], touched: [30, 20]"), []string{"gives no direction"}},
		{"edge of one place", "register:\n  points:\n" + two + point("E", "edge: [[20, 0]], touched: [30, 20]"), []string{"two places on it"}},
		{"tip of a point", "register:\n  points:\n" + two + point("E", "drawing: [20, 0], tip: 3mm, touched: [30, 20]"), []string{"tip is of use with an edge only"}},
		{"limit", "register:\n  limit: 0mm\n  points:\n" + two, []string{"limit has to be more than 0"}},
		{"not finite", "register:\n  points:\n" + point("A", "drawing: [.nan, 0], touched: [10, 5]"), []string{"single value"}},
		{"unknown", "register:\n  pionts:\n" + two, []string{`no key "pionts"`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := registered(t, "inlays-from-slab", c.text)
			require.Error(t, err)
			assert.Regexp(t, `^(job.yaml|slab.csv):\d+:\d+: `, err.Error())
			for _, s := range c.says {
				assert.Contains(t, err.Error(), s)
			}
		})
	}
}
