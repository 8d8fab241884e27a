package proof_test

import (
	"context"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof/prooftest"
)

// TestFaultInjection puts faults into proven programs. Which do harm is decided
// by an independent judge. PROOFCUT_LONG=1 runs the full number of mutants.
func TestFaultInjection(t *testing.T) {
	mutants := 60
	if os.Getenv("PROOFCUT_LONG") != "" {
		mutants = 20000
	}
	r, err := prooftest.Run(context.Background(), mutants, 1, nil)
	require.NoError(t, err)
	t.Logf("%d kinds, %d mutants: %d harmful, %d caught, %d refused by the language, %d not read, %d benign of which %d not proven",
		r.Kinds, r.Mutants, r.Harmful, r.Caught, r.Refused, r.Unread, r.Benign, r.Strict)
	for _, m := range r.Misses {
		t.Logf("missed: %s\n%s", m, m.Text)
	}
	require.Zero(t, r.FalseAlarms)
	require.GreaterOrEqual(t, float64(r.Caught), 0.999*float64(r.Harmful))
}

// TestEveryKindApplies checks that no kind of fault has lost its target in the
// test programs.
func TestEveryKindApplies(t *testing.T) {
	kinds := prooftest.Kinds()
	require.GreaterOrEqual(t, len(kinds), 40)
	for i, k := range kinds {
		applies := false
		for _, c := range prooftest.Cases() {
			for n := range 20 {
				text, ok := k.Mutate(rand.New(rand.NewPCG(uint64(i), uint64(n))), c.Text)
				applies = applies || ok && text != c.Text
			}
		}
		require.True(t, applies, k.Name)
	}
}
