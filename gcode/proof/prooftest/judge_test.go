package prooftest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What the judge calls harmful, where programs end that it cannot judge.
func TestJudge(t *testing.T) {
	for _, c := range []struct {
		c        Case
		old, new string
		out      Outcome
		harm     string // "": none
	}{
		{c: Tapped()},
		{Tapped(), "R1 F200", "R1 F280", Runs, "tap goes 0.70 mm a turn"},
		{Tapped(), "R1 F200", "R1 F205", Runs, ""}, // not beyond argument
		{Tapped(), "Z-6.5", "Z-4", Runs, "tap runs onto the bottom"},
		{Tapped(), "G84 X5 Y6", "G84 X5 Y9", Runs, "clamp"},
		{Tapped(), "G84", "G81", Runs, "rapid rate"},
		{Tapped(), "G84", "G85", Runs, "tap does not turn"},
		{Tapped(), "G84", "G74", Refused, ""},
		{Tapped(), "G99 G84 X5 Y6 Z-4.5 R1 F200", "G1 Z-2 F200\nX5.1", Runs, "tap goes sideways"},
		{c: Sloping()},
		{Sloping(), "Y1 Z-0.25", "Y1 Z-0.35", Runs, "has to stay"},
		{Sloping(), "X18 Y1\nZ0.5", "X18 Y1\nZ-0.3", Runs, ""}, // air there, and not at the other end
		{Sloping(), "X18 Y1\nZ0.5", "Z-0.3\nX18 Y1", Runs, "rapid into material"},
		{Disc(), "X35 Z-1\n", "X35 Z-1.1\n", Runs, "has to stay"},
		{Disc(), "X26\nG0 Z10", "X26\n#5223=-1\nG0 Z10", Unread, ""},
		{Disc(), "X26\nG0 Z10", "X26\nG200\nG0 Z10", Refused, ""},
		{Disc(), "X26\nG0 Z10", "X26\nG0 X5\n#5223=-1\nG0 Z10", Unread, "rapid into material"}, // harm comes first
	} {
		require.Contains(t, c.c.Text, c.old)
		j, err := NewJudge(c.c.Setup, c.c.Text)
		require.NoError(t, err)
		harms, out, fault := j.Harms(strings.Replace(c.c.Text, c.old, c.new, 1))
		if c.harm == "" {
			require.Empty(t, harms, c.new)
			require.Equal(t, c.out, out, c.new)
			require.Equal(t, c.out == Runs, fault == nil, "%s: %v", c.new, fault)
			continue
		}
		require.NotEmpty(t, harms, c.new)
		require.Contains(t, harms[0].What, c.harm, c.new)
	}
}
