package proof_test

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/gcode/proof/prooftest"
	"proofcut/paths/setup"
)

func check(t testing.TB, s *setup.Setup, text string) *proof.Record {
	t.Helper()
	r, err := proof.Check(context.Background(), s, "test.nc", strings.NewReader(text), proof.Options{})
	require.NoError(t, err)
	return r
}

func TestCasesAreProven(t *testing.T) {
	for _, c := range prooftest.Cases() {
		t.Run(c.Name, func(t *testing.T) {
			r := check(t, c.Setup, c.Text)
			for _, f := range r.Findings {
				t.Errorf("%d:%d %s %s: %s", f.Line, f.Col, f.Severity, f.Rule, f.Text)
			}
			require.True(t, r.Proven)
			b, err := json.MarshalIndent(r, "", " ")
			require.NoError(t, err)
			t.Log(string(b))
		})
	}
}
