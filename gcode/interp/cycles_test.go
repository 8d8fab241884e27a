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

func sqrt(v float64) float64 { return math.Sqrt(v) }

// NISTIR 6556, section 3.5.16 (from memory); the moves are calculated from its
// rules.
func TestCycles(t *testing.T) {
	practice := Practice{HighSpeedPeck: true, RigidTapping: true}
	for _, c := range []struct {
		name  string
		start geom.Point3
		text  string
		want  string
	}{
		{"G84", geom.Pt3(0, 0, 5), "M3|G84 X1 Z-2 R1", "spindle -1 0; T 1,0,5; T 1,0,1; F 1,0,-2; spindle +0 0; spindle +1 0; F 1,0,5; spindle +0 0; spindle -1 0"},
		{"G85", geom.Pt3(0, 0, 5), "G99 G85 X1 Z-2 R1", "T 1,0,5; T 1,0,1; F 1,0,-2; F 1,0,1"},
		{"G86", geom.Pt3(0, 0, 5), "M4|G86 X1 Z-2 R1 P2", "spindle +1 0; T 1,0,5; T 1,0,1; F 1,0,-2; dwell 2; spindle +0 0; T 1,0,5; spindle +1 0"},
		{"G87", geom.Pt3(0, 0, 5), "M3|G99 G87 X1 Z-10 R1 I0.5 J-0.25 K-6", `spindle -1 0; T 1,0,5; T 1,0,1;
			T 1.5,-0.25,1; spindle +0 0 oriented; T 1.5,-0.25,-10; T 1,0,-10; spindle -1 0; F 1,0,-6; F 1,0,-10;
			spindle +0 0 oriented; T 1.5,-0.25,-10; T 1.5,-0.25,1; T 1,0,1; spindle -1 0`},
		{"G87 incremental", geom.Pt3(0, 0, 5), "M3|G91 G99 G87 X1 Z-11 R-4 I0.5 J-0.25 K4", `spindle -1 0; T 1,0,5; T 1,0,1;
			T 1.5,-0.25,1; spindle +0 0 oriented; T 1.5,-0.25,-10; T 1,0,-10; spindle -1 0; F 1,0,-6; F 1,0,-10;
			spindle +0 0 oriented; T 1.5,-0.25,-10; T 1.5,-0.25,1; T 1,0,1; spindle -1 0`},
		{"G88", geom.Pt3(0, 0, 5), "M3|G88 X1 Z-2 R1 P2|X2", `spindle -1 0; T 1,0,5; T 1,0,1; F 1,0,-2; dwell 2; spindle +0 0; stop 0; spindle -1 0;
			T 2,0,5; T 2,0,1; F 2,0,-2; dwell 2; spindle +0 0; stop 0; spindle -1 0`},
		{"G89", geom.Pt3(0, 0, 5), "G89 X1 Z-2 R1 P2", "T 1,0,5; T 1,0,1; F 1,0,-2; dwell 2; F 1,0,5"},
		{"sticky words", geom.Pt3(0, 0, 5), "G99 G82 X1 Z-2 R1 P2|X2|P3 X3|G82 Z-1 X4",
			"T 1,0,5; T 1,0,1; F 1,0,-2; dwell 2; T 1,0,1; T 2,0,1; F 2,0,-2; dwell 2; T 2,0,1; T 3,0,1; F 3,0,-2; dwell 3; T 3,0,1; T 4,0,1; F 4,0,-1; dwell 3; T 4,0,1"},
		{"sticky increments do not pile up", geom.Pt3(0, 0, 5), "G91 G98 G81 X1 Z-2 R-4|X1|X1",
			"T 1,0,5; T 1,0,1; F 1,0,-1; T 1,0,5; T 2,0,5; T 2,0,1; F 2,0,-1; T 2,0,5; T 3,0,5; T 3,0,1; F 3,0,-1; T 3,0,5"},
		{"sticky numbers are read anew under another distance mode", geom.Pt3(0, 0, 5), "G99 G81 X1 Z-2 R1|G91 X1", "T 1,0,5; T 1,0,1; F 1,0,-2; T 1,0,1; T 1,0,2; T 2,0,2; F 2,0,0; T 2,0,2"},
		{"repeats do not stick", geom.Pt3(0, 0, 5), "G91 G99 G81 X1 Z-2 R-4 L2|X1 R0", "T 1,0,5; T 1,0,1; F 1,0,-1; T 1,0,1; T 2,0,1; F 2,0,-1; T 2,0,1; T 3,0,1; F 3,0,-1; T 3,0,1"},
		{"repeats under G90 at one place", geom.Pt3(0, 0, 5), "G99 G81 X1 Z-2 R1 L2", "T 1,0,5; T 1,0,1; F 1,0,-2; T 1,0,1; F 1,0,-2; T 1,0,1"},
		{"place by default where it stands", geom.Pt3(3, 4, 5), "G99 G81 Z-2 R1", "T 3,4,1; F 3,4,-2; T 3,4,1"},
		{"from below R, G98 clears R", geom.Pt3(0, 0, 0), "G98 G81 X1 Z-2 R1", "T 0,0,1; T 1,0,1; F 1,0,-2; T 1,0,1"},
		{"G18 drills along Y", geom.Pt3(0, 5, 0), "G18 G99 G81 X1 Z2 Y-2 R1", "T 1,5,2; T 1,1,2; F 1,-2,2; T 1,1,2"},
		{"G19 drills along X", geom.Pt3(5, 0, 0), "G19 G99 G81 Y1 Z2 X-2 R1", "T 5,1,2; T 1,1,2; F -2,1,2; T 1,1,2"},
		{"G87 in G18", geom.Pt3(0, 5, 0), "M3 G18 G99 G87 X1 Z2 Y-2 R1 I.5 K.25 J0", `spindle -1 0; T 1,5,2; T 1,1,2; T 1.5,1,2.25; spindle +0 0 oriented; T 1.5,-2,2.25;
			T 1,-2,2; spindle -1 0; F 1,0,2; F 1,-2,2; spindle +0 0 oriented; T 1.5,-2,2.25; T 1.5,1,2.25; T 1,1,2; spindle -1 0`},
		{"G92 shifts the levels", geom.Pt3(0, 0, 5), "G92 Z0|G99 G81 X1 Z-7 R-4", "T 1,0,5; T 1,0,1; F 1,0,-2; T 1,0,1"},
		{"inches", geom.Pt3(0, 0, 25.4), "G20 F1 G99 G81 X1 Z-1 R0.5", "T 25.4,0,25.4; T 25.4,0,12.7; F 25.4,0,-25.4; T 25.4,0,12.7"},
		{"pecks that end at the depth", geom.Pt3(0, 0, 1), "G99 G83 X0 Z-0.2 R0.1 Q0.1", "T 0,0,0.1; F 0,0,0; T 0,0,0.1; F 0,0,-0.1; T 0,0,0.1; F 0,0,-0.2; T 0,0,0.1"},
		{"G73", geom.Pt3(0, 0, 5), "G99 G73 X1 Z-2.5 R1 Q1.5", "T 1,0,5; T 1,0,1; F 1,0,-0.5; T 1,0,-0.246; F 1,0,-2; T 1,0,-1.746; F 1,0,-2.5; T 1,0,1"},
		{"G74", geom.Pt3(0, 0, 5), "M4|G74 X1 Z-2 R1", "spindle +1 0; T 1,0,5; T 1,0,1; F 1,0,-2; spindle +0 0; spindle -1 0; F 1,0,5; spindle +0 0; spindle +1 0"},
		{"G33.1", geom.Pt3(0, 0, 5), "S100 M3|G33.1 Z-2 K0.5", "spindle +0 100; spindle -1 100; F 0,0,-2; spindle +1 100; F 0,0,5; spindle -1 100"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := moves(t, "F100\n"+strings.ReplaceAll(c.text, "|", "\n"), Options{Start: c.start, Practice: practice})
			assert.Equal(t, list(c.want), got)
		})
	}
}

func TestTappingRunsInStep(t *testing.T) {
	s, e := states(t, "S100 M3 F50\nG84 X1 Z-2 R1\nM2", Options{Start: geom.Pt3(0, 0, 5)})
	for i := range e {
		tapping := e[i].Kind == Feed || i > 4 && i < 7
		assert.Equal(t, tapping, s[i].Synchronised, "%d %s", i, short(&e[i]))
	}
	s, e = states(t, "S100 M3\nG33.1 Z-2 K0.5\nM2", Options{Practice: Practice{RigidTapping: true}})
	for i := range e {
		if e[i].Kind == Feed {
			assert.True(t, s[i].Synchronised)
			assert.Equal(t, 50.0, s[i].FeedRate)
		}
	}
	assert.Zero(t, s[len(s)-1].FeedRate)
}

func TestTapOnceFaults(t *testing.T) {
	o := Options{Practice: Practice{RigidTapping: true}}
	for _, c := range []struct{ text, msg string }{
		{"M3 S9\nG33.1 Z1", "needs the pitch"}, {"M3 S9\nG33.1 Z1 K0", "needs the pitch"}, {"M3 S9\nG33.1 A1 K1", "X, Y and Z only"},
		{"S9\nG33.1 Z1 K1", "must turn"}, {"M3\nG33.1 Z1 K1", "must turn"}, {"M3 S9 G93\nG33.1 Z1 K1", "not possible"},
		{"F9\nG74 Z-1 R1", "counter-clockwise"},
	} {
		_, _, err := trace(c.text+"\nM2", o)
		assert.ErrorContains(t, err, c.msg, c.text)
	}
}

func TestMilliseconds(t *testing.T) {
	got := moves(t, "G4 P250\nF9 G99 G82 X0 Z-1 R0 P100", Options{Practice: Practice{DwellMilliseconds: true}})
	assert.Equal(t, list("dwell 0.25; F 0,0,-1; dwell 0.1; T 0,0,0"), got)
}

func TestLimits(t *testing.T) {
	for _, c := range []struct {
		text string
		l    Limits
		msg  string
	}{
		{"F9\nG91 G81 X1 Z-1 R0 L1000000000", Limits{}, "test.nc:2:19: L1000000000: more than 10000 repeats"},
		{"F9\nG83 Z-100 R0 Q0.0000001", Limits{}, "more than 10000 pecks"},
		{"F9\nG91 G81 X1 Z-1 R0 L9999", Limits{Events: 100}, "more than 100 actions"},
		{"G0 X1\nX2\nX3", Limits{Blocks: 2}, "more than 2 blocks"},
	} {
		_, f, err := trace(c.text+"\nM2", Options{Limits: c.l})
		require.ErrorContains(t, err, c.msg, c.text)
		if c.l.Events > 0 {
			assert.Equal(t, c.l.Events, f.Events)
		}
	}
}

// runProgram runs the text as a program in memory.
func runProgram(text string, o Options) ([]string, error) {
	p, err := gcode.Parse("sub.nc", strings.NewReader(text), o.ReadOptions("sub.nc"))
	if err != nil {
		return nil, err
	}
	var got []string
	_, err = Run(p.Source(), o, func(e *Event) error {
		got = append(got, short(e))
		return nil
	})
	return got, err
}

func TestSubprograms(t *testing.T) {
	o := Options{Practice: Practice{Subprograms: true, SemicolonComments: true}}
	got, err := runProgram(`O1 ; tags
G0 X0
M98 P100 L2
X9
M30
O100
G91
M98 P200
G90
M99
O200
G0 X1
M99
`, o)
	require.NoError(t, err)
	assert.Equal(t, list("T 0,0,0; T 1,0,0; T 2,0,0; T 9,0,0; program end 30"), got)

	for _, c := range []struct{ name, text, msg string }{
		{"no such", "M98 P5\nM2", "sub.nc:1:5: there is no subprogram O5"},
		{"no P", "M98\nM2", "no P word"},
		{"L0", "M98 P1 L0\nM2\nO1\nM99", "above 0"},
		{"too many", "M98 P1 L10001\nM2\nO1\nM99", "more than 10000 calls"},
		{"return from main", "M99\nM2", "outside a subprogram"},
		{"without end", "O1\nM98 P1\nM2", "nested deeper than 8"},
		{"runs into", "G0 X1\nO5\nM99", "runs into a subprogram"},
		{"twice", "M2\nO1\nO1", "stands twice"},
		{"by expression", "M2\nO[1+1]", "plain integer"},
		{"negative", "M2\nO-1", "plain integer"},
		{"P for two", "G4 P1 M98\nM2\nO1\nM99", "want the P word"},
		{"L for two", "F9 G81 X1 Z-1 R0 P1 L2 M98\nM2\nO1\nM99", "want the L word"},
		{"runs out", "M98 P1\nM2\nO1\nG0 X1", "ends without M2"},
		{"endless", "O9\nM98 P1 L9999\nM2\nO1\nM98 P2 L9999\nM99\nO2\nM98 P3 L9999\nM99\nO3\nM99", "more than 1000 blocks"},
	} {
		t.Run(c.name, func(t *testing.T) {
			o.Limits.Blocks = 1000
			_, err := runProgram(c.text, o)
			assert.ErrorContains(t, err, c.msg)
		})
	}
	// A stream is read into memory first.
	got, _, err = trace("M98 P1\nM2\nO1\nG0 X1\nM99\n", Options{Practice: Practice{Subprograms: true}})
	require.NoError(t, err)
	assert.Equal(t, list("T 1,0,0; program end 2"), got)
	_, _, err = trace("M98 P1\nM2\nO1\nG0 X\nM99\n", Options{Practice: Practice{Subprograms: true}})
	assert.ErrorContains(t, err, "test.nc:4:4: a value is missing")
	// With a % the closing one may stand after the subprograms.
	got, err = runProgram("%\nO1\nM98 P2\nM30\nO2\nG0 X1\nM99\n%", o)
	require.NoError(t, err)
	assert.Equal(t, list("T 1,0,0; program end 30"), got)
}
