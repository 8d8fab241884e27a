package job

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestOtherPartsStay plans the band tag beside parts of another kind: a cut round
// it may not come into them, unless they hold it.
func TestOtherPartsStay(t *testing.T) {
	path := example(t, "band-tags")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, c := range []struct {
		name, part, says string
	}{
		{"far enough", "circle: {at: [54, 3], diameter: 4}", ""},
		{"in the way of the cutter", "circle: {at: [30, 3], diameter: 4}", "from a neighbouring part"},
		{"the plate that the tag is cut out of", "rectangle: {at: [1, 1], size: [58, 28]}", ""},
		{"a hole's plug in the tag", "circle: {at: [12.5, 15], diameter: 2}", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := strings.Replace(string(text), "parts:\n", "parts:\n  - {name: other, "+c.part+"}\n", 1)
			j, err := Parse(path, filepath.Dir(path), []byte(s))
			require.NoError(t, err)
			p, err := NewPlanner(context.Background(), j)
			require.NoError(t, err)
			plan, err := p.Plan(p.Programs()[0])
			if c.says != "" {
				require.ErrorContains(t, err, c.says)
				return
			}
			require.NoError(t, err)
			last := plan.Setup.Features[len(plan.Setup.Features)-1]
			require.InDelta(t, 44*18-(4-3.14159265)*9, last.Around.Area(), 1e-3)
		})
	}
}
