package job

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestBadPlates(t *testing.T) {
	for _, c := range []struct {
		name     string
		old, new string
		says     string
	}{
		{"unknown thread", "thread: M3", "thread: M3x0.6", "of that size it has M3, M3x0.35"},
		{"wrong drill", "drill: {tool: 4", "drill: {tool: 3", "tool 3 is 6.000 mm, the tap drill for M3 is 2.50 mm"},
		{"drill of another thread", "thread: M3", "thread: 4-40", "the tap drill for 4-40 is #43 (2.261 mm)"},
		{"tap of another thread", "thread: M3", "thread: M3x0.35", "cuts 3.000 mm with a pitch of 0.5000 mm, M3x0.35 has 3.000 mm and 0.3500 mm"},
		{"tap that is a drill", "tap: {tool: 5}", "tap: {tool: 4}", "has not the form for it"},
		{"no such tool", "spot: {tool: 3}", "spot: {tool: 9}", "no tool number 9"},
		{"no spot", "    spot: {tool: 3}\n", "", `lacks "spot"`},
		{"too deep for the plate", "depth: 5mm ", "depth: 8mm ", "it is 10.000 mm: tap less deep"},
		{"program without drill", "    drill: {tool: 4, peck: 1.5mm}\n", "", "which needs the key drill"},
		{"datum off the plate", "mark: spot, size", "at: [90, 0], mark: spot, size", "does not lie on the plate"},
		{"cross with a drill", "mark: spot, size: 1.5mm", "mark: cross, depth: 0.1mm, size: 5mm", "engraved with a vee"},
		{"tap without pitch", "pitch: 0.5mm, ", "", `lacks "pitch"`},
		{"pitch in the wrong unit", "pitch: 0.5mm", "pitch: 0.5in", "less than half its diameter"},
		{"no tool change", "tool_change: manual", "tool_change: none", "needs 4 tools and the machine changes none"},
		{"unknown key", "thickness: 10mm", "thicknes: 10mm", `did you mean "thickness"?`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := heldJob(t, c.old, c.new)
			require.ErrorContains(t, err, c.says)
		})
	}
}

// The program of the plate has the places of the screws, the slab's lower face as
// its own, and nothing of the slab in it.
func TestPlateProgram(t *testing.T) {
	j, err := heldJob(t, chooseIt, "")
	require.NoError(t, err)
	p, err := NewPlanner(context.Background(), j)
	require.NoError(t, err)
	programs := p.Programs()
	require.Len(t, programs, 2)
	assert.Equal(t, "inlays-held-plate", programs[1].Name)
	plan, err := p.Plan(programs[1])
	require.NoError(t, err)
	assert.Empty(t, plan.Setup.Parts)
	assert.Empty(t, plan.Setup.Zones)
	assert.InDelta(t, -2.8, plan.Setup.Stock.Top, 1e-9)
	assert.InDelta(t, -12.8, plan.Setup.Stock.Bottom(), 1e-9)
	require.Len(t, plan.Toolpaths, 5)
	tap := plan.Toolpaths[4]
	holes := 0
	for _, m := range tap.Moves {
		if m.Tap && m.To.Z < -3 {
			assert.Contains(t, j.Screws.At, m.To.XY())
			assert.InDelta(t, -3-5-1, m.To.Z, 1e-9) // thread and lead
			holes++
		}
	}
	assert.Equal(t, 3, holes)
	drill := plan.Toolpaths[3]
	low := 0.0
	for _, m := range drill.Moves {
		low = min(low, m.To.Z)
	}
	// Two pitches for the chips and the point of 118 degrees.
	assert.InDelta(t, -3-5-1-1-0.751, low, 1e-3)
}

// Where the machine does not keep spindle and feed in step the holes are drilled
// for a tap by hand, and the program says so.
func TestPlateTappedByHand(t *testing.T) {
	j, err := heldJob(t, chooseIt, "", "  control: {rigid_tapping: true}\n", "", "depth: 5mm ", "depth: 4mm ")
	require.NoError(t, err)
	p, err := NewPlanner(context.Background(), j)
	require.NoError(t, err)
	plan, err := p.Plan(p.Programs()[1])
	require.NoError(t, err)
	require.Len(t, plan.Toolpaths, 4)
	var notes []string
	for _, n := range plan.Notes {
		notes = append(notes, n.Text)
	}
	all := strings.Join(notes, "\n")
	assert.Contains(t, all, "tap the holes by hand: M3, pitch 0.5 mm, hole 2.50 mm, full thread 4.000 deep")
	// 800 N/mm2 x 0.5^2 x 3 / 8000
	assert.Contains(t, all, "about 0.075 N m in aluminium")
}

// The plate is drilled before the slab lies on it: a registration does not move it.
func TestPlateIsNotRegistered(t *testing.T) {
	j, err := heldJob(t, chooseIt, "", "# Three socket", quarterTurn)
	require.NoError(t, err)
	p, err := NewPlanner(context.Background(), j)
	require.NoError(t, err)
	assert.Equal(t, j.Screws.At, p.ScrewPlaces())
	plan, err := p.Plan(p.Programs()[1])
	require.NoError(t, err)
	assert.Equal(t, j.Screws.Drilling.Outline, plan.Setup.Stock.Outline)
}
