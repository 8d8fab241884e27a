package job

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

// with loads the inlay job with the crack's line replaced.
func withDefect(t *testing.T, defect string) *Planner {
	t.Helper()
	text, err := os.ReadFile(example(t, "inlays-from-slab"))
	require.NoError(t, err)
	head, rest, found := strings.Cut(string(text), "  - {name: crack")
	require.True(t, found)
	_, rest, _ = strings.Cut(rest, "\n")
	j, err := Parse("job.yaml", filepath.Dir(example(t, "inlays-from-slab")), []byte(head+"  - "+defect+"\n"+rest))
	require.NoError(t, err)
	p, err := NewPlanner(context.Background(), j)
	require.NoError(t, err)
	return p
}

// A crack across the middle: parts keep off it either way; the tool may run over
// it only where that is allowed.
func TestDefectsAndTheTool(t *testing.T) {
	for _, c := range []struct {
		name, across string
		zone         bool
	}{{"not to be cut", "false", true}, {"may be cut", "true", false}} {
		t.Run(c.name, func(t *testing.T) {
			p := withDefect(t, "{name: crack, line: [[10, 22], [25, 20], [45, 26]], width: 0.5, cut_across: "+c.across+"}")
			j := p.Job()
			require.Len(t, j.Defects, 1)
			zones := 0
			for _, z := range j.Zones {
				if z.Name == "crack" {
					zones++
				}
			}
			require.Equal(t, c.zone, zones == 1)
			plan, err := p.Plan(p.Programs()[0])
			require.NoError(t, err)
			require.Len(t, plan.Setup.Defects, 1)
			area := geom.NewIndex(j.Defects[0].Area)
			for _, part := range plan.Setup.Parts {
				for _, g := range part.Outline[0] {
					require.Greater(t, area.Distance(g), 0.0)
				}
				require.Equal(t, geom.Outside, part.Outline.Contains(geom.Pt(25, 20)))
			}
		})
	}
	// Allowing the cut gives more room.
	shut := withDefect(t, "{name: crack, line: [[10, 22], [25, 20], [45, 26]], width: 0.5, cut_across: false}")
	open := withDefect(t, "{name: crack, line: [[10, 22], [25, 20], [45, 26]], width: 0.5, cut_across: true}")
	require.Greater(t, open.Layouts()[0].Count(), shut.Layouts()[0].Count())
}

func TestInclusions(t *testing.T) {
	p := withDefect(t, "{name: knot, polygon: {points: [[28, 20], [31, 20], [30, 23]]}, clearance: 1mm, cut_across: true}")
	area := p.Job().Defects[0].Area
	for _, c := range p.Layouts()[0].Centres {
		require.GreaterOrEqual(t, area.Distance(c), p.Layouts()[0].Diameter/2+1)
	}
}
