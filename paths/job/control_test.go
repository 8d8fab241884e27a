package job

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/setup"
)

const axesLine = "  axes: {x: {rate: 50mm/min, acceleration: 300mm/s2, corner_step: 2mm/min}, y: {rate: 3000mm/min, acceleration: 300mm/s2, corner_step: 120mm/min}, z: {rate: 1000mm/min, acceleration: 100mm/s2, corner_step: 30mm/min}}\n"

func TestMachineAxes(t *testing.T) {
	text := strings.Replace(axesLine, "rate: 50mm/min", "rate: 2500mm/min", 1)
	j, err := withMachine(t, text+"  corner_deviation: 20um\n  look_ahead: 32\n")
	require.NoError(t, err)
	assert.Equal(t, [3]setup.Axis{{Rate: 2500, Accel: 300, CornerStep: 2}, {Rate: 3000, Accel: 300, CornerStep: 120}, {Rate: 1000, Accel: 100, CornerStep: 30}}, j.Machine.Axes)
	assert.InDelta(t, 0.02, j.Machine.CornerDeviation, 1e-12)
	assert.Equal(t, 32, j.Machine.LookAhead)
	require.NoError(t, j.Machine.Validate())

	j, err = withMachine(t, "")
	require.NoError(t, err)
	assert.Zero(t, j.Machine.Axes)
	assert.Zero(t, j.Machine.CornerDeviation)
	assert.Zero(t, j.Machine.LookAhead)
	assert.Zero(t, j.Machine.Practice)

	// One axis may have a rate alone, and the path's acceleration is there.
	_, err = withMachine(t, "  axes: {x: {}, y: {acceleration: 100mm/s2}, z: {rate: 800mm/min}}\n")
	require.NoError(t, err)
}

func TestControl(t *testing.T) {
	j, err := withMachine(t, "  control: {semicolon_comments: true, rigid_tapping: true, high_speed_peck: true, subprograms: true, dwell: milliseconds}\n")
	require.NoError(t, err)
	assert.Equal(t, setup.Practice{SemicolonComments: true, RigidTapping: true, HighSpeedPeck: true, Subprograms: true, DwellMilliseconds: true}, j.Machine.Practice)
	j, err = withMachine(t, "  control: {dwell: seconds}\n")
	require.NoError(t, err)
	assert.Zero(t, j.Machine.Practice)
}

func TestBadControl(t *testing.T) {
	for _, c := range []struct{ lines, says string }{
		{"  axes: {x: {rate: 3000mm/min}}\n", `machine: axes lacks "y"`},
		{"  axes: [1, 2, 3]\n", "machine: axes has to be"},
		{"  axes: {x: {rate: 0}, y: {}, z: {}}\n", "machine: axes: x: rate has to be more than 0"},
		{"  axes: {x: {rate: fast}, y: {}, z: {}}\n", `"fast"`},
		{"  axes: {x: {speed: 3}, y: {}, z: {}}\n", `"speed"`},
		{"  axes: {x: {}, y: {}, z: {}, a: {}}\n", `"a"`},
		{"  axes: {x: {corner_step: 100mm/min}, y: {}, z: {}}\n", "machine: axes: corner_step is given for some axes only"},
		{"  corner_deviation: -1mm\n", "corner_deviation has to be more than 0"},
		{"  look_ahead: 0\n", "look_ahead has to be a whole number from 1 to 4096"},
		{"  look_ahead: many\n", "look_ahead has to be a whole number"},
		{axesLine, "feed is 180 mm/min, the machine's limits are 0 to 50"},
		{"  control: true\n", "machine: control has to be"},
		{"  control: {dwell: hours}\n", "dwell is one of seconds, milliseconds"},
		{"  control: {subprograms: 3}\n", "subprograms has to be true or false"},
		{"  control: {lathe: true}\n", `"lathe"`},
	} {
		_, err := withMachine(t, c.lines)
		require.ErrorContains(t, err, c.says, c.lines)
	}
}

func TestToolLength(t *testing.T) {
	path := example(t, "inlays-from-slab")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	with := func(length, offsets string) (*Job, error) {
		s := strings.Replace(string(text), "    stick_out:", length+"    stick_out:", 1)
		s = strings.Replace(s, "  feed_max:", offsets+"  feed_max:", 1)
		return Parse(path, filepath.Dir(path), []byte(s))
	}
	j, err := with("    length: 2.5in\n", "  length_offsets: true\n")
	require.NoError(t, err)
	require.NotNil(t, j.Tools[0].Length)
	assert.InDelta(t, 63.5, *j.Tools[0].Length, 1e-12)
	j, err = with("", "  length_offsets: true\n")
	require.NoError(t, err)
	assert.Nil(t, j.Tools[0].Length)
	_, err = with("    length: 60mm\n", "")
	require.ErrorContains(t, err, "length is of use where the control keeps a tool table only")
	_, err = with("    length: long\n", "  length_offsets: true\n")
	require.ErrorContains(t, err, `"long"`)
}
