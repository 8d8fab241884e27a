package proof_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// tableLengths gives the tools of a case their lengths in the tool table.
func tableLengths(s *setup.Setup) {
	for i := range s.Tools {
		l := 40 + 5*float64(s.Tools[i].Number)
		s.Tools[i].Length = &l
	}
}

// TestTravelWithLengths holds heights under length offsets against the travel.
// The tag's longest reach is tool 2 (50 mm) at Z15, the lowest tool 1 (45 mm) at
// Z-0.6, tool 2 at Z-2.6: machine heights are those plus length and work offset.
func TestTravelWithLengths(t *testing.T) {
	c := caseOf(t, "tag")
	tableLengths(c.Setup)
	for _, tc := range []struct {
		z0, z1 float64 // of the travel, with the work at -100
		says   string
	}{
		{-100 + 45 - 0.6, -100 + 60 + 15, ""},
		{-100 + 45 - 0.6 + 0.01, 0, "Z goes to -55.6 mm in machine coordinates, the travel ends at -55.59 mm"},
		{-200, -100 + 60 + 15 - 0.01, "Z goes to -25 mm in machine coordinates"},
	} {
		m := &c.Setup.Machine
		m.Travel = geom.Box3{Min: geom.Pt3(0, 0, tc.z0), Max: geom.Pt3(200, 150, tc.z1)}
		m.WorkOffset = ptr3(50, 50, -100)
		r := check(t, c.Setup, c.Text)
		if tc.says == "" {
			require.True(t, r.Proven, "%+v", r.Findings)
			require.Empty(t, r.Findings)
			continue
		}
		require.Equal(t, []string{"travel"}, rules(r, proof.Fault))
		require.Contains(t, r.Findings[0].Text, tc.says)
	}
	// One length is missing: the note names the tool, the others are checked.
	c.Setup.Machine.Travel.Max.Z = 0
	c.Setup.Tools[2].Length = nil
	r := check(t, c.Setup, c.Text)
	require.True(t, r.Proven, "%+v", r.Findings)
	require.Equal(t, []string{"travel-height"}, rules(r, proof.Note))
	require.Contains(t, r.Findings[0].Text, "tool 3")
	require.Equal(t, 42, r.Findings[0].Line)
}

// TestLengths follows the tip of the tool through changes of tool and offset.
func TestLengths(t *testing.T) {
	for _, tc := range []struct {
		name, old, new string
		change         func(s *setup.Setup)
		rule           string // empty: proven
		line           int
		says           string
	}{
		{name: "as it is"},
		// The second tool is 5 mm longer: from Z15 it comes down to Z10, which is
		// no clear height, but known: the way to the hole leads straight there.
		{name: "no new height after the change", old: "G43 H2\nG0 Z15", new: "G43 H2"},
		{name: "without lengths that is not known", old: "G43 H2\nG0 Z15", new: "G43 H2",
			change: func(s *setup.Setup) { s.Tools[1].Length = nil }, rule: "start"},
		{name: "much longer tool", change: func(s *setup.Setup) { *s.Tools[1].Length += 10.2 }, rule: "tool", line: 29,
			says: `the tip of tool 2 would be at Z-0.2 mm where it is loaded, too low over the stock: rise by 0.2 mm before M6`},
		{name: "longer tool beside a clamp", old: "G0 Z15\nM9\nM5\nT2 M6", new: "G0 Z15\nX24 Y2\nM9\nM5\nT2 M6",
			change: func(s *setup.Setup) { *s.Tools[1].Length += 4 }, rule: "tool", line: 30, says: `too low over zone "clamp": rise by 0.5 mm before M6`},
		{name: "no length offset", old: "G43 H2\n", new: "", rule: "length-offset", line: 30,
			says: "tool 2 moves with length offset 1, so that its tip is 5 mm lower than the program says: use G43 H2"},
		{name: "no length offset at all", old: "N40 G43 H1\n", new: "", rule: "envelope", line: 5, says: "Z goes to -30 mm"},
		{name: "offset of a longer tool", old: "G43 H2", new: "G43 H4", rule: "length-offset", line: 31, says: "10 mm higher"},
		{name: "offset of a shorter tool", old: "G43 H2", new: "G43 H1", rule: "backing", says: "Z-7.6"},
		{name: "offset cancelled on the way", old: "G0 Z15\nS9000 M3", new: "G0 Z15\nG49\nS9000 M3\nX0", rule: "length-offset", says: "50 mm lower"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := caseOf(t, "tag")
			c.Setup.Machine.Envelope.Min.Z = -20
			tableLengths(c.Setup)
			if tc.change != nil {
				tc.change(c.Setup)
			}
			require.Contains(t, c.Text, tc.old)
			r := check(t, c.Setup, strings.Replace(c.Text, tc.old, tc.new, 1))
			if tc.rule == "" {
				require.True(t, r.Proven, "%+v", r.Findings)
				require.Empty(t, r.Findings)
				return
			}
			require.False(t, r.Proven)
			for _, f := range r.Findings {
				if f.Rule == tc.rule && (tc.line == 0 || f.Line == tc.line) && strings.Contains(f.Text, tc.says) {
					return
				}
			}
			t.Errorf("no %s at line %d that says %q: %+v", tc.rule, tc.line, tc.says, r.Findings)
		})
	}
}
