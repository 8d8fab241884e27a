package interp

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// The worked examples of NISTIR 6556. The report could not be read in full when
// they were collected: rows are from memory, those marked "calc" were calculated
// from the rule of the section named.
var vectors = []struct {
	name  string
	start geom.Point3
	setup string // a block before
	text  string // blocks, parted by |
	want  string // actions, parted by ;
	err   string // of the last block
}{
	// Section 3.3, lines.
	{"3.3 white space", geom.Point3{}, "", "g0x +0. 12 34y 7", "T 0.1234,7,0", ""},
	{"3.3 deferred setting", geom.Point3{}, "#3=15", "#3=6 G0 x#3|G0 y#3", "T 15,0,0; T 15,6,0", ""},
	{"3.3.5 the last setting of a parameter wins", geom.Point3{}, "#3=15 #3=6", "G0 X#3", "T 6,0,0", ""},
	{"deferred settings in sequence", geom.Point3{}, "#1=2.0|##1=0.375", "G0 x#2 #3=7.0|#3=5.0 x#3|x#3 #3=1.1",
		"T 0.375,0,0; T 7,0,0; T 5,0,0", ""},

	// Section 3.5.3, arcs.
	{"3.5.3 centre format", geom.Pt3(7, 7, 9), "F100", "G17 G2 x10 y16 i3 j4 z9", "A-1 10,16,9 about 10,11,9 by 143.130102", ""},
	{"3.5.3 the same as a helix", geom.Pt3(7, 7, 0), "F100", "G17 G2 x10 y16 i3 j4 z9", "A-1 10,16,9 about 10,11,0 by 143.130102", ""},
	{"3.5.3 radius format, calc", geom.Point3{}, "F100", "G17 G2 x10 y15 r20 z5", "A-1 10,15,5 about 19.855069,-2.403379,0 by 53.576426", ""},
	{"3.5.3 radius below zero, calc", geom.Point3{}, "F100", "G17 G2 x10 y15 r-20 z5", "A-1 10,15,5 about -9.855069,17.403379,0 by 306.423574", ""},
	{"3.5.3 radius counter-clockwise, calc", geom.Point3{}, "F100", "G3 x10 y15 r20", "A+1 10,15,0 about -9.855069,17.403379,0 by 53.576426", ""},
	{"3.5.3 radius below zero counter-clockwise, calc", geom.Point3{}, "F100", "G3 x10 y15 r-20", "A+1 10,15,0 about 19.855069,-2.403379,0 by 306.423574", ""},
	{"3.5.3 quarter clockwise, calc", geom.Point3{}, "F100", "G2 x10 y10 r10", "A-1 10,10,0 about 10,0,0 by 90", ""},
	{"3.5.3 quarter counter-clockwise, calc", geom.Point3{}, "F100", "G3 x10 y10 r10", "A+1 10,10,0 about 0,10,0 by 90", ""},
	{"3.5.3 half circle by radius, calc", geom.Point3{}, "F100", "G3 x10 r5", "A+1 10,0,0 about 5,0,0 by 180", ""},
	{"3.5.3 G18, calc", geom.Point3{}, "F100", "G18 G3 x10 z10 i10 k0", "A+1 10,0,10 about 10,0,0 by 90", ""},
	{"3.5.3 G18 the other way, calc", geom.Point3{}, "F100", "G18 G2 x10 z10 i10 k0", "A-1 10,0,10 about 10,0,0 by 270", ""},
	{"3.5.3 G19, calc", geom.Point3{}, "F100", "G19 G3 y10 z10 j0 k10 x2", "A+1 2,10,10 about 0,0,10 by 90", ""},
	{"3.5.3 mismatch of 0.001 mm, calc", geom.Pt3(7, 7, 0), "G21 F100", "G2 x10 y16.001 i3 j4", "A-1 10,16.001,0 about 10,11,0 by 143.130102", ""},
	{"3.5.3 mismatch of 0.003 mm, calc", geom.Pt3(7, 7, 0), "G21 F100", "G2 x10 y16.003 i3 j4", "", "radii at start and end of the arc differ by 0.003 mm"},
	{"3.5.3 full circle, calc", geom.Point3{}, "F100", "G2 x0 y0 i5", "A-1 0,0,0 about 5,0,0 by 360", ""},
	{"3.5.3 full circle by radius, calc", geom.Point3{}, "F100", "G2 x0 y0 r5", "", "cannot end where it starts"},
	{"3.5.3 cannot reach, calc", geom.Point3{}, "F100", "G2 x10 y0 r4.9", "", "too small to reach"},
	{"3.5.3 offsets are incremental under G90 and G91, calc", geom.Pt3(7, 7, 0), "F100", "G91 G2 x3 y9 i3 j4", "A-1 10,16,0 about 10,11,0 by 143.130102", ""},

	// Section 3.5.16, canned cycles.
	{"3.5.16.2 G81 absolute", geom.Pt3(1, 2, 3), "F100", "G90 G81 G98 X4 Y5 Z1.5 R2.8", "T 4,5,3; T 4,5,2.8; F 4,5,1.5; T 4,5,3", ""},
	{"3.5.16.2 G81 incremental with repeats", geom.Pt3(1, 2, 3), "F100", "G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3",
		"T 1,2,4.8; T 5,7,4.8; F 5,7,4.2; T 5,7,4.8; T 9,12,4.8; F 9,12,4.2; T 9,12,4.8; T 13,17,4.8; F 13,17,4.2; T 13,17,4.8", ""},
	{"3.5.16.2 G99, calc", geom.Pt3(1, 2, 3), "F100", "G90 G81 G99 X4 Y5 Z1.5 R2.8", "T 4,5,3; T 4,5,2.8; F 4,5,1.5; T 4,5,2.8", ""},
	{"3.5.16.4 G83, calc", geom.Pt3(0, 0, 5), "F100", "G90 G83 G99 X1 Y1 Z-2.5 R1 Q1.5",
		"T 1,1,5; T 1,1,1; F 1,1,-0.5; T 1,1,1; T 1,1,-0.246; F 1,1,-2; T 1,1,1; T 1,1,-1.746; F 1,1,-2.5; T 1,1,1", ""},
	{"3.5.16.3 G82, calc", geom.Point3{}, "F100", "G90 G82 G98 X1 Y0 Z-1 R2 P0.5", "T 0,0,2; T 1,0,2; F 1,0,-1; dwell 0.5; T 1,0,2", ""},
	{"3.5.16.2 R below Z, calc", geom.Pt3(1, 2, 3), "F100", "G90 G81 X4 Y5 Z2.9 R2.8", "", "R lies below the depth Z"},

	// Section 3.5.18 and 3.5.5, offsets.
	{"3.5.18 G92 makes X 4 read 7, then 9", geom.Pt3(4, 0, 0), "", "G92 x7|G0 x7|G92 x9|G0 x9|x0", "T 4,0,0; T 4,0,0; T -5,0,0", ""},

	// Section 3.5.10 and appendix B, radius compensation with a radius of 0.25.
	{"B left, calc", geom.Point3{}, "F100", "G41 D1 G1 X2 Y0", "F 1.96875,0.248039,0", ""},
	{"B right, calc", geom.Point3{}, "F100", "G42 D1 G1 X2 Y0", "F 1.96875,-0.248039,0", ""},
	{"B gouging, calc", geom.Point3{}, "F100", "G41 D1 G1 X0.2 Y0", "", "gouge"},
	{"B concave, calc", geom.Point3{}, "F100", "G41 D1 G1 X2 Y0|Y2", "F 1.96875,0.248039,0", "concave corner"},
	{"B convex, calc", geom.Point3{}, "F100", "G42 D1 G1 X2 Y0|Y2",
		"F 1.96875,-0.248039,0; A+1 2.25,0,0 about 2,0,0 by 97.180756; F 2.25,2,0", ""},
	{"B round a square, calc", geom.Pt3(0, -1, 0), "F100", "G41 D1 G1 X0 Y0|Y2|X2|Y0|X0|G40 G1 X0 Y-1",
		`F -0.242061,-0.0625,0; A-1 -0.25,0,0 about 0,0,0 by 14.477512; F -0.25,2,0;
		A-1 0,2.25,0 about 0,2,0 by 90; F 2,2.25,0; A-1 2.25,2,0 about 2,2,0 by 90; F 2.25,0,0;
		A-1 2,-0.25,0 about 2,0,0 by 90; F 0,-0.25,0; F 0,-1,0`, ""},
	{"B first move an arc, radius 0.5, calc", geom.Point3{}, "F100", "G41 D2 G3 X2 Y-2.5 I2 J0", "A+1 2,-2,0 about 2,0,0 by 90", ""},
}

var vectorTools = map[int]Tool{1: {Diameter: 0.5}, 2: {Diameter: 1}, 3: {Length: 50, Diameter: 3}, 4: {Diameter: -0.5}}

func TestVectors(t *testing.T) {
	for _, v := range vectors {
		t.Run("NISTIR 6556, section "+v.name, func(t *testing.T) {
			text := v.setup + "\n" + v.text
			text = strings.ReplaceAll(text, "|", "\n") + "\nM2\n"
			got, _, err := trace(text, Options{Start: v.start, Tools: vectorTools})
			if v.err != "" {
				require.ErrorContains(t, err, v.err)
				assert.Equal(t, list(v.want), append([]string{}, got...))
				return
			}
			require.NoError(t, err)
			require.NotEmpty(t, got)
			assert.Equal(t, list(v.want), got[:len(got)-1])
		})
	}
}

// NISTIR 6556, section 3.3.6 (from memory): the items of a line commute.
func TestItemsCommute(t *testing.T) {
	items := []string{"g40", "g1", "#3=15", "(foo)", "#4=-7.0"}
	n := 0
	var permute func(k int)
	permute = func(k int) {
		if k == len(items) {
			n++
			got, f, err := trace("F9\n"+strings.Join(items, " ")+" X1\nM2\n", Options{})
			require.NoError(t, err)
			require.Equal(t, list("F 1,0,0; program end 2"), got)
			require.Equal(t, 15.0, f.Parameters[3])
			require.Equal(t, -7.0, f.Parameters[4])
			return
		}
		for i := k; i < len(items); i++ {
			items[k], items[i] = items[i], items[k]
			permute(k + 1)
			items[k], items[i] = items[i], items[k]
		}
	}
	permute(0)
	assert.Equal(t, 120, n)
}

// NISTIR 6556, section 3.5.5 (from memory).
func TestSetSystem(t *testing.T) {
	_, f, err := trace("G10 L2 P1 Z4\nG91 G10 L2 P1 x3.5 y17.2\nM2", Options{Start: geom.Pt3(10, 20, 30)})
	require.NoError(t, err)
	assert.Equal(t, 3.5, f.Parameters[5221])
	assert.Equal(t, 17.2, f.Parameters[5222])
	assert.Equal(t, 4.0, f.Parameters[5223])
	// The machine has not moved: what it reads has.
	assert.InDelta(t, 6.5, f.Position.X, 1e-12)
	assert.InDelta(t, 2.8, f.Position.Y, 1e-12)
	assert.InDelta(t, 26, f.Position.Z, 1e-12)
}

// NISTIR 6556, sections 3.5.19 and 2.1.2.5 (from memory, the second calculated).
func TestFeedMeaning(t *testing.T) {
	for _, c := range []struct {
		name, text string
		minutes    float64
	}{
		{"inverse time 2 is half a minute", "G93\nG1 X7 F2.0", 0.5},
		{"rotary axes alone share their path", "G91 G1 A30 B40 F100", 0.5},
		{"one rotary axis alone in degrees a minute", "G1 A30 F100", 0.3},
		{"rotary alone under G20", "G20\nG1 A30 F100", 0.3},
		{"rotary axes do not count when X moves", "G1 X50 A3000 F100", 0.5},
		{"inches", "G20\nG1 X5 F10", 0.5},
		{"half a turn", "G2 X10 I5 F10", math.Pi / 2},
		{"half a turn in G18", "G18 G2 X10 I5 F10", math.Pi / 2},
		{"half a turn in G19, rising", "G19 G2 Y10 J5 X20 F10", math.Hypot(5*math.Pi, 20) / 10},
	} {
		t.Run(c.name, func(t *testing.T) {
			sum := 0.0
			_, err := Run(gcode.NewReader(strings.NewReader(c.text+"\nM2"), gcode.Options{}), Options{}, func(e *Event) error {
				sum += e.Minutes()
				return nil
			})
			require.NoError(t, err)
			assert.InDelta(t, c.minutes, sum, 1e-12)
		})
	}
}
