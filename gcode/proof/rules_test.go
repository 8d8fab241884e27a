package proof_test

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/gcode/proof/prooftest"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

func rules(r *proof.Record, s proof.Severity) []string {
	var names []string
	for _, f := range r.Findings {
		if f.Severity == s && (len(names) == 0 || names[len(names)-1] != f.Rule) {
			names = append(names, f.Rule)
		}
	}
	return names
}

// TestFaults puts one fault into a proven program and asks for the rule and the
// line of a finding. old is a line or a piece of text of the program, which is
// replaced once.
func TestFaults(t *testing.T) {
	for _, tc := range []struct {
		name, program, old, new string
		rule                    string
		line                    int // 0: not looked at
	}{
		{"height before the tool", "name", "T4 M6\nG43 H4\nG0 Z0.4", "G0 Z0.4\nT4 M6\nG43 H4", "start", 9},
		{"no height after a change", "tag", "G43 H2\nG0 Z15", "G43 H2", "start", 33},
		{"height between change and length", "tag", "G43 H3\nG0 Z15", "G0 Z15\nG43 H3", "length-offset", 41},
		{"length changed on the way", "tag", "G0 Z15\nS9000 M3", "G0 Z15\nG43 H3\nG43 H2\nS9000 M3", "start", 37},
		{"unknown word", "disc", "G0 Z10\nX2 Y28", "G0 Z10\nX2 Y28 E5", "language", 31},
		{"unknown code", "disc", "G1 Z0 F80\nX35", "G1 Z0 F80 G97\nX35", "language", 10},
		{"arc with a wrong centre", "disc", "I-7.207 J0 Z-0.290", "I-7.107 J0.5 Z-0.290", "outside-features", 19},
		{"arc whose radii differ", "name", "X0.4331 Y0.1378 I0.0000 J0.0394", "X0.4331 Y0.1378 I0.0000 J0.0414", "language", 31},
		{"incremental zero", "disc", "X2 Y28", "G92 X0\nX2 Y28", "unknown-position", 31},
		{"home", "disc", "X2 Y28", "G28", "unknown-position", 31},
		{"other work system", "disc", "G40 G49 G80", "G40 G49 G80 G55", "unknown-position", 4},
		{"machine coordinates", "disc", "X2 Y28", "G53 X2 Y28", "unknown-position", 31},
		{"probing", "disc", "X2 Y28", "G38.2 Z5", "unknown-position", 31},
		{"parameter of an earlier program", "disc", "X2 Y28", "X#100 Y28", "inherited", 31},
		{"origin set by its parameter", "disc", "G0 Z10\nS18000", "#5221=5\nG0 Z10\nS18000", "unknown-position", 5},
		{"work system set by its parameter", "disc", "G21 G17", "#5220=2 G21 G17", "unknown-position", 4},
		{"offset set by its parameter", "disc", "X2 Y28", "#5213=-1 X2 Y28", "unknown-position", 31},
		{"home set by its parameter", "disc", "X2 Y28", "#5161=1\nX2 Y28", "unknown-position", 31},
		{"parameter set by a number that is reckoned", "disc", "X2 Y28", "#[5200+21]=5\nX2 Y28", "unknown-position", 31},
		{"parameter set by another", "disc", "X2 Y28", "#1=5221 #2=1\n##1=5\nX2 Y28", "unknown-position", 32},
		{"parameter by another", "disc", "X2 Y28", "#1=2\nX##1 Y28", "inherited", 32},
		{"block delete", "disc", "X2 Y28", "/X2 Y28", "language", 31},
		{"tool change", "disc", "S18000 M3", "T1 M6\nS18000 M3", "machine-word", 6},
		{"mist", "disc", "S18000 M3", "S18000 M3 M7", "machine-word", 6},
		{"length offset on a machine without", "disc", "S18000 M3", "G43 H1\nS18000 M3", "machine-word", 7},
		{"no unit", "disc", "G21 G17", "G17", "inherited", 5},
		{"no plane", "disc", "G17 ", "", "inherited", 5},
		{"no distance mode", "disc", "G90 ", "", "inherited", 5},
		{"no feed mode", "disc", "G94 ", "", "inherited", 5},
		{"sideways before up", "disc", "G0 Z10\nS18000", "G0 X5 Y5\nZ10\nS18000", "start", 5},
		{"start too low", "disc", "G0 Z10\nS18000", "G0 Z2\nS18000", "start", 5},
		{"start by feed", "disc", "G0 Z10\nS18000", "G1 Z10 F100\nS18000", "start", 5},
		{"start incremental", "disc", "G0 Z10\nS18000", "G91 G0 Z10\nG90\nS18000", "start", 5},
		{"no tool", "name", "T4 M6\n", "", "tool", 0},
		{"unknown tool", "name", "T4 M6", "T9 M6", "tool", 4},
		{"tool changed with spindle on", "tag", "M9\nM5\nT2 M6", "M9\nT2 M6", "tool", 28},
		{"wrong tool", "name", "T4 M6\nG43 H4", "T5 M6\nG43 H5", "outside-features", 0},
		{"no length offset", "name", "G43 H4\n", "", "length-offset", 0},
		{"length offset before the tool", "name", "T4 M6\nG43 H4\nG0 Z0.4", "G43 H4\nG0 Z0.4\nT4 M6", "length-offset", 5},
		{"length offset of another tool", "name", "G43 H4", "G43 H5", "length-offset", 0},
		{"spindle not started", "disc", "S18000 M3", "S18000", "spindle", 11},
		{"spindle backwards", "disc", "S18000 M3", "S18000 M4", "spindle", 11},
		{"spindle without speed", "disc", "S18000 M3", "M3", "spindle", 11},
		{"spindle stopped early", "disc", "G0 X22.207 Y15", "M5\nG0 X22.207 Y15", "spindle", 20},
		{"spin-up left out", "disc", "G4 P3\n", "", "spin-up", 10},
		{"spin-up too short", "disc", "G4 P3\n", "G4 P0.3\n", "spin-up", 11},
		{"speed too high", "disc", "S18000", "S180000", "spindle-speed", 6},
		{"speed too low", "disc", "S18000", "S1800", "spindle-speed", 6},
		{"feed left out", "disc", "G1 Z0 F80\nX35 Z-0.35 F200", "G1 Z0\nX35 Z-0.35 F200", "language", 10},
		{"feed x 10", "disc", "F200", "F2000", "feed-limit", 11},
		{"plunge feed", "disc", "G1 Z0 F80\nX35", "G1 Z0 F180\nX35", "plunge-feed", 10},
		{"mist left out", "tag", "M7\n", "", "coolant", 12},
		{"mist off in the pocket", "tag", "G1 Y8.4", "M9\nG1 Y8.4", "coolant", 17},
		{"beyond the envelope", "disc", "X2 Y28", "X62 Y28", "envelope", 31},
		{"into the screw", "disc", "X2 Y28", "X2 Y28\nX34 Y24\nZ5\nZ4.3\nZ10", "zone", 34},
		{"beside the screw", "disc", "X2 Y28", "X2 Y28\nX34 Y19.8\nZ2\nZ10", "zone", 33},
		{"rapid lowered", "disc", "X26\nG0 Z10\n", "X26\nG0 Z-0.1\n", "rapid-in-material", 16},
		{"rapid into the stock", "disc", "Z0.5\nG1 Z0 F80\nX35", "Z-0.5\nG1 Z0 F80\nX35", "rapid-in-material", 9},
		{"plunge", "disc", "X35 Z-0.35 F200\nX26 Z-0.7\nX35 Z-1", "Z-0.35\nX35 F200\nX26 Z-0.7\nX35 Z-1", "plunge", 11},
		{"outside the features", "disc", "X35 Z-0.35 F200", "X35 Y6.1 Z-0.35 F200", "outside-features", 11},
		{"a line instead of an arc", "disc", "G2 X22.207 Y15 I-7.207 J0 Z-0.290 F220", "G1 X8 Y15 Z-0.290 F220", "outside-features", 19},
		{"too deep by 0.05", "disc", "Z-2.900", "Z-2.950", "depth", 29},
		{"too deep by 0.02", "name", "X0.1575 Y0.1378", "X0.1575 Y0.1378 Z-0.0055", "depth", 13},
		{"through the backing", "tag", "Z-2.6 R1", "Z-3.1 R1", "backing", 36},
		{"through the skin", "disc", "Z-2.900", "Z-2.950", "skin", 29},
		{"left standing", "disc", "X26 Z-0.7\nX35 Z-1\nX26\n", "X26 Z-0.7\nX35\n", "left-standing", 0},
		{"last turn left out", "disc", "G2 X22.207 Y15 I-7.207 J0\n", "", "left-standing", 0},
		{"stroke left out", "name", "G1 X0.1969 Y0.0591\n", "", "not-engraved", 0},
		{"stroke too shallow", "name", "X0.1969 Y0.0591\n", "X0.1969 Y0.0591 Z-0.0040\n", "not-engraved", 0},
		{"disc too small", "disc", "G2 X22.207 Y15 I-7.207 J0\n", "G1 X22.187 Y15\nG2 X22.187 Y15 I-7.187 J0\n", "part-size", 29},
		{"spindle on at the end", "disc", "M5\nM30", "M30", "safe-end", 32},
		{"low at the end", "disc", "X2 Y28\nM5", "X2 Y28\nZ3\nM5", "safe-end", 34},
		{"mist on at the end", "tag", "M9\nM5", "M5", "safe-end", 71},
		{"no M30", "disc", "M30\n%", "%", "safe-end", 33},
		{"incremental at the end", "disc", "M5\nM30", "M5\nG91\nM30", "safe-end", 34},
		{"cut short", "disc", "M5\nM30\n%\n", "", "language", 0},
		{"arc that nearly closes", "disc", "X35 Z-1\n", "X35 Z-1\nG3 X35 Y6.0004 I-2 J0\nG1 Y6\n", "closing-arc", 14},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := caseOf(t, tc.program)
			require.Contains(t, c.Text, tc.old)
			text := strings.Replace(c.Text, tc.old, tc.new, 1)
			r := check(t, c.Setup, text)
			require.False(t, r.Proven)
			require.Contains(t, rules(r, proof.Fault), tc.rule, "%+v", r.Findings)
			for _, f := range r.Findings {
				if f.Rule == tc.rule && (tc.line == 0 || f.Line == tc.line) {
					return
				}
			}
			t.Errorf("no %s at line %d: %+v", tc.rule, tc.line, r.Findings)
		})
	}
}

func caseOf(t testing.TB, name string) prooftest.Case {
	for _, c := range prooftest.Cases() {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no case %q", name)
	return prooftest.Case{}
}

// TestSetupFaults changes the set-up under a proven program.
func TestSetupFaults(t *testing.T) {
	for _, tc := range []struct {
		name, program string
		change        func(*setup.Setup)
		rule          string
	}{
		{"screw moved into the cut", "disc", func(s *setup.Setup) {
			s.Zones[0].Area = geom.RegionOf(geom.Circle(geom.Pt(25.5, 17), 3))
		}, "zone"},
		{"screw moved under a rapid", "disc", func(s *setup.Setup) {
			s.Zones[0].Area = geom.RegionOf(geom.Circle(geom.Pt(24, 10), 2))
			s.Zones[0].Top = 9.7
		}, "zone"},
		{"crack moved into the cut", "disc", func(s *setup.Setup) {
			s.Zones[1].Area = geom.RegionOf(geom.Polygon(geom.Pt(5, 14), geom.Pt(7.1, 15), geom.Pt(5, 16)))
		}, "zone"},
		{"clearance widened", "disc", func(s *setup.Setup) { s.Zones[1].Clearance = 6.8 }, "zone"},
		{"holder hits the jaw", "name", func(s *setup.Setup) { s.Zones[1].Top = 25 }, "zone"},
		{"short flutes", "disc", func(s *setup.Setup) { s.Tools[0].FluteLength = 2 }, "shank-in-material"},
		{"short flutes, thin shank", "disc", func(s *setup.Setup) {
			s.Tools[0].FluteLength, s.Tools[0].Shank = 0.8, 1.5
			s.Tools[0].StickOut, s.Tools[0].Holder = 1.5, []setup.Section{{Z0: 1.5, R0: 4, Z1: 9, R1: 4}}
		}, "shank-in-material"},
		{"short stick-out", "disc", func(s *setup.Setup) {
			s.Tools[0].FluteLength, s.Tools[0].StickOut = 2, 2.5
			s.Tools[0].Shank = 1.4
			s.Tools[0].Holder = []setup.Section{{Z0: 2.5, R0: 4, Z1: 20, R1: 4}}
		}, "shank-in-material"},
		{"bigger cutter", "disc", func(s *setup.Setup) { s.Tools[0].Diameter = 1.7 }, "outside-features"},
		{"smaller cutter", "disc", func(s *setup.Setup) { s.Tools[0].Diameter = 1.5 }, "part-size"},
		{"smaller cutter in a slot", "disc", func(s *setup.Setup) { s.Tools[0].Diameter = 1.3 }, "left-standing"},
		{"part moved", "disc", func(s *setup.Setup) { s.Parts[0].At = geom.Pt(15.05, 15) }, "part-size"},
		{"part elsewhere", "disc", func(s *setup.Setup) { s.Parts[0].At = geom.Pt(30, 15) }, "part-size"},
		{"thicker skin", "disc", func(s *setup.Setup) { s.Parts[0].Skin = 0.2 }, "skin"},
		{"pocket for another tool", "tag", func(s *setup.Setup) { s.Features[0].Tools = []int{2} }, "feature-tool"},
		{"no backing", "tag", func(s *setup.Setup) { s.Stock.Backing = setup.Backing{} }, "backing"},
		{"no tool table", "tag", func(s *setup.Setup) { s.Machine.LengthOffsets = false }, "machine-word"},
		{"two tools without a tool change", "disc", func(s *setup.Setup) {
			u := s.Tools[0]
			u.Number = 2
			s.Tools = append(s.Tools, u)
		}, "tool"},
		{"flood asked and mist on", "tag", func(s *setup.Setup) { s.Features[0].Coolant = setup.Flood }, "coolant"},
		{"dry blank that asks for mist", "disc", func(s *setup.Setup) { s.Features[0].Coolant = setup.Mist }, "coolant"},
		{"dry line that asks for mist", "name", func(s *setup.Setup) { s.Features[0].Coolant = setup.Mist }, "coolant"},
		{"feed not planned for", "disc", func(s *setup.Setup) { s.Features[0].Feed = 20 }, "cutting-data"},
		{"plunge feed not planned for", "name", func(s *setup.Setup) { s.Features[0].Plunge = 1 }, "cutting-data"},
		{"speed not planned for", "name", func(s *setup.Setup) { s.Features[0].Speed = 3000 }, "cutting-data"},
		{"clamped too far right", "disc", func(s *setup.Setup) {
			s.Machine.Travel = geom.Box3{Min: geom.Pt3(0, 0, -80), Max: geom.Pt3(200, 150, 0)}
			s.Machine.WorkOffset = ptr3(165.1, 60, -40) // the slot ends at X35
		}, "travel"},
		{"clamped too far back", "name", func(s *setup.Setup) {
			s.Machine.Travel = geom.Box3{Min: geom.Pt3(0, 0, -80), Max: geom.Pt3(200, 150, 0)}
			s.Machine.WorkOffset = ptr3(50, 146.6, -40) // letters reach Y3.5
		}, "travel"},
		{"clamped too high", "disc", func(s *setup.Setup) {
			s.Machine.Travel = geom.Box3{Min: geom.Pt3(0, 0, -80), Max: geom.Pt3(200, 150, 0)}
			s.Machine.WorkOffset = ptr3(50, 60, -9.9) // the clear height is Z10
		}, "travel"},
		{"dog-leg over a screw", "disc", func(s *setup.Setup) {
			s.Machine.DogLegRapids = true
			s.Zones[0].Area, s.Zones[0].Top = geom.RegionOf(geom.Circle(geom.Pt(21, 22), 0.5)), 9.9
		}, "zone"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := caseOf(t, tc.program)
			tc.change(c.Setup)
			r := check(t, c.Setup, c.Text)
			require.False(t, r.Proven)
			require.Contains(t, rules(r, proof.Fault), tc.rule, "%+v", r.Findings)
		})
	}
}

func ptr3(x, y, z float64) *geom.Point3 {
	p := geom.Pt3(x, y, z)
	return &p
}

// TestTravel holds programs against the machine's travel that just fit into it.
func TestTravel(t *testing.T) {
	travel := geom.Box3{Min: geom.Pt3(0, 0, -80), Max: geom.Pt3(200, 150, 0)}
	c := caseOf(t, "disc")
	c.Setup.Machine.Travel = travel
	require.Empty(t, check(t, c.Setup, c.Text).Findings) // where the work is, is not known
	for _, o := range []*geom.Point3{ptr3(165, 60, -10), ptr3(-2, -6, -77.1)} {
		c.Setup.Machine.WorkOffset = o
		r := check(t, c.Setup, c.Text)
		require.True(t, r.Proven, "%+v", r.Findings)
		require.Empty(t, r.Findings)
	}
	// Under a length offset the height in machine coordinates is not known.
	c = caseOf(t, "tag")
	c.Setup.Machine.Travel, c.Setup.Machine.WorkOffset = travel, ptr3(50, 50, -1)
	r := check(t, c.Setup, c.Text)
	require.True(t, r.Proven, "%+v", r.Findings)
	require.Equal(t, []string{"travel-height"}, rules(r, proof.Note))
	// Machine coordinates in the text stay refused.
	r = check(t, c.Setup, strings.Replace(c.Text, "G0 X1 Y1", "G53 G0 X1 Y1", 1))
	require.Contains(t, rules(r, proof.Fault), "unknown-position")
}

// TestCoolantOfOverlaps lets a feature lie over others, as the outside of a
// profile does: what it asks for counts for the cuts that it demands alone.
func TestCoolantOfOverlaps(t *testing.T) {
	c := caseOf(t, "tag")
	over := setup.Feature{Name: "outline", May: c.Setup.Stock.Outline, Floor: -0.6, Tol: 0.01, Coolant: setup.Flood,
		Must: c.Setup.Features[0].Must} // which the pocket, too, asks for
	c.Setup.Features = append([]setup.Feature{over}, c.Setup.Features...)
	r := check(t, c.Setup, c.Text)
	require.True(t, r.Proven, "%+v", r.Findings)

	// Nor does a feature that allows everything excuse a cut of another.
	c = caseOf(t, "tag")
	over.Coolant, over.Must = setup.Dry, c.Setup.Features[2].Must
	c.Setup.Features = append([]setup.Feature{over}, c.Setup.Features...)
	require.True(t, check(t, c.Setup, c.Text).Proven)
	r = check(t, c.Setup, strings.Replace(c.Text, "M7\n", "", 1))
	require.Contains(t, rules(r, proof.Fault), "coolant")

	// Where nothing is left to cut, nothing has to be on.
	r = check(t, c.Setup, strings.Replace(c.Text, "X13\nY9\nG0 Z15", "X13\nY9\nM9\nG1 Y7\nX9\nG0 Z15", 1))
	require.True(t, r.Proven, "%+v", r.Findings)
}

// TestBlockRate asks for a caution where a curve in short moves is too fast for
// the control, and only there.
func TestBlockRate(t *testing.T) {
	c := caseOf(t, "disc")
	program := func(n int) string { // moves of 0.05 mm at 200 mm/min take 15 ms each
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, "X%.3f\n", 26+0.05*float64(i+1))
		}
		return strings.Replace(c.Text, "X35 Z-1\nX26\n", "X35 Z-1\nX26\n(BACK IN SHORT MOVES)\n"+b.String(), 1)
	}
	for _, tc := range []struct {
		rate  float64
		n     int
		found bool
	}{
		{0, 100, false},   // not known
		{60, 100, true},   // 16.7 ms a block
		{60, 16, false},   // as many as the control reads in advance
		{60, 17, true},    //
		{66.6, 100, true}, // 15.02 ms
		{66.7, 100, false},
	} {
		c.Setup.Machine.BlockRate = tc.rate
		r := check(t, c.Setup, program(tc.n))
		require.True(t, r.Proven, "%+v", r.Findings)
		if !tc.found {
			require.Empty(t, r.Findings, "%+v", tc)
			continue
		}
		require.Len(t, r.Findings, 1)
		f := r.Findings[0]
		require.Equal(t, "block-rate", f.Rule)
		require.Equal(t, proof.Caution, f.Severity)
		require.Equal(t, 16, f.Line) // the first short block, after the comment
		require.Contains(t, f.Text, fmt.Sprintf("%d blocks", tc.n))
	}
}

// TestFeatureTimes holds the times of features against their paths' lengths.
func TestFeatureTimes(t *testing.T) {
	c := caseOf(t, "disc")
	c.Setup.Machine.Accel = 0
	r := check(t, c.Setup, c.Text)
	require.Len(t, r.FeatureTimes, 2)
	require.Equal(t, "blank", r.FeatureTimes[0].Feature)
	require.Equal(t, "slot", r.FeatureTimes[1].Feature)
	// Three passes of 9 mm sloped by 0.35, 0.35 and 0.3 mm, and one level.
	want := (2*math.Hypot(9, 0.35) + math.Hypot(9, 0.3) + 9) / 200 * 60
	require.InDelta(t, want, r.FeatureTimes[1].Time, 1e-6)
	sum := 0.0
	c = caseOf(t, "tag")
	r = check(t, c.Setup, c.Text)
	names := []string{}
	for _, f := range r.FeatureTimes {
		names = append(names, f.Feature)
		sum += f.Time
	}
	require.Equal(t, []string{"pocket", "hole tips", "holes", "groove line", "number"}, names)
	fed := 0.0
	for _, t := range r.Times {
		fed += t.Cutting
	}
	require.LessOrEqual(t, sum, fed)
	require.Greater(t, sum, 0.9*fed)
}

// TestOrderMatters swaps two operations: the vee would engrave a pocket's floor
// before the pocket is there.
func TestOrderMatters(t *testing.T) {
	c := caseOf(t, "tag")
	a := strings.Index(c.Text, "N30 T1 M6")
	b := strings.Index(c.Text, "T2 M6")
	d := strings.Index(c.Text, "G0 X1 Y1\nM30")
	text := c.Text[:a] + "G0 X1 Y1\n" + c.Text[b:d] + c.Text[a:b] + c.Text[d:]
	r := check(t, c.Setup, text)
	require.False(t, r.Proven)
	require.Contains(t, rules(r, proof.Fault), "feature-tool")
}

func TestFindingsAreCapped(t *testing.T) {
	c := caseOf(t, "disc")
	var b strings.Builder
	for i := range 100 {
		b.WriteString("G1 X" + strconv.Itoa(30+i%2) + " Y20 F100\n")
	}
	text := strings.Replace(c.Text, "X2 Y28", "X30 Y12\nZ0.5\nG1 Z-0.2 F50\n"+b.String()+"G0 Z10", 1)
	r := check(t, c.Setup, text)
	n := map[string]int{}
	for _, f := range r.Findings {
		n[f.Rule]++
	}
	require.Equal(t, 20, n["outside-features"])
	more := 0
	for _, s := range r.Suppressed {
		if s.Rule == "outside-features" {
			more = s.More
		}
	}
	require.Equal(t, 81, more)
	require.False(t, r.Proven)
}

var sentence = regexp.MustCompile(`^[A-Z].*\.$`)

func TestRulesAreDescribed(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range proof.Rules() {
		require.NotEmpty(t, r.Name)
		require.False(t, seen[r.Name], r.Name)
		seen[r.Name] = true
		require.Regexp(t, sentence, r.Reason)
	}
}

// TestDogLegRapids checks that a rapid whose axes run at rates of their own is
// held against all the ways it may take.
func TestDogLegRapids(t *testing.T) {
	c := caseOf(t, "disc")
	// Level, one axis at a time, in the slot that has been cut: legal either way.
	text := strings.Replace(c.Text, "X35 Z-1\nX26\n", "X35 Z-1\nX26\nG0 X35\n", 1)
	require.True(t, check(t, c.Setup, text).Proven)
	c.Setup.Machine.DogLegRapids = true
	r := check(t, c.Setup, text)
	require.True(t, r.Proven, "%+v", r.Findings)
	// Sideways and up at once leaves the slot on a straight way, but not on all.
	text = strings.Replace(c.Text, "X35 Z-1\nX26\nG0 Z10", "X35 Z-1\nX26\nG0 X35 Y9 Z10\nZ10", 1)
	r = check(t, c.Setup, text)
	require.Contains(t, rules(r, proof.Fault), "rapid-in-material")
}

// TestCautions puts something unwise but legal into a proven program.
func TestCautions(t *testing.T) {
	for _, tc := range []struct{ name, program, old, new, rule string }{
		{"rounded corners", "disc", " G61\n", " G64\n", "path-control"},
		{"path left open", "disc", " G61\n", "\n", "path-control"},
		{"short move", "disc", "X26 Z-0.7\n", "X26.0003 Z-0.7\nX26\n", "short-move"},
		{"height without a length offset", "tag", "N30 T1 M6", "G0 Z15\nN30 T1 M6", "length-unset"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := caseOf(t, tc.program)
			require.Contains(t, c.Text, tc.old)
			r := check(t, c.Setup, strings.Replace(c.Text, tc.old, tc.new, 1))
			require.True(t, r.Proven, "%+v", r.Findings)
			require.Contains(t, rules(r, proof.Caution), tc.rule)
		})
	}
}

// TestStray lets a control cut corners: what is known of it counts where the
// program does not forbid it, and a control that cannot be told is not told.
func TestStray(t *testing.T) {
	for _, tc := range []struct {
		name, word string
		deviation  float64
		noModes    bool
		faults     []string
	}{
		{"exact path", " G61\n", 6.3, false, nil},
		{"exact stop", " G61.1\n", 6.3, false, nil},
		{"rounded, far from the zones", " G64\n", 5.9, false, nil},
		{"rounded, near a zone", " G64\n", 6.3, false, []string{"zone"}},
		{"left open, near a zone", "\n", 6.3, false, []string{"zone"}},
		{"no modes", "\n", 5.9, true, nil},
		{"no modes, near a zone", "\n", 6.3, true, []string{"zone"}},
		{"a mode that is not there", " G61\n", 0, true, []string{"language"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := caseOf(t, "disc") // its crack is passed at 6.446 mm and needs 0.3, its screw at 6.716 and needs 0.5
			c.Setup.Machine.CornerDeviation, c.Setup.Machine.NoPathModes = tc.deviation, tc.noModes
			r := check(t, c.Setup, strings.Replace(c.Text, " G61\n", tc.word, 1))
			require.Equal(t, tc.faults == nil, r.Proven, "%+v", r.Findings)
			if tc.faults != nil {
				require.ElementsMatch(t, tc.faults, slices.Compact(rules(r, proof.Fault)))
			}
			rounds := tc.deviation > 0 && !strings.Contains(tc.word, "G61")
			require.Equal(t, rounds, slices.Contains(rules(r, proof.Caution), "path-control"))
		})
	}
}

// TestUnusable asks for errors rather than findings.
func TestUnusable(t *testing.T) {
	ctx := context.Background()
	c := caseOf(t, "disc")
	_, err := proof.Check(ctx, nil, "x", strings.NewReader(c.Text), proof.Options{})
	require.ErrorContains(t, err, "no set-up")
	_, err = proof.Check(ctx, c.Setup, "x", iotest.ErrReader(io.ErrUnexpectedEOF), proof.Options{})
	require.ErrorIs(t, err, io.ErrUnexpectedEOF)
	_, err = proof.Check(ctx, c.Setup, "x", strings.NewReader(c.Text), proof.Options{Resolution: math.NaN()})
	require.ErrorContains(t, err, "resolution")
	stopped, cancel := context.WithCancel(ctx)
	cancel()
	_, err = proof.Check(stopped, c.Setup, "x", strings.NewReader(c.Text), proof.Options{})
	require.ErrorIs(t, err, context.Canceled)
	c.Setup.Features[0].Floor = math.NaN()
	_, err = proof.Check(ctx, c.Setup, "x", strings.NewReader(c.Text), proof.Options{})
	require.ErrorContains(t, err, "blank")
}

// TestSumOfTheWholeText proves a program behind a slow reader. The sum is of the
// whole text, also of what follows the program's end.
func TestSumOfTheWholeText(t *testing.T) {
	c := caseOf(t, "name")
	text := c.Text + "what stands behind the end is never read by a control\n"
	r, err := proof.Check(context.Background(), c.Setup, "x", iotest.OneByteReader(strings.NewReader(text)), proof.Options{})
	require.NoError(t, err)
	require.True(t, r.Proven, "%+v", r.Findings)
	require.Equal(t, fmt.Sprintf("%x", sha256.Sum256([]byte(text))), r.Program.SHA256)
}

// TestOwnParameters checks that a program may use parameters that it has set.
func TestOwnParameters(t *testing.T) {
	c := caseOf(t, "disc")
	r := check(t, c.Setup, strings.Replace(c.Text, "X2 Y28", "#100=2\nX#100 Y[14*#100]", 1))
	require.True(t, r.Proven, "%+v", r.Findings)
}
