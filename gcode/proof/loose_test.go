package proof_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// twoDiscs is a strip of 40 x 20 x 2 mm on a backing, with two discs of 8 mm and a
// screw in its corner, to be cut with a mill of 2 mm.
func twoDiscs() *setup.Setup {
	stock := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(40, 20), 0))
	s := &setup.Setup{
		Name: "strip", ClearZ: 10, Approach: 0.5,
		Machine: setup.Machine{Name: "bench mill", Envelope: geom.Box3{Min: geom.Pt3(-20, -20, -20), Max: geom.Pt3(60, 60, 50)},
			SpindleMin: 100, SpindleMax: 24000, FeedMax: 1000, Rapid: 1500},
		Stock: setup.Stock{Outline: stock, Thickness: 2, Material: "brass", Backing: setup.Backing{Present: true, Material: "MDF", Depth: 0.2}},
		Zones: []setup.Zone{{Name: "screw", Area: geom.RegionOf(geom.Circle(geom.Pt(37, 17), 2)), Bottom: -2, Top: 3, Clearance: 0.2}},
		Tools: []setup.Tool{{Number: 1, Name: "end mill", Shape: setup.Flat, Diameter: 2, Flutes: 2, FluteLength: 6, Shank: 3, StickOut: 15, CentreCuts: true}},
	}
	for i, x := range []float64{10, 24} {
		at := geom.Pt(x, 10)
		s.Parts = append(s.Parts, setup.Part{Name: fmt.Sprintf("disc %d", i+1), At: at, Outline: geom.RegionOf(geom.Circle(at, 4))})
	}
	return s
}

// round cuts round a disc at x from one angle to another, in degrees, at a depth.
func round(x, from, to, z float64) string {
	at := func(a float64) (float64, float64) {
		sin, cos := math.Sincos(a * math.Pi / 180)
		return x + 5*cos, 10 + 5*sin
	}
	x0, y0 := at(from)
	text := fmt.Sprintf("G0 X%.4f Y%.4f\nZ0.5\nG1 Z%g F50\n", x0, y0, z)
	for a := from; a < to; a += 45 {
		x1, y1 := at(min(a+45, to))
		x2, y2 := at(a)
		text += fmt.Sprintf("G3 X%.4f Y%.4f I%.4f J%.4f F100\n", x1, y1, x-x2, 10-y2)
	}
	return text + "G0 Z10\n"
}

// frame cuts along a rectangle round both discs.
func frame(z float64) string {
	return fmt.Sprintf("G0 X3 Y3\nZ0.5\nG1 Z%g F50\nX31 F100\nY17\nX3\nY3\nG0 Z10\n", z)
}

func TestPartLoose(t *testing.T) {
	const head = "G21 G17 G90 G94 G40 G49 G80 G54 G61\nG0 Z10\nS12000 M3\n"
	for _, c := range []struct {
		name, body string
		set        func(*setup.Setup)
		says       []string
	}{
		{name: "a skin", body: round(10, 0, 360, -1.9) + round(24, 0, 360, -1.9)},
		{name: "just through", body: round(10, 0, 360, -2), says: []string{`part "disc 1" comes loose`}},
		{name: "one through, in the middle of the program", body: round(10, 0, 360, -2.1) + round(24, 0, 360, -1.9), says: []string{`part "disc 1" comes loose`}},
		{name: "both", body: round(10, 0, 360, -2.1) + round(24, 0, 360, -2.1), says: []string{`"disc 1"`, `"disc 2"`}},
		{name: "a bridge", body: round(10, 30, 345, -2.1) + round(24, 0, 330, -2.1)},
		{name: "a bridge that the cutter takes", body: round(10, 20, 360, -2.1), says: []string{`"disc 1"`}},
		{name: "the rest of the bridge later", body: round(10, 40, 360, -2.1) + round(24, 0, 360, -1.9) + round(10, 0, 40, -2.1), says: []string{`"disc 1"`}},
		{name: "glued", body: round(10, 0, 360, -2.1), set: func(s *setup.Setup) { s.Stock.Backing.Glued = true }},
		{name: "bridges to a piece that is cut free", body: round(10, 40, 330, -2.1) + round(24, 40, 330, -2.1) + frame(-2.1),
			says: []string{`part "disc 1" hangs only on what has come loose`, `part "disc 2" hangs only`}},
		{name: "bridges to a piece that a skin holds", body: round(10, 40, 330, -2.1) + round(24, 40, 330, -2.1) + frame(-1.9)},
		{name: "nothing says what holds", body: round(10, 40, 330, -2.1) + round(24, 40, 330, -2.1) + frame(-2.1), set: func(s *setup.Setup) { s.Zones = nil }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := twoDiscs()
			if c.set != nil {
				c.set(s)
			}
			text := head + c.body + "M5\nM2\n"
			r, err := proof.Check(context.Background(), s, "strip.nc", strings.NewReader(text), proof.Options{})
			require.NoError(t, err)
			var said []proof.Finding
			for _, f := range r.Findings {
				require.NotEqual(t, "language", f.Rule, f.Text)
				if f.Rule == "part-loose" {
					said = append(said, f)
				}
			}
			require.Len(t, said, len(c.says))
			for i, text := range c.says {
				assert.Contains(t, said[i].Text, text)
				assert.Positive(t, said[i].Line)
			}
		})
	}
}

// The block that is named is the last cut round the part, not the program's last.
func TestPartLooseNamesTheCut(t *testing.T) {
	text := "G21 G17 G90 G94 G40 G49 G80 G54 G61\nG0 Z10\nS12000 M3\n" + round(10, 0, 360, -2.1)
	last := strings.Count(text, "\n") - 1 // before the retract
	text += round(24, 0, 360, -1.9) + "M5\nM2\n"
	r, err := proof.Check(context.Background(), twoDiscs(), "strip.nc", strings.NewReader(text), proof.Options{})
	require.NoError(t, err)
	for _, f := range r.Findings {
		if f.Rule == "part-loose" {
			assert.Equal(t, last, f.Line)
			return
		}
	}
	t.Fatal("not found")
}
