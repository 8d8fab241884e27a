package plain

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// tell writes steps as the tables do: T traverse, F feed, A arc with its sense,
// end, centre and degrees.
func tell(steps []Step) string {
	var out []string
	n := func(v float64) string {
		return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.6f", math.Round(v*1e6)/1e6+0), "0"), ".")
	}
	at := func(p [6]float64) string { return n(p[0]) + "," + n(p[1]) + "," + n(p[2]) }
	for _, s := range steps {
		still := s.Kind != Arc && s.From == s.To
		switch {
		case s.Kind == Dwell:
			out = append(out, "dwell "+n(s.Seconds))
		case still || !s.Kind.Moves():
		case s.Kind == Rapid:
			out = append(out, "T "+at(s.To))
		case s.Kind == Feed:
			out = append(out, "F "+at(s.To))
		case s.Kind == Probe:
			out = append(out, "P "+at(s.To))
		case s.Kind == Arc:
			out = append(out, fmt.Sprintf("A%+d %s about %s,%s,%s by %s", s.Turn, at(s.To), n(s.Centre[0]), n(s.Centre[1]), n(s.Centre[2]), n(s.Sweep/degree)))
		}
	}
	return strings.Join(out, "; ")
}

func read(start [3]float64, text string, c Control) (string, *Fault) {
	copy(c.Start[:], start[:])
	steps, err := Read(strings.ReplaceAll(text, "|", "\n")+"\nM2\n", c)
	var f *Fault
	errors.As(err, &f)
	return tell(steps), f
}

// Worked examples of NISTIR 6556, from memory; those marked calc were calculated
// from the rule of the section named. Blocks are parted by |.
func TestExamples(t *testing.T) {
	tools := map[int]Tool{1: {Diameter: 0.5}, 2: {Diameter: 1}, 3: {Length: 50}}
	for _, c := range []struct {
		section string
		start   [3]float64
		text    string
		want    string
	}{
		{"3.3 white space", [3]float64{}, "g0x +0. 12 34y 7", "T 0.1234,7,0"},
		{"3.3 block delete is off", [3]float64{}, "/G0 X1", "T 1,0,0"},
		{"3.3 text after the end", [3]float64{}, "G0 X1|M30|?(", "T 1,0,0"},
		{"3.3.3 deferred setting", [3]float64{}, "#3=15|#3=6 G0 x#3|G0 y#3", "T 15,0,0; T 15,6,0"},
		{"3.3.3 settings in sequence", [3]float64{}, "#1=2.0|##1=0.375|G0 x#2 #3=7.0|#3=5.0 x#3|x#3 #3=1.1|x#3", "T 0.375,0,0; T 7,0,0; T 5,0,0; T 1.1,0,0"},
		{"3.3.5 the last setting of a parameter wins", [3]float64{}, "#3=15 #3=6|G0 X#3", "T 6,0,0"},
		{"3.5.3 centre", [3]float64{7, 7, 9}, "F9 G17 G2 x10 y16 i3 j4 z9", "A-1 10,16,9 about 10,11,9 by 143.130102"},
		{"3.5.3 helix", [3]float64{7, 7, 0}, "F9 G17 G2 x10 y16 i3 j4 z9", "A-1 10,16,9 about 10,11,0 by 143.130102"},
		{"3.5.3 radius, calc", [3]float64{}, "F9 G17 G2 x10 y15 r20 z5", "A-1 10,15,5 about 19.855069,-2.403379,0 by 53.576426"},
		{"3.5.3 radius below zero, calc", [3]float64{}, "F9 G2 x10 y15 r-20 z5", "A-1 10,15,5 about -9.855069,17.403379,0 by 306.423574"},
		{"3.5.3 radius counter-clockwise, calc", [3]float64{}, "F9 G3 x10 y15 r20", "A+1 10,15,0 about -9.855069,17.403379,0 by 53.576426"},
		{"3.5.3 quarters, calc", [3]float64{}, "F9 G2 x10 y10 r10", "A-1 10,10,0 about 10,0,0 by 90"},
		{"3.5.3 quarters, calc", [3]float64{}, "F9 G3 x10 y10 r10", "A+1 10,10,0 about 0,10,0 by 90"},
		{"3.5.3 G18, calc", [3]float64{}, "F9 G18 G3 x10 z10 i10 k0", "A+1 10,0,10 about 10,0,0 by 90"},
		{"3.5.3 0.001 mm of mismatch, calc", [3]float64{7, 7, 0}, "G21 F9 G2 x10 y16.001 i3 j4", "A-1 10,16.001,0 about 10,11,0 by 143.130102"},
		{"3.5.3 full circle, calc", [3]float64{}, "F9 G2 x0 y0 i5", "A-1 0,0,0 about 5,0,0 by 360"},
		{"3.5.16.2 G81", [3]float64{1, 2, 3}, "F9 G90 G81 G98 X4 Y5 Z1.5 R2.8", "T 4,5,3; T 4,5,2.8; F 4,5,1.5; T 4,5,3"},
		{"3.5.16.2 G81 with repeats", [3]float64{1, 2, 3}, "F9 G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3",
			"T 1,2,4.8; T 5,7,4.8; F 5,7,4.2; T 5,7,4.8; T 9,12,4.8; F 9,12,4.2; T 9,12,4.8; T 13,17,4.8; F 13,17,4.2; T 13,17,4.8"},
		{"3.5.16.2 G99, calc", [3]float64{1, 2, 3}, "F9 G90 G81 G99 X4 Y5 Z1.5 R2.8", "T 4,5,3; T 4,5,2.8; F 4,5,1.5; T 4,5,2.8"},
		{"3.5.16.4 G83, calc", [3]float64{0, 0, 5}, "F9 G90 G83 G99 X1 Y1 Z-2.5 R1 Q1.5",
			"T 1,1,5; T 1,1,1; F 1,1,-0.5; T 1,1,1; T 1,1,-0.246; F 1,1,-2; T 1,1,1; T 1,1,-1.746; F 1,1,-2.5; T 1,1,1"},
		{"3.5.16.3 G82, calc", [3]float64{}, "F9 G90 G82 G98 X1 Y0 Z-1 R2 P0.5", "T 0,0,2; T 1,0,2; F 1,0,-1; dwell 0.5; T 1,0,2"},
		{"3.5.18 X 4 reads 7, then 9", [3]float64{4, 0, 0}, "G92 x7|G0 x8|G92 x9|G0 x0", "T 5,0,0; T -4,0,0"},
		{"3.5.5 G10", [3]float64{}, "G92 X1|G91 G10 L2 P1 x3.5 y17.2|G90 G0 X0 Y0 Z0", "T 2.5,17.2,0"},
		{"3.5.11 and 3.5.12", [3]float64{}, "G43 H3 G0 Z1|G53 Z2|G49 Z2.5", "T 0,0,51; T 0,0,2; T 0,0,2.5"},
		{"3.5.8 G28 by way of a point", [3]float64{1, 2, 3}, "G91 G28 Z4", "T 1,2,7; T 0,0,0"},
		{"B left, calc", [3]float64{}, "F9 G41 D1 G1 X2 Y0", "F 1.96875,0.248039,0"},
		{"B right, calc", [3]float64{}, "F9 G42 D1 G1 X2 Y0", "F 1.96875,-0.248039,0"},
		{"B convex, calc", [3]float64{}, "F9 G42 D1 G1 X2 Y0|Y2", "F 1.96875,-0.248039,0; A+1 2.25,0,0 about 2,0,0 by 97.180756; F 2.25,2,0"},
		{"B round a square, calc", [3]float64{0, -1, 0}, "F9 G41 D1 G1 X0 Y0|Y2|X2|Y0|X0|G40 G1 X0 Y-1",
			"F -0.242061,-0.0625,0; A-1 -0.25,0,0 about 0,0,0 by 14.477512; F -0.25,2,0; A-1 0,2.25,0 about 0,2,0 by 90; F 2,2.25,0; " +
				"A-1 2.25,2,0 about 2,2,0 by 90; F 2.25,0,0; A-1 2,-0.25,0 about 2,0,0 by 90; F 0,-0.25,0; F 0,-1,0"},
		{"B an arc first, radius 0.5, calc", [3]float64{}, "F9 G41 D2 G3 X2 Y-2.5 I2 J0", "A+1 2,-2,0 about 2,0,0 by 90"},
	} {
		got, f := read(c.start, c.text, Control{Tools: tools})
		require.Nil(t, f, "NISTIR 6556, section %s", c.section)
		require.Equal(t, c.want, got, "NISTIR 6556, section %s", c.section)
	}
}

// Section 3.3.2 and the expressions of the report's test program (from memory,
// values calculated).
func TestValues(t *testing.T) {
	for text, want := range map[string]float64{
		"[1+2]": 3, "[1-2]": -1, "[1--3]": 4, "[2/5]": 0.4, "[3.0*5]": 15, "[0 OR 0]": 0, "[0 OR 1]": 1, "[2 or 2]": 1, "[0 AND 1]": 0,
		"[2 and 2]": 1, "[0 XOR 1]": 1, "[2 ** 3.0]": 8, "[2 xor 2]": 0, "[15 MOD 4.0]": 3, "[1+2*3-4/5]": 6.2, "sin[30]": 0.5, "cos[0.0]": 1,
		"tan[60.0]": math.Sqrt(3), "sqrt[3]": math.Sqrt(3), "atan[1.7321]/[1.0]": 60.000705, "asin[1.0]": 90, "acos[0.707107]": 44.999982,
		"abs[-1.23]": 1.23, "round[-0.499]": 0, "round[-0.5001]": -1, "round[2.444]": 2, "round[9.975]": 10, "fix[-0.499]": -1, "fix[2.444]": 2,
		"fix[9.975]": 9, "fup[-0.499]": 0, "fup[2.444]": 3, "fup[9.975]": 10, "exp[2.3026]": 10.000149, "ln[10.0]": 2.302585, "[2**3**2]": 64,
		"[2.0 / 3 * 1.5 - 5.5 / 11.0]": 0.5, "[1+acos[0]-[#3**[4.0/2]]]": 87, "ATAN[2]/[1+3]": 26.565051, "FIX[2.8]": 2, "FIX[-2.8]": -3,
		"FUP[2.8]": 3, "FUP[-2.8]": -2, "[#3+2]": 4, "#[1+2]": 2, "##3": 7, "[-7 MOD 3]": 2, "+.5": 0.5, "-3.": -3, "007": 7,
	} {
		steps, err := Read("#2=7 #3=2\nG0 X"+text+"\nM2\n", Control{})
		require.NoError(t, err, text)
		require.InDelta(t, want, steps[0].To[0], 1e-6, text)
	}
}

// What the rules forbid, and what they leave open.
func TestFaults(t *testing.T) {
	tools := map[int]Tool{1: {Diameter: 0.5}}
	for _, c := range []struct {
		text string
		open bool
	}{
		{"N000009 G0 X1", false}, {"G0 X-#1", false}, {"G0 X", false}, {"G0 X1 X2", false}, {"G0 G1 X1", false}, {"(a(b)", false}, {"(a", false},
		{"G0 E1", false}, {"G200", false}, {"M88", false}, {"G1.5 X1", false}, {"X1", false}, {"G80 X1", false}, {"G0", false}, {"G1 X1", false},
		{"G0 X1 G28", false}, {"G53 G81 X1", false}, {"G91|G53 G0 X1", false}, {"G43", false}, {"G43 H-1", false}, {"G4", false}, {"G4 P-1", false},
		{"G0 X1 P1", false}, {"G0 X1 I1", false}, {"F9 G2 X1 Y1 I1 R1", false}, {"F9 G2 X1 Y1 K1", false}, {"F9 G2 Z1 I1", false},
		{"F9 G2 x0 y0 r5", false}, {"F9 G2 x10 y0 r4.9", false}, {"F9 G2 X10 Y16.003 I3 J4|", false}, {"F9 G90 G81 X4 Y5 Z2.9 R2.8", false},
		{"F9 G81 X1 Z-1", false}, {"F9 G81 X1 Z-1 R1 L0", false}, {"F9 G83 X1 Z-1 R1", false}, {"G93|G1 X1", false}, {"#5400=1", false},
		{"F9 G41 D1 G1 X0.2 Y0", false}, {"F9 G41 D1 G1 X2 Y0|Y2", false}, {"G41 D1|G41", false}, {"G18|G41 D1", false}, {"G10 L20 P1 X1", false},
		{"%", false}, {"T100", false}, {"F-1", false}, {"M3 M4", false}, {"M0 M3 M6 M7 M48", false}, {"G90.1", false},

		{"G0 X[7 MOD 0]", true}, {"#5221=1|G0 X1", true}, {"#5211=1|G0 X1", true}, {"G20|#5161=1", true}, {"M6", true}, {"G93|F1 G1 X1|G94|G1 X2", true},
		{"F9 G2 X0.0005 Y0 I5", true}, {"F9 G3 X0 Y-0.0005 I5", true}, {"F9 G82 G4 P1 X1 Z-1 R1", true},
		{"F9 G99 G81 X1 Z-1 R-0.5|G98 X2", true}, {"F9 G81 X1 Z-1 R1|G91 X1", true},
	} {
		_, f := read([3]float64{}, c.text, Control{Tools: tools})
		require.NotNil(t, f, c.text)
		require.Equal(t, c.open, f.Open, "%s: %v", c.text, f)
	}
	for text, ok := range map[string]bool{"": false, "G0 X1": false, "%\nG0 X1\n%\n": true, "%\nM2\n": false, "\n \n%\nM2\n%\nx": true, "M2\n": true, "G0 X1\n%\n": false} {
		_, err := Read(text, Control{})
		require.Equal(t, ok, err == nil, "%q: %v", text, err)
	}
}

// M98 calls O as often as L says (common practice, no source).
func TestSubprograms(t *testing.T) {
	text := "G91 G0 X1|M98 P7 L2|Y1|M30|O7|Z1|M98 P8|M99|O8 (deeper)|X1|M99"
	got, f := read([3]float64{}, text, Control{Subprograms: true})
	require.Nil(t, f)
	require.Equal(t, "T 1,0,0; T 1,0,1; T 2,0,1; T 2,0,2; T 3,0,2; T 3,1,2", got)
	_, f = read([3]float64{}, text, Control{})
	require.NotNil(t, f)
	for _, text := range []string{"M98 P1|M2|O1|M98 P1|M99", "M99", "O1|G91 G0 X1|O2", "M98 P2|M2|O2|G91 G0 X1|O3|M99"} {
		_, f = read([3]float64{}, text, Control{Subprograms: true})
		require.NotNil(t, f, text)
		require.True(t, f.Open, "%s: %v", text, f)
	}
}

// What the state of a step tells: feed in mm/min, spindle, coolant, and whether a
// place still depends on where the machine stood.
func TestState(t *testing.T) {
	steps, err := Read("G20 G90 T3 M6\nM3 S900 M8\nG91 G0 X1\nG90 G92 Y0\nG0 Y1\nG92.1 Y1\nX0\nG1 Z1 F2\nM9\nM5\nM2\n", Control{})
	require.NoError(t, err)
	var moves []Step
	for _, s := range steps {
		if s.Kind.Moves() {
			moves = append(moves, s)
		}
	}
	require.Len(t, moves, 5)
	require.Equal(t, [3]bool{}, moves[1].Known, "Y is counted from a place that is not known")
	require.Equal(t, 25.4, moves[1].To[1])
	last := moves[4]
	require.Equal(t, State{Rate: 50.8, Spindle: -1, Speed: 900, Flood: true, Tool: 3, UnitSet: true, Distance: true, Known: [3]bool{true, true, false}}, last.State)
	end := steps[len(steps)-1]
	require.Equal(t, End, end.Kind)
	require.True(t, end.Known[2] && end.Spindle == 0 && !end.Flood)
}

// A probe stops where it touches, which its parameters then tell (section 3.5.9).
func TestProbe(t *testing.T) {
	c := Control{Touch: func(from, to [3]float64) ([3]float64, bool) {
		if from[2] <= 1 || to[2] > 1 {
			return to, false
		}
		from[2] = 1
		return from, true
	}}
	got, f := read([3]float64{0, 0, 5}, "F9 G92 Z10|G38.2 Z0|G0 Z#5063|Z[#5063+1]", c)
	require.Nil(t, f)
	require.Equal(t, "P 0,0,1; T 0,0,2", got)
	_, f = read([3]float64{0, 0, 5}, "F9 G38.2 Z2", c)
	require.NotNil(t, f)
	require.False(t, f.Open)
}
