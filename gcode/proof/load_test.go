package proof_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/gcode/proof/prooftest"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// plate is a set-up in which one tool may cut everything of a brass plate.
func plate(tool setup.Tool) *setup.Setup {
	if tool.Flutes == 0 {
		tool.Flutes = 2
	}
	s := blank(tool, 0)
	s.Stock.Outline = geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(40, 20), 0))
	s.Features[0].May = s.Stock.Outline
	s.Stock.Material = "brass"
	t := &s.Tools[0]
	t.Flutes, t.CentreCuts = tool.Flutes, tool.CentreCuts
	if t.Substrate == setup.UnknownSubstrate {
		t.Substrate = setup.Carbide
	}
	if tool.StickOut == 0 {
		t.FluteLength, t.Shank, t.StickOut = 6, tool.Diameter, 15
	}
	return s
}

func loadOf(t *testing.T, s *setup.Setup, text string) (proof.Load, *proof.Record) {
	t.Helper()
	r := check(t, s, before+text+after)
	require.NotEmpty(t, r.Loads, "%+v", r.Findings)
	return r.Loads[0], r
}

// TestLoadsClosedForm holds measured loads of whole programs against closed forms:
// the chip vectors C1 of package cutdata (3 mm, 0.02 mm a tooth, calculated) and
// Kienzle's law for brass, kc11 700 and mc 0.27 (VDI 3323 group 26), times the
// size effect of package cutdata.
func TestLoadsClosedForm(t *testing.T) {
	const d, fz, z, n = 3.0, 0.02, 2, 10000.0
	feed := fz * z * n // 400
	kc := func(h float64) float64 {
		size := 1.2 * math.Pow(h/0.01, math.Log(1/1.2)/math.Log(5)) // 1.2 at 0.01 mm to 1 at 0.05
		return 700 * math.Pow(h, -0.27) * size
	}
	for _, tc := range []struct {
		name, text string
		radial     float64
		arc        float64
		within     float64 // of width and removal, a share: the map's resolution
	}{
		{"slot", "Y10\nG1 Z-1 F50\nX50", d, 180, 0.001},
		{"slot askew", "Y8\nG1 Z-1 F50\nX50 Y13.7", d, 180, 0.05},
		{"half width along the edge", "Y0\nG1 Z-1 F50\nX50", d / 2, 90, 0.05},
		{"half width beside a slot", "Y10\nG1 Z-1 F50\nX50 F100\nG0 Z5\nX-3 Y11.5\nG1 Z-1 F50\nX50", d / 2, 90, 0.05},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := plate(setup.Tool{Shape: setup.Flat, Diameter: d})
			s.Features[0].May = geom.RegionOf(geom.Rect(geom.Pt(-10, -10), geom.Pt(60, 30), 0))
			// It comes from outside the plate, so that nothing is plunged into.
			l, r := loadOf(t, s, fmt.Sprintf("G0 X-3 %s F%g\n", tc.text, feed))
			require.True(t, r.Proven, "%+v", r.Findings)
			require.InDelta(t, 1, l.Axial.Value, 1e-6)
			if !strings.Contains(tc.name, "beside") { // whose slot was wider
				require.InEpsilon(t, tc.radial, l.Radial.Value, tc.within)
				require.InDelta(t, tc.arc, l.Engagement.Value, 8)
			}
			require.InEpsilon(t, 0.02, l.ChipMax.Value, 1e-9)
			// The mean chip is greatest on entry, at 133 degrees: (1-cos)/angle is 0.7246.
			require.GreaterOrEqual(t, l.ChipMean.Value, 0.01273*0.999)
			require.LessOrEqual(t, l.ChipMean.Value, 0.7247*0.02)
			require.InEpsilon(t, 1*tc.radial*feed, l.Removal.Value, tc.within)
			require.InEpsilon(t, kc(0.02)*1*0.02, l.Force.Value, 1e-6)
			require.Equal(t, l.Force.Block, l.ChipMax.Block)
		})
	}
}

// TestDrillLoad holds a plunge against the closed form of a drill's torque and
// thrust (Kienzle): M = kc f D^2/8000 and 0.5 kc (f/2) D sin(point/2), times the
// spread and the chisel edge's factor that package cutdata puts on them.
func TestDrillLoad(t *testing.T) {
	drill := setup.Tool{Shape: setup.Drill, Diameter: 3, Angle: 118 * math.Pi / 180, Substrate: setup.HighSpeedSteel,
		FluteLength: 12, Shank: 3, StickOut: 20}
	s := plate(drill)
	const f = 0.02 // mm a turn at 10000/min
	l, r := loadOf(t, s, "G0 X10 Y10\nZ1\nG1 Z-3 F200\nG0 Z5\n")
	require.True(t, r.Proven, "%+v", r.Findings)
	sin := math.Sin(59 * math.Pi / 180)
	h := f / 2 * sin
	size := 1.2 * math.Pow(h/0.002, math.Log(2/1.2)/math.Log(0.2)) * 2 / 1.2 // 2 at 0.002 mm to 1.2 at 0.01
	kc := 700 * math.Pow(h, -0.27) * size
	require.InEpsilon(t, 2*kc*f*9/8000, l.Torque.Value, 0.01)
	require.InEpsilon(t, 3*0.5*kc*f/2*3*sin, l.Thrust.Value, 0.01)
	require.InEpsilon(t, math.Pi*9/4*200, l.Removal.Value, 1e-6)
	require.Zero(t, l.Length)
}

// TestRemovalVectors runs the textbook vectors T1 and T2 of package cutdata (public
// homework banks) as whole programs: removal rates of 196950 and 101250 mm3/min.
func TestRemovalVectors(t *testing.T) {
	for _, tc := range []struct {
		name                       string
		d, ap, ae, n, feed, wanted float64
		teeth                      int
	}{
		{"T1", 60, 9, 50, 291.784, 437.676, 196950, 5},
		{"T2", 150, 3, 112.5, 300, 300, 101250, 8},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := plate(setup.Tool{Shape: setup.Flat, Diameter: tc.d, Flutes: tc.teeth, FluteLength: 20, Shank: 30, StickOut: 60})
			s.Stock.Thickness = 20
			s.Machine.Envelope = geom.Box3{Min: geom.Pt3(-500, -500, -30), Max: geom.Pt3(1000, 1000, 100)}
			s.Stock.Outline = geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(400, tc.ae), 0))
			s.Features[0].May = geom.RegionOf(geom.Rect(geom.Pt(-400, -400), geom.Pt(900, 900), 0))
			s.Features[0].Floor = -20
			// The cutter runs beside the work so that the work's whole width meets it.
			text := fmt.Sprintf("S%g M3\nG0 X-%g Y%g\nG1 Z-%g F100\nX500 F%g\n", tc.n, tc.d, tc.ae-tc.d/2, tc.ap, tc.feed)
			l, _ := loadOf(t, s, text)
			require.InDelta(t, tc.ap, l.Axial.Value, 1e-3)
			require.InEpsilon(t, tc.ae, l.Radial.Value, 0.05)
			require.InEpsilon(t, tc.wanted, l.Removal.Value, 0.05)
		})
	}
}

// TestNothingLeftIsNoLoad repeats passes that have already been made: they meet
// nothing, whatever the grid shows at the walls.
func TestNothingLeftIsNoLoad(t *testing.T) {
	s := plate(setup.Tool{Shape: setup.Flat, Diameter: 3, CentreCuts: true})
	first := "G0 X5 Y5\nG1 Z-1 F50\nX34.4 Y12.3 F200\nG3 X34.4 Y15.3 I0 J1.5\nG1 X5 Y8\n"
	one, _ := loadOf(t, s, first)
	two, _ := loadOf(t, s, first+"G0 Z5\n"+strings.Replace(strings.Replace(first, "F50", "F100", 1), "F200", "F2000", 1))
	require.InDelta(t, one.Length, two.Length, 0.02*one.Length)
	require.Equal(t, one.Force, two.Force)
}

// TestLoadRules breaks one limit at a time.
func TestLoadRules(t *testing.T) {
	mill := setup.Tool{Shape: setup.Flat, Diameter: 2, FluteLength: 4, Shank: 3, StickOut: 12, CentreCuts: true}
	blind := mill
	blind.CentreCuts = false
	drill := setup.Tool{Shape: setup.Drill, Diameter: 1, Angle: 2, FluteLength: 12, Shank: 1, StickOut: 20, Substrate: setup.HighSpeedSteel}
	const light = "G0 X5 Y10\nG1 Z-0.2 F60\nX15 F150\n"
	for _, tc := range []struct {
		name     string
		tool     setup.Tool
		text     string
		change   func(*setup.Setup)
		rule     string // "": none
		severity proof.Severity
		line     int
	}{
		{"light slot", mill, light, nil, "", 0, 0},
		{"deep slot", mill, "G0 X5 Y10\nG1 Z-2 F60\nX15 F250\n", nil, "tool-stress", proof.Caution, 6},
		{"far too deep and fast", mill, "G0 X5 Y10\nG1 Z-3.5 F60\nX15 F600\n", nil, "tool-breaks", proof.Fault, 6},
		{"long and thin", mill, light, func(s *setup.Setup) {
			t := &s.Tools[0]
			t.Diameter, t.FluteLength, t.StickOut = 0.6, 11, 12
		}, "tool-breaks", proof.Fault, 0},
		{"bends beyond the tolerance", mill, "G0 X5 Y1\nG1 Z-1 F60\nX15 F200\n", nil, "deflection", proof.Caution, 6},
		{"bends where nothing is shaped", mill, "G0 X5 Y10\nG1 Z-1 F60\nX15 F200\n", nil, "-deflection", 0, 0},
		{"thick chip", mill, "G0 X5 Y10\nG1 Z-0.05 F60\nX15 F1500\n", nil, "chip-thick", proof.Caution, 6},
		{"thin chip", mill, "G0 X5 Y10\nG1 Z-0.2 F60\nX15 F30\n", nil, "chip-thin", proof.Caution, 6},
		{"fast plunge", mill, "G0 X5 Y10\nG1 Z-0.2 F900\nX15 F150\n", nil, "plunge-load", proof.Caution, 5},
		{"weak spindle", mill, light, func(s *setup.Setup) { s.Machine.Drive.Power = 0.015 }, "spindle-load", proof.Caution, 5},
		{"stalling spindle", mill, light, func(s *setup.Setup) { s.Machine.Drive.Torque = 0.001 }, "spindle-stalls", proof.Fault, 0},
		{"enough spindle", mill, light, func(s *setup.Setup) { s.Machine.Drive = setup.Drive{Power: 0.3, Torque: 0.4, Stiffness: 1e5} }, "", 0, 0},
		{"drill sideways", drill, "G0 X5 Y10\nG1 Z-0.5 F60\nX7\n", nil, "drill-sideways", proof.Fault, 6},
		{"slender drill", drill, "G0 X5 Y10\nG1 Z-3 F1500\n", func(s *setup.Setup) {
			s.Tools[0].StickOut, s.Tools[0].FluteLength, s.Tools[0].Diameter, s.Tools[0].Shank = 60, 50, 0.5, 0.5
		}, "plunge-breaks", proof.Fault, 5},
		{"steep ramp", blind, "G0 X5 Y10\nG1 Z0 F60\nX10 Z-0.5 F100\n", nil, "ramp", proof.Caution, 6},
		{"gentle ramp", blind, "G0 X5 Y10\nG1 Z0 F60\nX15 Z-0.5 F100\n", nil, "-ramp", 0, 0},
		{"full width after light passes", mill, light + strings.Repeat("G0 Z5\nX5 Y12.05\nG1 Z-0.2\nX35 F150\n", 1) +
			"G0 Z5\nX5 Y10\nG1 Z-0.4 F60\nX35 F150\nG0 Z5\nX5 Y15\nG1 Z-1.2 F60\nX6 F150\n", nil, "engagement-peak", proof.Caution, 18},
		{"deeper than planned", mill, light, func(s *setup.Setup) { s.Features[0].StepDown = 0.15 }, "step-down", proof.Caution, 6},
		{"as deep as planned", mill, light, func(s *setup.Setup) { s.Features[0].StepDown = 0.2 }, "", 0, 0},
		{"too fast for the edge", mill, "S29000 M3\n" + light, func(s *setup.Setup) {
			s.Tools[0].Substrate, s.Stock.Material = setup.HighSpeedSteel, "stainless 304"
		}, "cutting-speed", proof.Caution, 0},
		{"tool material not stated", mill, light, func(s *setup.Setup) { s.Tools[0].Substrate = setup.UnknownSubstrate }, "tool-material", proof.Note, 0},
		{"stock not known", mill, light, func(s *setup.Setup) { s.Stock.Material = "moon rock" }, "cut-material", proof.Caution, 0},
		{"stock like another", mill, light, func(s *setup.Setup) {
			s.Stock.Material, s.Stock.Like = "moon rock", setup.Like{Names: []string{"brass"}}
		}, "", 0, 0},
		{"forbidden pair", mill, light, func(s *setup.Setup) {
			s.Tools[0].Substrate, s.Stock.Material = setup.HighSpeedSteel, "glass-epoxy"
		}, "cut-material", proof.Caution, 0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := plate(tc.tool)
			if tc.change != nil {
				tc.change(s)
			}
			r := check(t, s, before+tc.text+after)
			switch {
			case tc.rule == "":
				require.Empty(t, r.Findings)
				return
			case tc.rule[0] == '-':
				for _, f := range r.Findings {
					require.NotEqual(t, tc.rule[1:], f.Rule, f.Text)
				}
				return
			}
			for _, f := range r.Findings {
				if f.Rule == tc.rule && f.Severity == tc.severity && (tc.line == 0 || f.Line == tc.line) {
					return
				}
			}
			t.Errorf("no %s: %+v\n%+v", tc.rule, r.Findings, r.Loads)
		})
	}
}

// TestLoadsOfCases asks that the proven cases have a load for each cut.
func TestLoadsOfCases(t *testing.T) {
	for _, c := range prooftest.Cases() {
		r := check(t, c.Setup, c.Text)
		require.NotEmpty(t, r.Loads)
		for _, l := range r.Loads {
			require.Positive(t, l.Force.Value, "%+v", l)
			require.Positive(t, l.Stress.Value)
			require.Positive(t, l.Stress.Limit)
			require.NotZero(t, l.Stress.Block)
		}
	}
}

// TestFineToolIsASlot engraves with a point that the map cannot resolve.
func TestFineToolIsASlot(t *testing.T) {
	v := setup.Tool{Shape: setup.Vee, Diameter: 3, TipDiameter: 0.2, Angle: math.Pi / 3, Flutes: 1, CentreCuts: true}
	l, r := loadOf(t, plate(v), "G0 X5 Y10\nG1 Z-0.1 F30\nX15 F150\n")
	require.True(t, r.Proven)
	require.InDelta(t, 0.1, l.Axial.Value, 1e-6)
	require.InDelta(t, 180, l.Engagement.Value, 1e-6)
	require.InEpsilon(t, 0.2+2*0.1*math.Tan(math.Pi/6), l.Radial.Value, 0.02)
}

// TestPassesOfAFineTool engraves lines in two passes, straight, round and across
// each other, each pass 0.1 mm deep: no pass meets more, whatever the map shows. A
// line beside another one is a new one.
func TestPassesOfAFineTool(t *testing.T) {
	v := setup.Tool{Shape: setup.Vee, Diameter: 3, TipDiameter: 0.2, Angle: math.Pi / 3, Flutes: 1, CentreCuts: true}
	pass := func(z float64, path string) string {
		return fmt.Sprintf("G0 Z1\n%s", fmt.Sprintf(path, z))
	}
	for _, tc := range []struct {
		name string
		text string
		want float64
	}{
		{"straight", pass(-0.1, "X5 Y10\nG1 Z%.1f F30\nX15 F150\n") + pass(-0.2, "X5 Y10\nG1 Z%.1f F30\nX15 F150\n"), 0.1},
		{"back", "G0 X5 Y10\nG1 Z-0.1 F30\nX15 Y12.3 F150\nZ-0.2 F30\nX5 Y10 F150\n", 0.1},
		{"in pieces", pass(-0.1, "X5 Y10\nG1 Z%.1f F30\nX5.1 F150\nX5.2\nX5.3\nX6\nX6.05\nX9\n") + pass(-0.2, "X5 Y10\nG1 Z%.1f F30\nX9 F150\n"), 0.1},
		{"round", pass(-0.1, "X15 Y10\nG1 Z%.1f F30\nG3 X15 Y10 I-3 J0 F150\n") + pass(-0.2, "X15 Y10\nG1 Z%.1f F30\nG3 X15 Y10 I-3 J0 F150\n"), 0.1},
		{"down a spiral", "G0 X15 Y10\nG1 Z0 F30\nG3 X15 Y10 I-3 J0 Z-0.1 F150\nG3 X15 Y10 I-3 J0 Z-0.2\nG3 X15 Y10 I-3 J0\n", 0.1},
		{"across", pass(-0.1, "X5 Y10\nG1 Z%.1f F30\nX15 F150\n") + pass(-0.2, "X5 Y10\nG1 Z%.1f F30\nX15 F150\n") +
			pass(-0.2, "X10 Y5\nG1 Z%.1f F30\nY15 F150\n"), 0.2},
		{"beside", pass(-0.2, "X5 Y10\nG1 Z%.1f F30\nX15 F150\n") + pass(-0.2, "X5 Y10.08\nG1 Z%.1f F30\nX15 F150\n"), 0.2},
		{"at once", pass(-0.2, "X5 Y10\nG1 Z%.1f F30\nX5.1 F150\nX5.2\nX5.3\nX6\nX6.05\nX9\n"), 0.2},
	} {
		t.Run(tc.name, func(t *testing.T) {
			l, _ := loadOf(t, plate(v), tc.text)
			require.InDelta(t, tc.want, l.Axial.Value, 0.012, "%+v", l.Axial)
		})
	}
	// The second of two lines that lie side by side meets its whole depth.
	l, _ := loadOf(t, plate(v), pass(-0.1, "X5 Y10\nG1 Z%.1f F30\nX15 F150\n")+pass(-0.2, "X5 Y10.1\nG1 Z%.1f F30\nX15 F150\n"))
	require.InDelta(t, 0.2, l.Axial.Value, 1e-3)
}

// TestCornerPeak steps into a corner: a cutter that takes a quarter of its diameter
// along a wall meets 60 degrees of it, and in the corner 90 more.
func TestCornerPeak(t *testing.T) {
	const r, ae = 1.5, 0.75
	s := plate(setup.Tool{Shape: setup.Flat, Diameter: 2 * r, CentreCuts: true})
	// A ring is cleared, then widened by ae on all sides.
	ring := func(d float64) string {
		return fmt.Sprintf("G1 X%g Y%g F200\nX%g\nY%g\nX%g\nY%g\n", 10-d, 5-d, 30+d, 15+d, 10-d, 5-d)
	}
	clear := "G0 X10 Y5\nG1 Z-0.3 F60\n" + ring(0)
	wide, _ := loadOf(t, s, clear+ring(ae))
	require.InDelta(t, 180, wide.Engagement.Value, 1) // of the slot
	// The widening alone: with the cleared ring cut by another tool number.
	other := s.Tools[0]
	other.Number = 2
	s.Tools = append(s.Tools, other)
	s.Machine.ToolChange = setup.AutoToolChange
	text := "T1 M6\nG0 Z10\nS10000 M3\n" + clear + "G0 Z10\nM5\nT2 M6\nG0 Z10\nS10000 M3\n" +
		fmt.Sprintf("G0 X%g Y10\nG1 Z-0.3 F60\nX%g F200\nY%g\nX%g\nY%g\n", 10.0, 10-ae, 15+ae, 30+ae, 5-ae)
	r2 := check(t, s, strings.Replace(before, "S10000 M3\n", "", 1)+text+after)
	require.Len(t, r2.Loads, 2, "%+v", r2.Findings)
	require.InDelta(t, 150, r2.Loads[1].Engagement.Value, 12)
	require.Contains(t, []int{23, 24, 25}, r2.Loads[1].Engagement.Line) // where a side ends
}
