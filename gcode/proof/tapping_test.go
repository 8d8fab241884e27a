package proof_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// tapped is a plate of 10 mm with one hole of 2.5 mm down to Z-8 (its point to
// Z-8.75) and a thread M3 down to Z-6.
func tapped() *setup.Setup {
	const deg = math.Pi / 180
	at := geom.Pt(10, 10)
	hole := geom.RegionOf(geom.Circle(at, 1.25))
	threadHole := geom.RegionOf(geom.Circle(at, 1.5))
	return &setup.Setup{
		Name: "plate", ClearZ: 10, Approach: 0.5,
		Machine: setup.Machine{Name: "bench mill", Envelope: geom.Box3{Min: geom.Pt3(-20, -20, -20), Max: geom.Pt3(60, 60, 50)},
			SpindleMin: 100, SpindleMax: 12000, FeedMax: 1000, Rapid: 1500, ToolChange: setup.ManualToolChange,
			Practice: setup.Practice{RigidTapping: true}},
		Stock: setup.Stock{Outline: geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(20, 20), 0)), Thickness: 10, Material: "aluminium"},
		Tools: []setup.Tool{
			{Number: 1, Name: "drill", Shape: setup.Drill, Diameter: 2.5, Angle: 118 * deg, Flutes: 2, FluteLength: 20, Shank: 2.5, StickOut: 25, CentreCuts: true},
			{Number: 2, Name: "tap", Shape: setup.Tap, Diameter: 3, Pitch: 0.5, Lead: 1, Flutes: 3, FluteLength: 12, Shank: 3, StickOut: 25},
			{Number: 3, Name: "wide drill", Shape: setup.Drill, Diameter: 3.2, Angle: 118 * deg, Flutes: 2, FluteLength: 20, Shank: 3.2, StickOut: 25, CentreCuts: true},
		},
		Features: []setup.Feature{
			{Name: "hole", May: geom.RegionOf(geom.Circle(at, 1.65)), Must: hole, Floor: -8, Tol: 0.01, Tools: []int{1, 3}},
			{Name: "point", May: geom.RegionOf(geom.Circle(at, 1.65)), Floor: -10, Tol: 0.01, Tools: []int{1, 3}},
			{Name: "thread", May: threadHole, Floor: -7, Tol: 0.01, Tools: []int{2}},
		},
	}
}

const tappedText = `G21 G17 G90 G94 G40 G49 G80 G54 G61
G0 Z10
T1 M6
G0 Z10
S6000 M3
X10 Y10
Z0.5
G1 Z-8.75 F150
G0 Z10
M5
T2 M6
G0 Z10
S400 M3
X10 Y10
Z1
G99 G84 X10 Y10 Z-7 R1 F200
G80
G0 Z10
M5
M2
`

func TestTapping(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		set            func(*setup.Setup)
		says           string // "": proven
	}{
		{name: "as it should be"},
		{name: "feed of another pitch", old: "R1 F200", new: "R1 F280", says: "fed at 280 mm/min, at 400 1/min it needs 200: correct F"},
		{name: "feed kept from the drill", old: " R1 F200", new: " R1 F150", says: "it needs 200"},
		{name: "speed of the drill", old: "S400 M3", new: "S6000 M3", says: "at 6000 1/min it needs 3000"},
		{name: "hole forgotten", old: "G1 Z-8.75 F150\n", new: "", says: "or there is none: drill a hole down to Z-7.5 mm first"},
		{name: "hole too shallow", old: "Z-8.75", new: "Z-6.5", says: "runs into the bottom of its hole"},
		{name: "no room for chips", old: "Z-8.75", new: "Z-7.9", says: "less than 0.5 mm is free under the tap"},
		{name: "another hole", old: "G84 X10 Y10", new: "G84 X10 Y6", says: "or there is none"},
		{name: "no cycle", old: "G99 G84 X10 Y10 Z-7 R1 F200\nG80", new: "G1 Z-7 F200\nZ1", says: "without the spindle in step: use G84"},
		{name: "drilled by G84", old: "G1 Z-8.75 F150", new: "G99 G84 X10 Y10 Z-8.75 R0.5 F150\nG80", says: "tool 1 is no tap, but G84 runs it in step"},
		{name: "left-hand cycle", old: "S400 M3\nX10 Y10\nZ1\nG99 G84", new: "S400 M4\nX10 Y10\nZ1\nG99 G74", says: "a right-hand tap goes down while the spindle turns backwards"},
		{name: "machine cannot", set: func(s *setup.Setup) { s.Machine.Practice.RigidTapping = false }, says: "the machine does not keep spindle and feed in step"},
		{name: "hole too wide", old: "T1 M6", new: "T3 M6", says: "as wide as the tap, which cuts no thread"},
		{name: "through the plate into air", old: "Z-8.75", new: "Z-9.9", set: func(s *setup.Setup) { s.Stock.Thickness = 10 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := tapped()
			if c.set != nil {
				c.set(s)
			}
			text := tappedText
			if c.old != "" {
				require.Contains(t, text, c.old)
				text = strings.Replace(text, c.old, c.new, 1)
			}
			r, err := proof.Check(context.Background(), s, "plate.nc", strings.NewReader(text), proof.Options{})
			require.NoError(t, err)
			var said []string
			for _, f := range r.Findings {
				if f.Rule == "tapping" {
					said = append(said, f.Text)
				} else if c.says == "" && f.Severity != proof.Note {
					t.Errorf("%s: %s", f.Rule, f.Text)
				}
			}
			if c.says == "" {
				assert.True(t, r.Proven)
				return
			}
			assert.False(t, r.Proven)
			assert.Contains(t, strings.Join(said, "\n"), c.says)
		})
	}
}
