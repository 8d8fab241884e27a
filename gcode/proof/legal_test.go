package proof_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/setup"
)

// TestLegalAndDangerous looks for words that every control takes and that mean
// something else than they seem to. says is empty where nothing is to be found.
func TestLegalAndDangerous(t *testing.T) {
	holes := "G99 G83 X20 Y6 Z-2.6 R1 Q0.8 F90\nX20 Y12\nG80\n"
	for _, tc := range []struct {
		name, program, old, new string
		rule                    string
		line                    int
		says                    string
	}{
		{"F with the other unit", "disc", "G1 Z0 F80\nX35 Z-0.35 F200\n", "G20 F7.8\nG1 G21 Z0 F80\nX35 Z-0.35 F200\n", "feed-unit", 11, "read in the old one"},
		{"F with the same unit", "disc", "X35 Z-0.35 F200", "G21 X35 Z-0.35 F200", "feed-unit", 0, ""},
		{"F before the unit", "disc", "G21 G17", "F80\nG21 G17", "inherited", 0, ""}, // another F comes before the first cut
		{"feed of the header", "disc", "G21 G17 G90 G94 G40 G49 G80 G54 G61\nG0 Z10\nS18000 M3\nG4 P3\nG0 X26 Y6\nZ0.5\nG1 Z0 F80",
			"G21 G17 G90 G94 G40 G49 G80 G54 F80\nG0 Z10\nS18000 M3\nG4 P3\nG0 X26 Y6\nZ0.5\nG1 Z0", "inherited", 10, "the feed of line 4 was read in the unit that an earlier program left"},
		{"no G40", "disc", " G40", "", "inherited", 5, "radius compensation (G40)"},
		{"no G54", "disc", " G54", "", "inherited", 5, "work system (G54)"},
		{"no retract mode", "tag", "G99 G83", "G83", "inherited", 35, "set G98 or G99"},
		{"kept under G91", "tag", holes, "G99 G83 X20 Y6 Z-2.6 R1 Q0.8 F90\nG91 X0 Y6\nG90 G80\n", "kept-words", 36, "the cycle keeps its Z word, given under G90 G21, and now runs under G91 G21: give Z again"},
		{"given again under G91", "tag", holes, "G99 G83 X20 Y6 Z-2.6 R1 Q0.8 F90\nG91 X0 Y6 Z-3.6 R0\nG90 G80\n", "kept-words", 0, ""},
		{"peck kept under G20", "tag", holes, "G99 G83 X20 Y6 Z-2.6 R1 Q0.8 F90\nG20 X0.7874 Y0.4724 Z-.1024 R0.0394\nG21 G80\n", "kept-words", 36, "its Q word"},
		{"another cycle", "tag", holes, "G99 G83 X20 Y6 Z-2.6 R1 Q0.8 F90\nG80\nG91 G83 X0 Y6 Z-3.6 R0 Q0.8\nG90 G80\n", "kept-words", 0, ""},
		{"repeated in place", "tag", "X20 Y12\nG80", "X20 Y12 L2\nG80", "repeat-in-place", 36, "repeated 2 times at the same place"},
		{"repeated in a row", "tag", "X20 Y12\nG80", "G91 X0 Y6 Z-3.6 R0 L2\nG90 G80", "repeat-in-place", 0, ""},
		{"half circle by its radius", "name", "X0.2362 Y0.0984 I-0.0394 J0.0000", "X0.2362 Y0.0984 R0.0394", "radius-arc", 0, "give the centre with I, J or K"},
		{"third of a circle by its radius", "disc", "X2 Y28\nM5", "X2 Y28\nG2 X6 Y28 R2.2 F200\nM5", "radius-arc", 0, ""},
		{"short arc of a great radius", "disc", "X2 Y28\nM5", "X2 Y28\nG2 X2.1 Y28 R200 F200\nM5", "radius-arc", 0, ""},
		{"most of a circle by its radius", "disc", "X2 Y28\nM5", "X2 Y28\nG2 X2.05 Y28 R-2 F200\nM5", "radius-arc", 32, "moves it by 0.04"},
		{"diameter of the table", "tag", "G0 Z15\n", "G0 Z15\nG0 X40 Y20\nG41 D1 X30 Y20\nX28\nG40 X40\n", "table-diameter", 8, "for D1: before the start make sure that it is 2 mm"},
		{"diameter of no table", "disc", "G4 P3\nG0 X26 Y6", "G4 P3\nG0 X50 Y50\nG41 D1 X40 Y40\nG40 X26 Y6", "machine-word", 9, "keeps no tool table to take the diameter from"},
		{"long dwell", "disc", "G4 P3\n", "G4 P3000\n", "dwell", 7, "3000 s, its P counts seconds"},
		{"dwell and a place", "disc", "G4 P3\nG0 X26 Y6", "G4 P3 G0 X26 Y6", "dwell", 7, "put them on two blocks"},
		{"overrides off", "disc", "G4 P3\n", "G4 P3 M49\n", "override-off", 7, "M48"},
		{"stop in the cut", "disc", "X26\nG0 Z10", "X26\nM0\nG0 Z10", "stop-in-cut", 15, "the program stops while"},
		{"optional stop in the cut", "disc", "X26\nG0 Z10", "X26\nM1\nG0 Z10", "stop-in-cut", 15, "the program stops while"},
		{"stop at the clear height", "disc", "X26\nG0 Z10", "X26\nG0 Z10\nM0", "stop-in-cut", 0, ""},
		{"tool not loaded", "tag", "S9000 M3", "S9000 M3 T4", "", 0, ""}, // loaded later
		{"last tool not loaded", "tag", "M30", "T1\nM30", "tool-not-loaded", 73, "tool 1 was selected and never loaded"},
		{"after the end", "disc", "M30\n", "M30\n(notes)\n\nG0 X5\n", "after-end", 36, "never executed"},
		{"after the text", "disc", "M30\n%", "M30\n%\n\n(again) G0 X5\n", "after-end", 36, "never executed"},
		{"notes after the end", "disc", "M30\n", "M30\n(notes)\n\n", "after-end", 0, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := caseOf(t, tc.program)
			require.Contains(t, c.Text, tc.old)
			r := check(t, c.Setup, strings.Replace(c.Text, tc.old, tc.new, 1))
			for _, f := range r.Findings {
				if f.Rule != tc.rule {
					continue
				}
				require.NotEmpty(t, tc.says, "%+v", f)
				if strings.Contains(f.Text, tc.says) && (tc.line == 0 || tc.line == f.Line) {
					return
				}
			}
			require.Empty(t, tc.says, "%+v", r.Findings)
		})
	}
}

// TestPractice switches on what a control knows beyond the published language.
func TestPractice(t *testing.T) {
	for _, tc := range []struct {
		name, old, new string
		on             func(p *setup.Practice)
	}{
		{"semicolon", "M30", "M30 ; the end", func(p *setup.Practice) { p.SemicolonComments = true }},
		{"high-speed peck", "G99 G83 X20", "G99 G73 X20", func(p *setup.Practice) { p.HighSpeedPeck = true }},
		{"subprogram", "M30", "M98 P1\nM30\nO1\nM99", func(p *setup.Practice) { p.Subprograms = true }},
		{"milliseconds", "G4 P2.5", "G4 P2500", func(p *setup.Practice) { p.DwellMilliseconds = true }},
	} {
		c := caseOf(t, "tag")
		text := strings.ReplaceAll(c.Text, tc.old, tc.new)
		require.NotEqual(t, c.Text, text, tc.name)
		r := check(t, c.Setup, text)
		require.False(t, len(r.Findings) == 0, tc.name)
		tc.on(&c.Setup.Machine.Practice)
		r = check(t, c.Setup, text)
		require.True(t, r.Proven, "%s: %+v", tc.name, r.Findings)
		require.Empty(t, r.Findings, tc.name)
	}
}
