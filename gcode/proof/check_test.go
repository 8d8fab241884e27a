package proof_test

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/gcode/proof/prooftest"
	"proofcut/paths/setup"
)

var update = flag.Bool("update", false, "write the golden files anew")

func check(t testing.TB, s *setup.Setup, text string) *proof.Record {
	t.Helper()
	r, err := proof.Check(context.Background(), s, "test.nc", strings.NewReader(text), proof.Options{})
	require.NoError(t, err)
	return r
}

// TestCasesAreProven holds the records of the proven programs against golden
// files, byte for byte.
func TestCasesAreProven(t *testing.T) {
	for _, c := range prooftest.Cases() {
		t.Run(c.Name, func(t *testing.T) {
			r := check(t, c.Setup, c.Text)
			for _, f := range r.Findings {
				if c.Name == "channel" && f.Severity == proof.Caution {
					continue // it is meant to leave little to spare
				}
				t.Errorf("%d:%d %s %s: %s", f.Line, f.Col, f.Severity, f.Rule, f.Text)
			}
			require.True(t, r.Proven)
			var got bytes.Buffer
			require.NoError(t, r.WriteJSON(&got))
			golden := filepath.Join("testdata", c.Name+".golden.json")
			if *update {
				require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), got.String())
			var back proof.Record
			require.NoError(t, json.Unmarshal(got.Bytes(), &back))
		})
	}
}

// TestHostileText feeds texts that are made to exhaust a reader.
func TestHostileText(t *testing.T) {
	c := caseOf(t, "tag")
	for name, text := range map[string]string{
		"long line":       "G1 X" + strings.Repeat("1", 4<<20),
		"many brackets":   "X" + strings.Repeat("[", 1<<20),
		"long comment":    "(" + strings.Repeat("x", 4<<20),
		"great repeat":    "G21 G17 G90 G94\nG0 Z15\nT2 M6\nG43 H2\nG81 X1 Y1 Z-1 R1 L1000000000 F90\nM2",
		"great arc":       "G21 G17 G90 G94 F1\nG0 Z15\nX0 Y0\nT1 M6\nG43 H1\nG2 X0.001 Y0 I500000 J0 Z-900000\nM2",
		"far away":        "G21 G17 G90 G94\nG0 Z15\nX999999 Y-999999\nM2",
		"upright circle":  "G21 G90 G94 F1\nG0 Z15\nX0 Y0\nT1 M6\nG43 H1\nG18 G2 X0 Z15 I0 K-99999\nM2",
		"nothing":         "",
		"zero bytes":      strings.Repeat("\x00", 1<<16),
		"ends in a word":  "G1 X",
		"only line feeds": strings.Repeat("\n", 1<<16),
	} {
		t.Run(name, func(t *testing.T) {
			require.False(t, check(t, c.Setup, text).Proven)
		})
	}
}
