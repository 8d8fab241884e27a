package job

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

// withMachine returns an example with lines added to its machine.
func withMachine(t *testing.T, lines string) (*Job, error) {
	t.Helper()
	path := example(t, "inlays-from-slab")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), "  feed_max:")
	return Parse(path, filepath.Dir(path), []byte(strings.Replace(string(text), "  feed_max:", lines+"  feed_max:", 1)))
}

func TestMachineTravel(t *testing.T) {
	j, err := withMachine(t, "  travel: {x: [0mm, 12in], y: [0mm, 200mm], z: [-80mm, 0mm]}\n  work_offset: [120mm, 85mm, -60mm]\n  block_rate: 120\n")
	require.NoError(t, err)
	assert.Equal(t, geom.Pt3(0, 0, -80), j.Machine.Travel.Min)
	assert.InDelta(t, 304.8, j.Machine.Travel.Max.X, 1e-9)
	require.NotNil(t, j.Machine.WorkOffset)
	assert.Equal(t, geom.Pt3(120, 85, -60), *j.Machine.WorkOffset)
	assert.Equal(t, 120.0, j.Machine.BlockRate)
	require.NoError(t, j.Machine.Validate())

	j, err = withMachine(t, "")
	require.NoError(t, err)
	assert.False(t, j.Machine.HasTravel())
	assert.Nil(t, j.Machine.WorkOffset)
	assert.Zero(t, j.Machine.BlockRate)
}

func TestBadMachineTravel(t *testing.T) {
	travel := "  travel: {x: [0mm, 300mm], y: [0mm, 200mm], z: [-80mm, 0mm]}\n"
	for _, c := range []struct{ lines, says string }{
		{"  travel: {x: [300mm, 0mm], y: [0mm, 200mm], z: [-80mm, 0mm]}\n", "machine: travel: x has to be [least, greatest]"},
		{"  travel: {x: [0mm, 300mm], y: [0mm, 200mm]}\n", `machine: travel lacks "z"`},
		{"  work_offset: [0mm, 0mm, 0mm]\n", "work_offset is of use with the machine's travel only"},
		{travel + "  work_offset: [0mm, 0mm]\n", "machine: work_offset has to be a place"},
		{travel + "  work_offset: [0mm, 0mm, far]\n", "machine: work_offset"},
		{travel + "  work_offset: 3mm\n", "machine: work_offset has to be a list"},
		{"  block_rate: 0\n", "block_rate has to be more than 0"},
		{"  block_rate: -5\n", "block_rate has to be more than 0"},
		{"  block_rate: many\n", "not a number of blocks a second"},
		{"  block_rate: .nan\n", "block_rate has to be a single value"},
	} {
		_, err := withMachine(t, c.lines)
		require.ErrorContains(t, err, c.says, c.lines)
	}
}
