package interp

import (
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// trace runs the text and returns its actions in short: T x,y,z traverse, F feed,
// P probe, A arc as "A+1 x,y,z about x,y,z by degrees", all rounded to 1e-6.
func trace(text string, o Options) ([]string, Final, error) {
	var out []string
	src := gcode.NewReader(strings.NewReader(text), o.ReadOptions("test.nc"))
	f, err := Run(src, o, func(e *Event) error {
		out = append(out, short(e))
		return nil
	})
	return out, f, err
}

func short(e *Event) string {
	switch e.Kind {
	case Traverse, Feed, Probe:
		return fmt.Sprintf("%s %s", map[Kind]string{Traverse: "T", Feed: "F", Probe: "P"}[e.Kind], place(e.To)) + rotary(e)
	case Arc:
		return fmt.Sprintf("A%+d %s about %s by %s", e.Turn, place(e.To), place(e.Centre), round(e.Sweep*180/math.Pi)) + rotary(e)
	case Dwell:
		return "dwell " + round(e.Seconds)
	case Spindle:
		s := fmt.Sprintf("spindle %+d %s", e.State.SpindleTurn, round(e.State.SpindleSpeed))
		if e.State.Oriented {
			s += " oriented"
		}
		return s
	case Coolant:
		return fmt.Sprintf("coolant mist %v flood %v", e.State.Mist, e.State.Flood)
	case Message:
		return "message" + e.Text
	case ToolSelect, ToolChange:
		return fmt.Sprintf("%s %d", e.Kind, e.State.Selected)
	}
	return fmt.Sprintf("%s %d", e.Kind, e.Code)
}

func rotary(e *Event) string {
	if !e.Rotates() {
		return ""
	}
	return fmt.Sprintf(" ABC %s,%s,%s", round(e.ToABC[0]), round(e.ToABC[1]), round(e.ToABC[2]))
}

func place(p geom.Point3) string { return round(p.X) + "," + round(p.Y) + "," + round(p.Z) }

// round writes the number to six decimals without needless zeros.
func round(v float64) string {
	return strings.TrimSuffix(string(gcode.AppendNumber(nil, v, 6)), ".0")
}

// moves is the trace without its end.
func moves(t *testing.T, text string, o Options) []string {
	t.Helper()
	got, f, err := trace(text+"\nM2\n", o)
	require.NoError(t, err, text)
	require.True(t, f.Ended)
	require.Equal(t, "program end 2", got[len(got)-1])
	return got[:len(got)-1]
}

// list splits a list of actions.
func list(s string) []string {
	out := []string{}
	for _, l := range strings.Split(s, ";") {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}

func TestSmoke(t *testing.T) {
	got := moves(t, "G21 G90 G17 G94 F100 S5000 M3\nG0 X1 Y2\nG1 Z-1\nG3 X3 Y4 I2 J0\nG20 G1 X1", Options{Start: geom.Pt3(0, 0, 5)})
	assert.Equal(t, list("spindle +0 5000; spindle -1 5000; T 1,2,5; F 1,2,-1; A+1 3,4,-1 about 3,2,-1 by 270; F 25.4,4,-1"), got)
}

// Memory does not grow with the program.
func TestMemoryIsConstant(t *testing.T) {
	used := func(blocks int) uint64 {
		text := "F100 M3\n" + strings.Repeat("G1 X12.345 Y-3.25\nG2 X0 Y0 R20\nG0 Z[1+#3] #3=2\nG81 X1 Z-1 R1\n", blocks) + "M2\n"
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Run(gcode.NewReader(strings.NewReader(text), gcode.Options{}), Options{}, func(*Event) error { return nil })
		require.NoError(t, err)
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	small, large := used(10), used(10_000)
	assert.Less(t, large, small+64<<10)
}

func TestNames(t *testing.T) {
	assert.Equal(t, "tool change", ToolChange.String())
	assert.Equal(t, "unknown", Kind(99).String())
	assert.Equal(t, "G18", ZX.String())
}
