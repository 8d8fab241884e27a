package interp

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Whole programs, each action on a line: block, what happens, feed.
func TestGoldenPrograms(t *testing.T) {
	names, err := filepath.Glob("testdata/*.nc")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	o := Options{
		Start: geom.Pt3(0, 0, 150),
		Tools: map[int]Tool{1: {Length: 42.5, Diameter: 3}, 2: {Length: 61.25, Diameter: 6}},
		Parameters: map[int]float64{5221: 100, 5222: 50, 5223: -80, 5241: 200, 5242: 50, 5243: -80,
			5161: 0, 5162: 0, 5163: 0},
	}
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			text, err := os.ReadFile(name)
			require.NoError(t, err)
			var b strings.Builder
			final, err := Run(gcode.NewReader(strings.NewReader(string(text)), gcode.Options{Name: filepath.Base(name)}), o, func(e *Event) error {
				fmt.Fprintf(&b, "%3d %s", e.Block, short(e))
				if e.Kind == Feed || e.Kind == Arc {
					fmt.Fprintf(&b, " at %s", round(e.State.FeedRate))
				}
				b.WriteByte('\n')
				return nil
			})
			require.NoError(t, err)
			fmt.Fprintf(&b, "%d blocks, ends at %s\n", final.Blocks, place(final.Position))
			golden := strings.TrimSuffix(name, ".nc") + ".golden"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(b.String()), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), b.String())
		})
	}
}
