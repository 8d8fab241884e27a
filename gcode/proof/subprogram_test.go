package proof_test

import (
	"context"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
)

// TestSubprograms calls the disc's turns as a subprogram, which the machine has
// to know, and looks into subprograms as into the rest of the text.
func TestSubprograms(t *testing.T) {
	c := caseOf(t, "disc")
	c.Setup.Machine.Practice.Subprograms = true
	turn := regexp.MustCompile(`(?m)^G2 X22.207 Y15 I-7.207 J0\n`)
	require.Len(t, turn.FindAllString(c.Text, -1), 1)
	text := turn.ReplaceAllString(c.Text, "M98 P100\n")
	with := func(body string) string {
		return strings.Replace(text, "M30\n", "M30\nO100\n"+body+"M99\n", 1)
	}
	const last = "G2 X22.207 Y15 I-7.207 J0\n"
	r := check(t, c.Setup, with(last))
	require.True(t, r.Proven, "%+v", r.Findings)
	for _, tc := range []struct{ name, body, rule string }{
		{"home", "G28\n" + last, "unknown-position"},
		{"other work system", "G55\n" + last, "unknown-position"},
		{"parameter of an earlier program", "G1 Z#100\n" + last, "inherited"},
		{"origin set by its parameter", "#5221=1\n" + last, "unknown-position"},
		{"too deep", "G1 Z-3.2\n" + last, "depth"},
		{"left out", "", "left-standing"},
		{"missing", "M98 P7\n", "language"},
		{"endless", "M98 P100\n", "language"},
	} {
		r := check(t, c.Setup, with(tc.body))
		require.Contains(t, rules(r, proof.Fault), tc.rule, "%s: %+v", tc.name, r.Findings)
	}
	// A parameter that was set before the call is the program's own.
	r = check(t, c.Setup, strings.Replace(with("#2=[#1+0.207]\nG2 X#2 Y15 I-7.207 J0\n"), "M98 P100", "#1=22\nM98 P100", 1))
	require.True(t, r.Proven, "%+v", r.Findings)
	// In the main program it is set in time, in the subprogram it is not.
	r = check(t, c.Setup, strings.Replace(with("G2 X#1 Y15 I-7.207 J0\n"), "M98 P100", "M98 P100\n#1=22.207", 1))
	require.Contains(t, rules(r, proof.Fault), "inherited")
	c.Setup.Machine.Practice.Subprograms = false
	r = check(t, c.Setup, with(last))
	require.Contains(t, rules(r, proof.Fault), "language")
}

// TestCalmSubprograms cancels a program that calls on and on without an action.
func TestCalmSubprograms(t *testing.T) {
	c := caseOf(t, "disc")
	c.Setup.Machine.Practice.Subprograms = true
	ctx, cancel := context.WithCancel(context.Background())
	text := "M98 P1 L9999\nM30\nO1\nM98 P2 L9999\nM99\nO2\nM98 P3 L9999\nM99\nO3\nM99\n"
	go func() { // after the text is read
		for range 1000 {
			runtime.Gosched()
		}
		cancel()
	}()
	_, err := proof.Check(ctx, c.Setup, "calm.nc", strings.NewReader(text), proof.Options{})
	require.ErrorIs(t, err, context.Canceled)
}
