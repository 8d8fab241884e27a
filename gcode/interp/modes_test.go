package interp

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// states runs the text and returns the state at every event.
func states(t *testing.T, text string, o Options) ([]State, []Event) {
	t.Helper()
	var s []State
	var e []Event
	_, err := Run(gcode.NewReader(strings.NewReader(text), o.ReadOptions("")), o, func(ev *Event) error {
		s = append(s, *ev.State)
		e = append(e, *ev)
		return nil
	})
	require.NoError(t, err)
	return s, e
}

// NISTIR 6556, section 3.8 (from memory): the order of execution.
func TestOrderOfExecution(t *testing.T) {
	text := "M0 (MSG, now) X1 G1 M8 M6 M3 T2 S100 F50\nM2"
	got, _, err := trace(text, Options{})
	require.NoError(t, err)
	assert.Equal(t, list("message now; spindle +0 100; tool select 2; tool change 2; spindle -1 100; coolant mist false flood true; F 1,0,0; stop 0; program end 2"), got)

	s, _ := states(t, "G4 P1 G20 G91 G43 H3 G99 G61\nM2", Options{Tools: vectorTools})
	assert.False(t, s[0].Inch, "the dwell comes before the modes")
	assert.True(t, s[1].Inch)
	assert.True(t, s[1].Relative && s[1].LengthOn && s[1].RetractR && s[1].UnitSet && s[1].DistSet && s[1].RetractSet)
	assert.Equal(t, ExactPath, s[1].Path)
	assert.Equal(t, 50.0, s[1].LengthOffset)

	// F is in the unit before G20, by the published order.
	s, _ = states(t, "G20 G1 X1 F10\nF10\nG1 X2\nM2", Options{})
	assert.Equal(t, 10.0, s[0].FeedRate)
	assert.Equal(t, 254.0, s[1].FeedRate)
}

// NISTIR 6556, section 3.4 (from memory): the state at the start, and that
// nothing is claimed that the program has not said.
func TestStartState(t *testing.T) {
	s, e := states(t, "M2", Options{})
	want := State{Motion: 800, System: 1, Override: true}
	assert.Equal(t, want, s[0])
	assert.Equal(t, Event{Kind: ProgramEnd, Block: 1, Pos: gcode.Pos{Line: 1, Col: 1}, Code: 2, State: e[0].State}, e[0])

	s, _ = states(t, "M2", Options{Inch: true, Tool: 5, Parameters: map[int]float64{5220: 2, 5241: 7, 5212: 3}})
	want = State{Motion: 800, System: 2, Override: true, Inch: true, Tool: 5, OffsetOn: true,
		Origin: [6]float64{7}, Offset: [6]float64{0, 3}}
	assert.Equal(t, want, s[0])

	s, _ = states(t, "G90 G0 X1\nG91 Y1 A3\nG90 A3\nG28\nM2", Options{})
	assert.Equal(t, [6]bool{true}, s[0].Placed)
	assert.Equal(t, [6]bool{true}, s[1].Placed)
	assert.Equal(t, [6]bool{true, false, false, true}, s[2].Placed)
	assert.Equal(t, [6]bool{true, true, true, true, true, true}, s[3].Placed)
}

// NISTIR 6556, section 3.6.1 (from memory): what M2 and M30 reset.
func TestProgramEndResets(t *testing.T) {
	text := "G20 G19 G91 G93 M49 M4 S9 M7 G55 G99 G43 H3\nM8 G92 X1 F2\n"
	_, f, err := trace(text+"M30", Options{Tools: vectorTools})
	require.NoError(t, err)
	st := f.State
	assert.Equal(t, geom.Straight, st.SpindleTurn)
	assert.False(t, st.Mist || st.Flood || st.Relative || st.InverseTime || st.OffsetOn)
	assert.True(t, st.Override && st.Inch && st.LengthOn && st.RetractR)
	assert.Equal(t, XY, st.Plane)
	assert.Equal(t, 1, st.System)
	assert.Equal(t, 10, st.Motion)
	assert.Equal(t, 1.0, f.Parameters[5220])
	assert.Equal(t, -25.4, f.Parameters[5211], "M2 keeps the parameters, as G92.2 does")

	// The state at the event is the one that the program leaves.
	s, _ := states(t, text+"M30", Options{Tools: vectorTools})
	st = s[len(s)-1]
	assert.True(t, st.Relative && st.InverseTime && st.OffsetOn && st.Mist && st.Flood && st.PlaneSet && st.ModeSet && st.SystemSet)
	assert.Equal(t, geom.CCW, st.SpindleTurn)

	// A closing % resets nothing.
	_, f, err = trace("%\nM3 S100\n%", Options{})
	require.NoError(t, err)
	assert.Equal(t, geom.CW, f.State.SpindleTurn)
}

func TestCoordinates(t *testing.T) {
	o := Options{Tools: vectorTools, Start: geom.Pt3(1, 2, 3), Parameters: map[int]float64{
		5221: 100, 5222: 100, 5223: -50, 5241: 200, 5242: 110, 5243: -60,
		5161: 5, 5163: 0, 5181: 10, 5182: 11, 5183: -12, 5184: 90,
	}}
	for _, c := range []struct{ name, text, want string }{
		{"G55 moves the origin, not the machine", "G0 X1|G55 G91 G0 X0", "T 1,2,3; T -99,-8,13"},
		{"G59.3 has its origin at zero", "G59.3 G91 G0 X0", "T 101,102,-47"},
		{"length offset", "G43 H3 G91 G0 Z0|G49 Z0|G43 H0 Z0", "T 1,2,-47; T 1,2,3; T 1,2,3"},
		{"length offset in inch is the same length", "G20 G43 H3 G91 G0 Z0", "T 1,2,-47"},
		{"machine coordinates", "G53 G0 X0 Y0|G43 H3|G53 G0 Z0|X1", "T -100,-100,3; T -100,-100,0; T 1,-100,0"},
		{"machine coordinates with G92", "G92 X77 Y0|G53 G0 X0|X77", "T -100,2,3; T 1,2,3"},
		{"machine coordinates, active motion", "G0 X0|G53 X0", "T 0,2,3; T -100,2,3"},
		{"G28 without a point", "G28", "T -95,-100,50"},
		{"G28 over a point", "G28 Z10", "T 1,2,10; T -95,-100,50"},
		{"G28 over a point by increments", "G91 G28 Z1", "T 1,2,4; T -95,-100,50"},
		{"G28 leaves the motion mode", "G0 X0|G28 Z9|X0", "T 0,2,3; T 0,2,9; T -95,-100,50; T 0,-100,50"},
		{"G30 with a rotary axis", "G30", "T -90,-89,38 ABC 90,0,0"},
		{"G92 leaves others alone", "G92 X0|G0 X1 Y1", "T 2,1,3"},
		{"G92 is the same under G91", "G91 G92 X0|G90 G0 X1", "T 2,2,3"},
		{"G92.1 forgets", "G92 X0|G92.1|G0 X5|G92.3 X5", "T 5,2,3; T 5,2,3"},
		{"G92.2 keeps for G92.3", "G92 X0|G92.2|G0 X5|G92.3|X5", "T 5,2,3; T 6,2,3"},
		{"offsets stay when the system changes", "G92 X0|G55 G0 X0", "T 1,-8,13"},
		{"G92 in inch", "G20 G92 X0 Y0|G0 X1", "T 26.4,2,3"},
		{"parameters are seen in the unit in force", "G20 G92 X0|G0 X#5211|G21|X#5211", "T 2,2,3; T 2,2,3"},
		{"setting a parameter works with the next selection", "#5241=0|G0 X0|G55 G0 X0|#5241=1|X0|G55 X0", "T 0,2,3; T 0,-8,13; T 0,-8,13; T 0,-8,13"},
		{"G10 on the system in force", "G10 L2 P1 X0|G91 G0 X0", "T 101,2,3"},
		{"G10 on another", "G10 L2 P2 X0|G91 G0 X0|G55 X0", "T 1,2,3; T 101,-8,13"},
		{"G10 in inch", "G20 G10 L2 P1 X1|G91 G0 X0", "T 75.6,2,3"},
		{"incremental", "G91 G0 X1|X1 Y-1|G90 X1", "T 2,2,3; T 3,1,3; T 1,1,3"},
		{"units", "G20 G0 X1|G21 X1|G91 G20 X1", "T 25.4,2,3; T 1,2,3; T 26.4,2,3"},
		{"rotary axes know no unit", "G20 G0 A90 B-720", "T 1,2,3 ABC 90,-720,0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, list(c.want), moves(t, strings.ReplaceAll(c.text, "|", "\n"), o))
		})
	}
}

// From is always where the machine stands, in the system in force: machine
// coordinates run on without a jump whatever the offsets do.
func TestMachineCoordinatesAreContinuous(t *testing.T) {
	text := strings.ReplaceAll("G0 X1 Y2 Z3|G55 X4|G43 H3 Z1|G92 X9 Z2|X1|G10 L2 P2 X5 Z1|Y1|G92.2|G49|X3|G28 X2|G59.3 G53 G0 X1|Y2|M2", "|", "\n")
	o := Options{Tools: vectorTools, Parameters: map[int]float64{5221: 10, 5223: 3, 5242: 7, 5161: -3}}
	_, events := states(t, text, o)
	machine := func(p geom.Point3, s *State) geom.Point3 {
		return geom.Pt3(p.X+s.Origin[0], p.Y+s.Origin[1], p.Z+s.Origin[2]+s.LengthOffset)
	}
	var at *geom.Point3
	_, err := Run(gcode.NewReader(strings.NewReader(text), gcode.Options{}), o, func(e *Event) error {
		from, to := machine(e.From, e.State), machine(e.To, e.State)
		if at != nil {
			assert.InDelta(t, 0, at.Dist(from), 1e-12, "block %d", e.Block)
		}
		at = &to
		return nil
	})
	require.NoError(t, err)
	assert.Len(t, events, 11)
}

func TestSwitches(t *testing.T) {
	text := "/G0 X1\nM1\nG0 X2\nM2\n"
	got, f, err := trace(text, Options{})
	require.NoError(t, err)
	assert.Equal(t, list("T 1,0,0; T 2,0,0; program end 2"), got)
	assert.Equal(t, 4, f.Blocks)
	assert.Equal(t, 3, f.Events)
	got, _, err = trace(text, Options{BlockDelete: true, OptionalStop: true})
	require.NoError(t, err)
	assert.Equal(t, list("stop 1; T 2,0,0; program end 2"), got)
	// A block that is skipped is not even evaluated.
	_, _, err = trace("/G0 X[1/0] (MSG, no)\nM2", Options{BlockDelete: true})
	assert.NoError(t, err)
}

func TestSpindleAndTools(t *testing.T) {
	assert.Equal(t, list("spindle -1 0; spindle -1 500; spindle +1 500; spindle +0 500"), moves(t, "M3\nS500\nM4\nM5", Options{}))
	assert.Equal(t, list("coolant mist true flood false; coolant mist true flood true; coolant mist false flood false"), moves(t, "M7\nM8\nM9", Options{}))
	assert.Equal(t, list("tool select 2; tool select 3; tool change 3; tool select 4; tool change 4"), moves(t, "T2\nT3 M6\nT4\nM6", Options{}))
	s, _ := states(t, "T2\nM3 M6 S100\nM2", Options{Tool: 1})
	assert.Equal(t, []int{1, 1, 1, 2, 2}, []int{s[0].Tool, s[1].Tool, s[2].Tool, s[3].Tool, s[4].Tool})
	assert.Equal(t, []int{2, 2}, []int{s[0].Selected, s[2].Selected})

	got := moves(t, "M3 S9\nT1 M6", Options{})
	assert.Equal(t, list("spindle +0 9; spindle -1 9; tool select 1; tool change 1; spindle +0 9"), got)
}

func TestMessages(t *testing.T) {
	assert.Equal(t, list("message first"), moves(t, "(MSG, first)\n(a)(MSG, no)(b)\n(plain)", Options{}))
}

func TestEventPlaces(t *testing.T) {
	_, e := states(t, "\n(start)\n  N5 G0 X1\n/ G1 F5 X2\nM2", Options{})
	assert.Equal(t, []int{3, 4, 5}, []int{e[0].Block, e[1].Block, e[2].Block})
	assert.Equal(t, gcode.Pos{Line: 3, Col: 3}, e[0].Pos)
	// A program made by hand has no positions; its blocks are counted.
	p := &gcode.Program{Name: "made", Blocks: []gcode.Block{{}, {Words: []gcode.Word{{Letter: 'M', Value: gcode.Number(2)}}}}}
	_, err := Run(p.Source(), Options{}, func(e *Event) error {
		assert.Equal(t, 2, e.Block)
		return nil
	})
	require.NoError(t, err)
}

func TestSinkStopsTheRun(t *testing.T) {
	enough := errors.New("enough")
	n := 0
	f, err := Run(gcode.NewReader(strings.NewReader("G0 X1\nX2\nX3\nM2"), gcode.Options{}), Options{}, func(*Event) error {
		if n++; n == 2 {
			return enough
		}
		return nil
	})
	assert.Equal(t, enough, err)
	assert.Equal(t, 2.0, f.Position.X)
	assert.False(t, f.Ended)
}

func TestProbe(t *testing.T) {
	o := Options{Start: geom.Pt3(1, 2, 5), Surface: floor(-0.5)}
	got, f, err := trace("F9 G92 X0 Z0\nG38.2 Z-10 X11\n#1=#5063\nG0 Z#5063\nM2", o)
	require.NoError(t, err)
	assert.Equal(t, list("P 7.05,2,-0.5; T 7.05,2,-0.5; program end 2"), got)
	assert.InDelta(t, 6.05, f.Parameters[5061], 1e-12)
	assert.InDelta(t, 2, f.Parameters[5062], 1e-12)
	assert.InDelta(t, -5.5, f.Parameters[5063], 1e-12)

	_, _, err = trace("F9 G38.2 Z-10\nM2", Options{})
	assert.ErrorContains(t, err, "needs a surface")
	o.Surface = func(from, to geom.Point3) (geom.Point3, bool) { return geom.Pt3(0, 0, 99), true }
	_, _, err = trace("F9 G38.2 Z-10\nM2", o)
	assert.ErrorContains(t, err, "surface is broken")
}

// NISTIR 6556, section 3.5.9.3 (from memory, the figures could not be read): the
// centre of a bored hole from four probing moves, averaging opposite places.
func TestProbeForAHole(t *testing.T) {
	centre, r := geom.Pt(12.5, -4.25), 6.0
	hole := func(from, to geom.Point3) (geom.Point3, bool) {
		d, f := to.XY().Sub(from.XY()), from.XY().Sub(centre)
		a, b, c := d.Dot(d), f.Dot(d), f.Dot(f)-r*r
		t := (-b + sqrt(b*b-a*c)) / a
		return from.XY().Add(d.Mul(t)).At(from.Z), t >= 0 && t <= 1
	}
	text := `G91 F30
#10=#5061
G38.2 X15
#1=#5061 G90 G0 X12 Y-4
G91 G38.2 X-15
#2=#5061 G90 G0 X12 Y-4
G91 G38.2 Y15
#3=#5062 G90 G0 X12 Y-4
G91 G38.2 Y-15
#4=#5062
G90 G0 X[[#1+#2]/2] Y[[#3+#4]/2]
M2`
	_, f, err := trace(text, Options{Start: geom.Pt3(12, -4, -3), Surface: hole})
	require.NoError(t, err)
	assert.InDelta(t, centre.X, f.Position.X, 1e-9)
	assert.InDelta(t, centre.Y, f.Position.Y, 1e-9)
}
