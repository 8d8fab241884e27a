package interp

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// The error conditions of NISTIR 6556 (from memory; the report prints no list),
// beyond those of reading a line, which package gcode has. Blocks are parted by
// |; the error is in the last, at the column given.
var faults = []struct {
	name, text string
	col        int
	msg        string
}{
	// Values.
	{"division by zero", "G0 X[1/0]", 7, "division by zero"},
	{"negative base", "G0 X[[-1]**.5]", 10, "no fractional power"},
	{"arc sine", "G0 Xasin[2]", 5, "from -1 to 1"},
	{"root", "G0 Xsqrt[-2]", 5, "not be negative"},
	{"logarithm", "G0 Xln[0]", 5, "above zero"},
	{"parameter out of range", "G0 X#5400", 5, "1 to 5399"},
	{"set parameter out of range", "#5400=1", 1, "1 to 5399"},
	{"set parameter 0", "G4 P1 #0=1", 7, "1 to 5399"},
	{"set parameter not integer", "#1.5=1", 1, "1 to 5399"},
	{"origin out of range", "#5221=1000001", 1, "holds a place"},

	// Repeats.
	{"letter twice", "G0 X1 Y2 X3", 10, "the letter X stands twice"},
	{"letter twice, F", "F1 F2", 4, "the letter F stands twice"},
	{"letter twice, S", "S1 S2", 4, "the letter S stands twice"},
	{"letter twice, T", "T1 T2", 4, "the letter T stands twice"},
	{"two motions", "G0 G1 X1", 4, "one modal group"},
	{"two planes", "G17 G18", 5, "one modal group"},
	{"two distances", "G90 G91", 5, "one modal group"},
	{"two feed modes", "G93 G94", 5, "one modal group"},
	{"two units", "G20 G21", 5, "one modal group"},
	{"two compensations", "G40 G41", 5, "one modal group"},
	{"two length offsets", "G43 H1 G49", 8, "one modal group"},
	{"two retract modes", "G98 G99", 5, "one modal group"},
	{"two systems", "G54 G59.3", 5, "one modal group"},
	{"two path modes", "G61 G61.1", 5, "one modal group"},
	{"two codes that are not modal", "G4 P1 G92 X1", 7, "one modal group"},
	{"two stops", "M0 M1", 4, "one modal group"},
	{"two spindle codes", "M3 M5", 4, "one modal group"},
	{"two coolant codes", "M7 M8", 4, "one modal group"},
	{"two overrides", "M48 M49", 5, "one modal group"},
	{"five M codes", "M0 M6 M3 M8 M48", 13, "more than 4 M codes"},
	{"two codes for the axis words", "G0 G92 X1", 4, "two codes of the block take the axis words"},
	{"two codes for the axis words, G28", "F1 G1 G28 X1", 7, "two codes of the block take the axis words"},
	{"two codes for the axis words, G10", "G0 G10 L2 P1 X1", 4, "two codes of the block take the axis words"},

	// Unknown or out of range.
	{"G negative", "G-1", 1, "not negative"},
	{"G above 99.9", "G100", 1, "99.9 at most"},
	{"G not defined", "G5", 1, "unknown code G5"},
	{"G not defined, fraction", "G1.5 X1", 1, "unknown code G1.5"},
	{"G no tenth", "G1.05 X1", 1, "unknown code G1.05"},
	{"M negative", "M-1", 1, "not negative"},
	{"M above 99", "M100", 1, "99 at most"},
	{"M not defined", "M10", 1, "unknown code M10"},
	{"M no integer", "M2.5", 1, "is an integer"},
	{"D negative", "G41 D-1", 5, "must not be negative"},
	{"F negative", "F-1", 1, "must not be negative"},
	{"H negative", "G43 H-1", 5, "must not be negative"},
	{"L negative", "F9 G81 Z1 R1 L-1", 14, "must not be negative"},
	{"P negative", "G4 P-1", 4, "must not be negative"},
	{"S negative", "S-1", 1, "must not be negative"},
	{"T negative", "T-1", 1, "must not be negative"},
	{"Q zero", "F9 G83 Z1 R1 Q0", 14, "must be above zero"},
	{"Q negative", "F9 G83 Z1 R1 Q-1", 14, "must be above zero"},
	{"D above the slots", "G41 D100", 5, "slots end at 99"},
	{"H above the slots", "G43 H100", 5, "slots end at 99"},
	{"T above the slots", "T100", 1, "slots end at 99"},
	{"D no integer", "G41 D1.5", 5, "is an integer"},
	{"H no integer", "G43 H1.5", 5, "is an integer"},
	{"T no integer", "T1.5", 1, "is an integer"},
	{"G10 P no integer", "G10 L2 P1.5", 8, "from 1 to 9"},
	{"G10 P0", "G10 L2 P0", 8, "from 1 to 9"},
	{"G10 P10", "G10 L2 P10", 8, "from 1 to 9"},
	{"G10 without L", "G10 P1 X1", 1, "needs L2"},
	{"G10 L3", "G10 L3 P1 X1", 1, "needs L2"},
	{"G10 without P", "G10 L2 X1", 1, "no P word"},

	// Words without a user.
	{"axes without motion", "X1", 1, "no motion code"},
	{"axes without motion, rotary", "F1 B1", 4, "no motion code"},
	{"axes with G80", "G80 X1", 1, "axis words with G80"},
	{"axes after G80", "G0 X1|G80|X2", 1, "no motion code"},
	{"D without G41", "G0 X1 D1", 7, "nothing in the block uses the D word"},
	{"D with G40", "G40 D1", 5, "nothing in the block uses the D word"},
	{"H without G43", "G49 H1", 5, "nothing in the block uses the H word"},
	{"I without arc", "G0 X1 I1", 7, "nothing in the block uses the I word"},
	{"J without arc", "G0 X1 J1", 7, "nothing in the block uses the J word"},
	{"K without arc", "G0 X1 K1", 7, "nothing in the block uses the K word"},
	{"L without cycle", "G0 X1 L1", 7, "nothing in the block uses the L word"},
	{"P without dwell", "G0 X1 P1", 7, "nothing in the block uses the P word"},
	{"P with G81", "F9 G81 X1 Z0 R1 P1", 17, "nothing in the block uses the P word"},
	{"Q without G83", "F9 G81 X1 Z0 R1 Q1", 17, "nothing in the block uses the Q word"},
	{"R without arc or cycle", "G0 X1 R1", 7, "nothing in the block uses the R word"},
	{"P for two", "F9 G4 G82 X1 Z0 R1 P1", 20, "two codes of the block want the P word"},

	// Words missing.
	{"G0 without axes", "G0", 1, "no axis word"},
	{"G1 without axes", "G1 F100", 1, "no axis word"},
	{"G2 without axes", "G2 F100 I5", 1, "no axis word"},
	{"G92 without axes", "G92", 1, "no axis word"},
	{"G80 G92 without axes", "G80 G92", 5, "no axis word"},
	{"G38.2 without X Y Z", "F9 G38.2 A1", 4, "none of X, Y and Z"},
	{"arc without X and Y", "F9 G2 Z1 I1", 4, "neither of X and Y"},
	{"arc without X and Z", "F9 G18 G2 Y1 I1", 8, "neither of X and Z"},
	{"arc without Y and Z", "F9 G19 G2 X1 J1", 8, "neither of Y and Z"},
	{"arc without centre", "F9 G2 X1", 4, "neither R nor centre offsets: add R, or I and J"},
	{"arc without centre in G18", "F9 G18 G3 X1", 8, "neither R nor centre offsets: add R, or I and K"},
	{"G43 without H", "G43", 1, "no H word"},
	{"G4 without P", "G4", 1, "no P word"},
	{"G82 without P", "F9 G82 X1 Z0 R1", 4, "no P word"},
	{"G86 without P", "M3 F9 G86 X1 Z0 R1", 7, "no P word"},
	{"G88 without P", "M3 F9 G88 X1 Z0 R1", 7, "no P word"},
	{"G89 without P", "F9 G89 X1 Z0 R1", 4, "no P word"},
	{"G83 without Q", "F9 G83 X1 Z0 R1", 4, "no Q word"},
	{"G87 without I", "M3 F9 G87 X1 Z0 R1 J1 K0", 7, "no I word"},
	{"G87 without J", "M3 F9 G87 X1 Z0 R1 I1 K0", 7, "no J word"},
	{"G87 without K", "M3 F9 G87 X1 Z0 R1 I1 J0", 7, "no K word"},
	{"cycle without R", "F9 G81 X1 Z0", 4, "no R word"},
	{"cycle without Z", "F9 G81 X1 R1", 4, "no Z word"},
	{"cycle without Y in G18", "F9 G18 G81 X1 R1", 8, "no Y word"},
	{"cycle without X in G19", "F9 G19 G81 Y1 R1", 8, "no X word"},
	{"another cycle forgets Z", "F9 G81 X1 Z0 R1|G85 X2 R1", 1, "no Z word"},
	{"another plane forgets", "F9 G81 X1 Z0 R1|G18 X2 Y2", 1, "no R word"},
	{"G80 forgets", "F9 G81 X1 Z0 R1|G80|G81 X2 R1", 1, "no Z word"},
	{"G0 forgets", "F9 G81 X1 Z0 R1|G0 X1|G81 X2 R1", 1, "no Z word"},
	{"cycle without X Y Z", "F9 G81 X1 Z0 R1|A0", 1, "none of X, Y and Z"},
	{"F under G93", "G93 F1 G1 X1|X2", 1, "F word of its own"},
	{"F under G93 on an arc", "G93 F1 G1 X1|G2 X2 R1", 1, "F word of its own"},

	// Arcs.
	{"R with I", "F9 G2 X1 I1 R1", 13, "not both"},
	{"offset of the normal in G17", "F9 G2 X1 I1 K1", 13, "no K word"},
	{"offset of the normal in G18", "F9 G18 G2 X1 J1", 14, "no J word"},
	{"offset of the normal in G19", "F9 G19 G2 Y1 I1", 14, "no I word"},
	{"zero radius", "F9 G2 X1 I0 J0", 4, "radius of the arc is zero"},
	{"centre is the end", "F9 G2 X1 I1", 4, "radius of the arc is zero"},
	{"ends beside the start in one direction", "F9 G2 X-.001 Y0 I1", 4, "in the same direction from the centre"},
	{"ends beside the start in one direction, helix", "F9 G2 X.001 Y0 I1 Z-1", 4, "in the same direction from the centre"},
	{"enters beside the start in one direction", "G41 D1|F9 G2 X.251 Y0 I1", 4, "in the same direction from the centre"},
	{"zero R", "F9 G2 X1 R0", 10, "radius of the arc is zero"},
	{"radii differ", "F9 G2 X10 I5.1", 4, "radii at start and end"},
	{"radii differ in inch", "G20 F9 G2 X1 I.5002", 8, "differ by 0.0004 in, 0.0002 is allowed"},
	{"R too small", "F9 G2 X10 R4", 11, "too small to reach the end: 5 mm"},
	{"end is start", "F9 G2 X0 R4", 10, "cannot end where it starts"},
	{"arc out of range", "F9 G2 X1 I1000001", 10, "out of range"},

	// Feed and spindle.
	{"G1 without feed", "G1 X1", 1, "no feed has been set"},
	{"G1 at zero feed", "F0 G1 X1", 4, "feed is zero"},
	{"arc at zero feed", "G2 X1 R1", 1, "no feed"},
	{"probe at zero feed", "G38.2 Z-9", 1, "no feed"},
	{"cycle at zero feed", "G81 X1 Z0 R1", 1, "no feed"},
	{"feed forgotten by G93", "F9 G93|G94 G1 X1", 5, "feed is zero"},
	{"G84 without spindle", "F9 G84 X1 Z0 R1", 4, "clockwise"},
	{"G84 counter-clockwise", "M4 F9 G84 X1 Z0 R1", 7, "clockwise"},
	{"G86 without spindle", "F9 G86 X1 Z0 R1 P1", 4, "spindle must turn"},
	{"G87 without spindle", "F9 G87 X1 Z0 R1 I1 J1 K0", 4, "spindle must turn"},
	{"G88 without spindle", "F9 G88 X1 Z0 R1 P1", 4, "spindle must turn"},

	// Cycles.
	{"L0", "F9 G81 X1 Z0 R1 L0", 17, "above 0"},
	{"L no integer", "F9 G81 X1 Z0 R1 L1.5", 17, "integer"},
	{"rotary axis in a cycle", "F9 G81 X1 Z0 R1 A5", 17, "rotary axis would move"},
	{"cycle under G93", "G93 F9 G81 X1 Z0 R1", 8, "under G93"},
	{"R below Z", "F9 G81 X1 Z2 R1", 4, "lies below the depth Z"},
	{"R below Y in G18", "F9 G18 G81 X1 Y2 R1", 8, "lies below the depth Y"},
	{"R below X in G19", "F9 G19 G81 Y1 X2 R1", 8, "lies below the depth X"},
	{"K of G87 below Z", "M3 F9 G87 X1 Z0 R2 I1 J1 K-1", 7, "must lie between"},
	{"K of G87 above R", "M3 F9 G87 X1 Z0 R2 I1 J1 K3", 7, "must lie between"},

	// Probing.
	{"too close", "F9 G91 G38.2 Z-.25", 8, "shorter than 0.254 mm"},
	{"rotary axis while probing", "F9 G38.2 Z-9 A1", 4, "rotary axis would move"},
	{"probing under G93", "G93 F9 G38.2 Z-9", 8, "under G93"},
	{"probing with compensation", "G41 D1|F9 G38.2 Z-9", 4, "compensation is on"},
	{"not tripped", "F9 G38.2 Z4", 4, "meets nothing"},

	// Compensation.
	{"on when on", "G41 D1|G41 D1", 1, "on already"},
	{"other side when on", "G41 D1|G42", 1, "on already"},
	{"outside XY", "G18|G41 D1", 1, "in G17 only"},
	{"XZ while on", "G41 D1|G18", 1, "plane cannot change"},
	{"YZ while on", "G41 D1|G19", 1, "plane cannot change"},
	{"unit while on", "G41 D1|G21", 1, "unit cannot change"},
	{"G92 while on", "G41 D1|G92 X1", 1, "compensation is on"},
	{"G92.1 while on", "G41 D1|G92.1", 1, "compensation is on"},
	{"G92.2 while on", "G41 D1|G92.2", 1, "compensation is on"},
	{"G92.3 while on", "G41 D1|G92.3", 1, "compensation is on"},
	{"G28 while on", "G41 D1|G28", 1, "compensation is on"},
	{"G30 while on", "G41 D1|G30 X1", 1, "compensation is on"},
	{"G53 while on", "G41 D1|G53 G0 X1", 1, "compensation is on"},
	{"system while on", "G41 D1|G55", 1, "work system cannot change"},
	{"system moved while on", "G41 D1|G10 L2 P1 X1", 1, "work system in force cannot change"},
	{"cycle while on", "G41 D1|F9 G81 X1 Z0 R1", 4, "compensation is on"},
	{"G53 under G91", "G91|G53 G0 X1", 1, "G53 under G91"},
	{"G53 without G0 or G1", "F9 G2 X1 R1|G53 X2", 1, "G53 needs G0 or G1"},
	{"G53 without axes", "G0 X1|G53", 1, "G53 needs G0 or G1"},
	{"gouging straight", "G41 D1|F9 G1 X.2", 4, "gouge"},
	{"gouging arc", "G41 D1|F9 G2 X.2 I.1", 4, "gouge"},
	{"concave corner", "F9 G41 D1 G1 X5|Y5", 1, "concave corner"},
	{"concave corner into an arc", "F9 G41 D1 G1 X5|G2 X10 Y0 I2.5", 1, "concave corner"},
	{"arc too small inside", "F9 G41 D1 G1 X5|G3 X5.4 I.2", 1, "not less than that of the arc"},
	{"first arc too small inside", "F9 G41 D1|G3 X1 R.25", 1, "not less than that of the arc"},
	{"first arc off its circle", "F9 G41 D1|G3 X10 I5", 1, "off the circle"},
	{"first arc not possible", "F9 G41 D1|G2 X10 R4", 8, "no arc of this radius"},
	{"radii of a later arc differ", "F9 G41 D1 G1 X5|G2 X15 I5.1", 1, "radii at start and end"},
	{"G0 corner under G93", "G93 F9 G42 D1 G1 X5|G0 Y5", 1, "no feed for its arc"},
	{"G0 corner without feed", "G42 D1 G0 X5|Y5", 1, "no feed"},

	// Out of any machine's range.
	{"far away", "G0 X1000001", 4, "out of range"},
	{"far away by steps", "G91 G0 X999999|X2", 1, "out of range"},
	{"far away in inch", "G20|G0 Y40000", 4, "out of range"},
	{"far origin", "G10 L2 P1 X1000001", 11, "out of range"},
	{"feed out of range", "F10000000000000", 1, "out of range"},
	{"endless dwell", "G4 P1000000000", 4, "out of range"},

	// Common practice that is not switched on.
	{"G73", "F9 G73 X1 Z0 R1 Q1", 4, "not switched on"},
	{"G74", "F9 G74 X1 Z0 R1", 4, "not switched on"},
	{"G33.1", "G33.1 Z0 K1", 1, "not switched on"},
	{"M98", "M98 P1", 1, "not switched on"},
	{"M99", "M99", 1, "not switched on"},
}

func faultOptions() Options {
	return Options{Tools: vectorTools, Start: geom.Pt3(0, 0, 5), Surface: floor(0)}
}

// floor is a level probe surface.
func floor(z float64) func(from, to geom.Point3) (geom.Point3, bool) {
	return func(from, to geom.Point3) (geom.Point3, bool) {
		if from.Z < z || to.Z > z || from.Z == to.Z {
			return geom.Point3{}, false
		}
		t := (from.Z - z) / (from.Z - to.Z)
		return from.XY().Lerp(to.XY(), t).At(z), true
	}
}

func TestFaults(t *testing.T) {
	for _, c := range faults {
		t.Run(c.name, func(t *testing.T) {
			text := strings.ReplaceAll(c.text, "|", "\n")
			_, f, err := trace(text+"\nM2\n", faultOptions())
			var e *gcode.Error
			require.ErrorAs(t, err, &e)
			assert.Contains(t, e.Msg, c.msg)
			assert.Equal(t, gcode.Pos{Line: strings.Count(c.text, "|") + 1, Col: c.col}, e.Pos)
			assert.Equal(t, "test.nc", e.File)
			assert.False(t, f.Ended)
		})
	}
}

func TestProgramEndFaults(t *testing.T) {
	for _, c := range []struct{ text, msg string }{
		{"G0 X1\n", "test.nc:1:1: the program ends without M2, M30"},
		{"", "ends without M2, M30"},
		{"%\nG0 X1\n", "without the % that closes"},
		{"%\nG0 X1\nM2\n", "without the % that closes"},
		{"G0 X1\n%\n", "no % has opened"},
	} {
		_, _, err := trace(c.text, Options{})
		assert.ErrorContains(t, err, c.msg, c.text)
	}
	for _, text := range []string{"M2", "M30", "%\n%", "%\nM2\n?(\n%", "M2\n?("} {
		_, f, err := trace(text, Options{})
		require.NoError(t, err, text)
		assert.True(t, f.Ended)
	}
}

// What the machine lacks is an error at the word.
func TestLacks(t *testing.T) {
	all := Lacks{
		Mist: true, Flood: true, ToolChange: true, LengthOffsets: true, RadiusCompensation: true,
		A: true, B: true, C: true, CannedCycles: true, RadiusArcs: true, Helices: true, OtherPlanes: true,
		Inch: true, InverseTime: true, PathControl: true, Probe: true, WorkSystems: true, MoreSystems: true,
		SetSystems: true, AxisOffsets: true, Home: true, MachineMoves: true, Reverse: true, Overrides: true,
		OptionalStop: true, Pallet: true, Parameters: true, Expressions: true, BlockDelete: true,
	}
	for _, c := range []struct {
		text string
		col  int
	}{
		{"M7", 1}, {"M8", 1}, {"T1", 1}, {"M6", 1}, {"G43 H1", 1}, {"G41", 1}, {"G42", 1},
		{"G0 A1", 4}, {"G0 B1", 4}, {"G0 C1", 4}, {"F9 G81 X1 Z0 R1", 4}, {"F9 G2 X1 R1", 10},
		{"F9 G2 X1 I.5 Z1", 4}, {"G18", 1}, {"G20", 1}, {"G93", 1}, {"G61", 1}, {"G64", 1}, {"G38.2 Z1", 1},
		{"G55", 1}, {"G59.3", 1}, {"G10 L2 P1", 1}, {"G92 X1", 1}, {"G92.1", 1}, {"G28", 1}, {"G30", 1},
		{"G53 G0 X1", 1}, {"M4", 1}, {"M48", 1}, {"M1", 1}, {"M60", 1}, {"G0 X#1", 4}, {"G0 X[1+#1]", 4},
		{"#1=2", 1}, {"G0 X[1+1]", 4}, {"/G0 X1", 1},
	} {
		_, _, err := trace(c.text+"\nM2", Options{Lacks: all})
		var e *gcode.Error
		require.ErrorAs(t, err, &e, c.text)
		assert.Contains(t, e.Msg, "this machine has no", c.text)
		assert.Equal(t, c.col, e.Pos.Col, c.text)
		if c.text != "G0 X[1+#1]" {
			_, _, err = trace(c.text+"\nM2", faultOptions())
			if err != nil {
				assert.NotContains(t, err.Error(), "this machine has no", c.text)
			}
		}
	}
	_, _, err := trace("G3 X1 R1\nM2", Options{Lacks: Lacks{Arcs: true}})
	assert.ErrorContains(t, err, "this machine has no G3")
	_, _, err = trace("G21 G17 G40 G49 G80 G54 G90 G94 M5 M9 F9\nG2 X1 I.5\nM30", Options{Lacks: all})
	assert.NoError(t, err)
}

func TestOptionsAreChecked(t *testing.T) {
	nan := geom.Pt3(0, 0, 0)
	nan.X /= nan.Y
	for _, o := range []Options{
		{Tool: 100}, {Slots: -1}, {Tools: map[int]Tool{100: {}}}, {Tools: map[int]Tool{1: {Length: nan.X}}},
		{Parameters: map[int]float64{5400: 1}}, {Parameters: map[int]float64{5220: 0}}, {Parameters: map[int]float64{5220: 1.5}},
		{Parameters: map[int]float64{5220: 10}}, {Parameters: map[int]float64{5221: 2e6}}, {Parameters: map[int]float64{1: nan.X}},
		{Start: nan}, {Limits: Limits{Blocks: -1}},
	} {
		_, _, err := trace("M2", o)
		var e *gcode.Error
		assert.ErrorAs(t, err, &e, "%+v", o)
	}
}
