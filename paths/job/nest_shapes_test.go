package job

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

// plates returns the key-plates job with parts and operations of its own.
func plates(t *testing.T, partsAndOperations string) (*Job, error) {
	t.Helper()
	text, err := os.ReadFile(example(t, "key-plates"))
	require.NoError(t, err)
	head, _, found := strings.Cut(string(text), "\nparts:\n")
	require.True(t, found)
	return Parse("job.yaml", filepath.Dir(example(t, "key-plates")), []byte(head+"\n"+partsAndOperations))
}

const round = `
operations:
  - profile: {name: plates, tool: 1, part: plate, skin: 0.1mm}
`

func TestShapesBadInput(t *testing.T) {
	for _, c := range []struct{ name, part, says string }{
		{"neither disc nor shape", "{allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}", `lacks "finished"`},
		{"disc and shape", "{finished: 8mm, rectangle: {at: [0, 0], size: [9, 9]}, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}", "finished is for discs"},
		{"two shapes", "{circle: {at: [0, 0], diameter: 3}, rectangle: {at: [0, 0], size: [9, 9]}, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}", "two shapes"},
		{"grain of a disc", "{finished: 8mm, grain: {along: 0deg}, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}", "a disc has no direction"},
		{"kerf of discs", "{finished: 8mm, common_kerf: true, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}", "discs touch in a point"},
		{"count and at most", "{finished: 8mm, count: 3, at_most: 4, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}", "not both"},
		{"grain without a direction", "{rectangle: {at: [0, 0], size: [9, 9]}, grain: {tolerance: 2deg}, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}", `lacks "along"`},
		{"no grain at all", "{rectangle: {at: [0, 0], size: [9, 9]}, grain: {along: 0deg, tolerance: 120deg}, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}", "more than 90deg"},
		{"misspelt", "{rectangle: {at: [0, 0], size: [9, 9]}, grein: {along: 0deg}, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}", `did you mean "grain"`},
	} {
		_, err := plates(t, "parts:\n  - name: plate\n    nest: "+c.part+"\n"+round)
		require.ErrorContains(t, err, c.says, c.name)
		assert.Regexp(t, `^job\.yaml:\d+:\d+: `, err.Error(), c.name)
	}
	// Stock without a grain.
	text, err := os.ReadFile(example(t, "key-plates"))
	require.NoError(t, err)
	_, err = Parse("job.yaml", filepath.Dir(example(t, "key-plates")), []byte(strings.Replace(string(text), "  grain: 35deg", "  #", 1)))
	require.ErrorContains(t, err, "the stock has none; write for example 'grain: 30deg'")
}

func TestPartsNestedTogetherAreCutAlike(t *testing.T) {
	j, err := plates(t, `parts:
  - {name: plate, nest: {rectangle: {at: [0, 0], size: [9, 9]}, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0mm}}
  - {name: token, nest: {finished: 8mm, allowance: 0mm, cutter: 1, web: 0.3mm, edge: 0mm}}
`+round)
	require.NoError(t, err)
	_, err = NewPlanner(context.Background(), j)
	require.ErrorContains(t, err, `part "token": nest: parts that are nested together on the slab need the same web`)
}

// Discs of two sizes share the slab, the one of the lower priority number first.
func TestDiscsOfTwoSizes(t *testing.T) {
	j, err := plates(t, `parts:
  - {name: token, nest: {finished: 8mm, count: 100, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0.4mm, effort: 0.2s, priority: 2}}
  - {name: plate, nest: {finished: 20mm, count: 2, allowance: 0mm, cutter: 1, web: 0.2mm, edge: 0.4mm, effort: 0.2s, priority: 1}}
`+round)
	require.NoError(t, err)
	p, err := NewPlanner(context.Background(), j)
	require.NoError(t, err)
	l := p.Layouts()
	require.Len(t, l, 2)
	require.Equal(t, 2, p.layouts["plate"].Count())
	require.Greater(t, p.layouts["token"].Count(), 20)
	require.Less(t, p.layouts["token"].Count(), 100)
	apart(t, p)
	// What is between the parts stays: the profile of one kind keeps the other.
	plan, err := p.Plan(p.Programs()[0])
	require.NoError(t, err)
	token := p.layouts["token"].outline()
	for _, f := range plan.Setup.Features {
		common, err := geom.Intersection(f.May, token)
		require.NoError(t, err)
		require.Less(t, common.Area(), 1e-6)
	}
	var b strings.Builder
	require.NoError(t, p.layouts["token"].Print(&b))
	require.Contains(t, b.String(), "fewer than the 100 wanted")
}

// apart holds the parts of all layouts against each other and the zones.
func apart(t *testing.T, p *Planner) {
	t.Helper()
	var all []geom.Region
	for _, l := range p.Layouts() {
		for _, c := range l.outline() {
			all = append(all, geom.Region{c})
		}
	}
	tool := p.job.Tools[0].Diameter
	for i, a := range all {
		x := geom.NewIndex(a)
		least := func(r geom.Region) float64 {
			d := math.Inf(1)
			for _, c := range r {
				for _, g := range c {
					d = math.Min(d, x.Distance(g))
				}
			}
			return d
		}
		for _, b := range all[:i] {
			require.GreaterOrEqual(t, least(b), tool)
		}
		for _, z := range p.job.Zones {
			require.GreaterOrEqual(t, least(z.Area), tool+z.Clearance)
		}
		require.Empty(t, must(geom.Difference(a, p.job.Stock.Outline)))
	}
}

func must(r geom.Region, err error) geom.Region {
	if err != nil {
		panic(err)
	}
	return r
}

func TestShapesLieAlongTheGrain(t *testing.T) {
	j, err := Load(example(t, "key-plates"))
	require.NoError(t, err)
	p, err := NewPlanner(context.Background(), j)
	require.NoError(t, err)
	apart(t, p)
	l := p.layouts["plate"]
	require.GreaterOrEqual(t, len(l.Shapes), 8)
	g := l.Part.Nest.Grain
	for _, s := range l.Shapes {
		off := math.Remainder(s.Angle+g.Along-*j.Grain, math.Pi)
		require.LessOrEqual(t, math.Abs(off), g.Tolerance+1e-9)
	}
	// The allowance is on every side.
	size := l.cut.Bounds().Size()
	require.InDelta(t, 14.2, size.X, 1e-9)
}

// A common kerf is taken where more parts get out with it, and left where the
// web costs nothing.
func TestCommonKerfWhereItSaves(t *testing.T) {
	part := func(web, count string) *Planner {
		j, err := plates(t, `parts:
  - {name: plate, nest: {rectangle: {at: [0, 0], size: [18, 10]}, grain: {along: 0deg}, allowance: 0mm, cutter: 1, common_kerf: true, edge: 0.4mm, effort: 0.3s, web: `+web+count+"}}\n"+round)
		require.NoError(t, err)
		p, err := NewPlanner(context.Background(), j)
		require.NoError(t, err)
		return p
	}
	shared := part("2mm", "").layouts["plate"]
	require.True(t, shared.Common)
	require.Greater(t, shared.Count(), 9)
	few := part("2mm", ", count: 3").layouts["plate"]
	require.False(t, few.Common)
	require.Equal(t, 3, few.Count())
}
