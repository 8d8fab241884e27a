package proof_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// blank is a set-up in which everything may be cut with one tool.
func blank(tool setup.Tool, accel float64) *setup.Setup {
	tool.Number, tool.Flutes = 1, 2
	if tool.FluteLength == 0 {
		tool.FluteLength, tool.Shank, tool.StickOut = 10, tool.Diameter/2, 30
	}
	tool.CentreCuts = true
	stock := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(20, 10), 0))
	return &setup.Setup{
		Name: "blank",
		Machine: setup.Machine{Envelope: geom.Box3{Min: geom.Pt3(-50, -50, -10), Max: geom.Pt3(200, 200, 100)},
			SpindleMax: 30000, FeedMax: 6000, Rapid: 6000, Accel: accel},
		Stock:    setup.Stock{Outline: stock, Thickness: 5},
		Tools:    []setup.Tool{tool},
		Features: []setup.Feature{{Name: "all", May: stock, Floor: -5, Tol: 0.01}},
		ClearZ:   10, Approach: 1,
	}
}

const (
	before = "G21 G17 G90 G94 G40 G54 G61\nG0 Z10\nS10000 M3\n"
	after  = "\nG0 Z10\nM5\nM2\n"
)

// TestVolumes holds the removed material against closed forms.
func TestVolumes(t *testing.T) {
	flat := setup.Tool{Shape: setup.Flat, Diameter: 2}
	ball := setup.Tool{Shape: setup.Ball, Diameter: 2}
	vee := setup.Tool{Shape: setup.Vee, Diameter: 4, Angle: math.Pi / 3}
	segment := math.Acos(0.4) - 0.4*math.Sqrt(0.84) // of a unit circle, 0.6 high
	tan := math.Tan(math.Pi / 6)
	for _, tc := range []struct {
		name, text string
		tool       setup.Tool
		res        float64
		want       float64
	}{
		{"slot", "G0 X5 Y5\nG1 Z-1 F500\nX15", flat, 0, 10*2 + math.Pi},
		{"slanting slot", "G0 X4 Y3\nG1 Z-1 F500\nX12.1 Y6.9", flat, 0.02, math.Hypot(8.1, 3.9)*2 + math.Pi},
		{"ramped slot", "G0 X5 Y5\nG1 Z0 F500\nX15 Z-1\nX5", flat, 0, 10*2 + math.Pi},
		{"helix-bored hole", "G0 X11 Y5\nG1 Z0 F500\nG2 I-1 J0 X11 Y5 Z-1\nG2 I-1 J0 X11 Y5 Z-2\nG2 I-1 J0 X11 Y5", flat, 0, math.Pi * 4 * 2},
		{"ball groove", "G0 X5 Y5\nG1 Z-0.6 F500\nX15", ball, 0.02, segment*10 + math.Pi*0.36*(3-0.6)/3},
		{"vee groove", "G0 X5 Y5\nG1 Z-0.5 F500\nX15", vee, 0.01, 0.25*tan*10 + math.Pi*math.Pow(0.5*tan, 2)*0.5/3},
		{"round slot", "G0 X13 Y5\nG1 Z-1 F500\nG3 X13 Y5 I-3 J0", flat, 0, math.Pi * (16 - 4)},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r, err := proof.Check(context.Background(), blank(tc.tool, 0), tc.name, strings.NewReader(before+tc.text+after), proof.Options{Resolution: tc.res})
			require.NoError(t, err)
			require.True(t, r.Proven, "%+v", r.Findings)
			require.InEpsilon(t, tc.want, r.Material.Removed, 0.005)
		})
	}
}

// TestTimes holds times against closed forms of trapezoidal motion.
func TestTimes(t *testing.T) {
	tool := setup.Tool{Shape: setup.Flat, Diameter: 2}
	// The first rapid starts at an unknown place and takes no time.
	const rapid, up = 100.0, 10.0 // mm/s of the machine, mm from Z0 to Z10
	for _, tc := range []struct {
		name, text string
		accel      float64
		want       func(a float64) float64
	}{
		{"constant rate", "G0 X0 Y0\nZ0\nG1 X60 F600", 0, func(float64) float64 { return up/rapid + 6 + up/rapid }},
		{"dwell", "G0 X0 Y0\nG4 P2.5", 0, func(float64) float64 { return 2.5 }},
		{"trapezoid", "G0 X0 Y0\nZ0\nG1 X60 F600", 20, func(a float64) float64 {
			return 2*2*math.Sqrt(up/a) + 60/10.0 + 10/a // rapids too short to reach their rate
		}},
		{"triangle", "G0 X0 Y0\nZ0\nG1 X1 F6000", 100, func(a float64) float64 { return 2*2*math.Sqrt(up/a) + 2*math.Sqrt(1/a) }},
		{"no stop in a straight run", "G0 X0 Y0\nZ0\nG1 X20 F600\nX40\nX60", 20, func(a float64) float64 {
			return 2*2*math.Sqrt(up/a) + 60/10.0 + 10/a
		}},
		{"stop at a corner", "G0 X0 Y0\nZ0\nG1 X20 F600\nY20", 20, func(a float64) float64 {
			return 2*2*math.Sqrt(up/a) + 2*(20/10.0+10/a)
		}},
		{"smooth arc", "G0 X0 Y0\nZ0\nG1 X20 F600\nG3 X20 Y20 I0 J10\nG1 X0", 20, func(a float64) float64 {
			return 2*2*math.Sqrt(up/a) + (40+10*math.Pi)/10 + 10/a
		}},
		{"faster along", "G0 X0 Y0\nZ0\nG1 X20 F600\nX40 F1200", 20, func(a float64) float64 {
			// 0 to 10, then 10 to 20 and down to 0, mm/s
			first := 10/a + (20-100/(2*a))/10
			ramps := (2*400.0 - 100) / (2 * a)
			return 2*2*math.Sqrt(up/a) + first + (40-10)/a + (20-ramps)/20
		}},
		{"inverse time", "G0 X0 Y0\nZ0\nG93 G1 X60 F10\nG94", 0, func(float64) float64 { return 2*up/rapid + 6 }},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := blank(tool, tc.accel)
			s.Stock.Outline = geom.RegionOf(geom.Rect(geom.Pt(-90, -90), geom.Pt(-80, -80), 0))
			r := check(t, s, before+tc.text+after)
			require.InDelta(t, tc.want(tc.accel), r.Time, 2e-6, fmt.Sprintf("%+v", r.Findings))
		})
	}
}

// TestRecordIsTheSameEachTime checks the promise of equal bytes.
func TestRecordIsTheSameEachTime(t *testing.T) {
	c := caseOf(t, "tag")
	require.Equal(t, check(t, c.Setup, c.Text), check(t, c.Setup, c.Text))
}
