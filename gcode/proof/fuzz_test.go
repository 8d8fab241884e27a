package proof_test

import (
	"context"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"proofcut/gcode/proof"
	"proofcut/gcode/proof/prooftest"
)

// FuzzCheck feeds any text to the proof. It has to come to an end without a
// panic, to give a record that marshals, and never to prove a program that does
// not end as one has to.
func FuzzCheck(f *testing.F) {
	cases := prooftest.Cases()
	for _, c := range cases {
		f.Add(c.Text)
	}
	for _, s := range []string{
		"", "%", "%\n%\n", "M2", "G1 X1e9\nM2", "G21 G17 G90 G94 G40 G54\nG0 Z15\nT3 M6\nG43 H3\nG2 X0 Y0 I99999 J0 Z-9999 F1\nM2",
		"G91 G81 X0.001 Z-1 R1 L9999 F100\nM2", "G18 G2 X1 Z1 I1 K1 F1\nM30", "#1=[1/0]\nM2", "G93 G1 X1 F0.00001\nM2",
		"G41 D1 G1 X5 Y5 F9\nM2", "(MSG, hello)\nM30", "G0 Z10\nX999999\nM2",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, c := range cases {
			ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
			r, err := proof.Check(ctx, c.Setup, "fuzz.nc", strings.NewReader(text), proof.Options{Resolution: 0.5})
			cancel()
			if err != nil {
				if ctx.Err() == nil {
					t.Fatal(err)
				}
				continue
			}
			if _, err := json.Marshal(r); err != nil {
				t.Fatal(err)
			}
			if r.Proven && !strings.Contains(strings.ToUpper(text), "M") {
				t.Fatal("proven without a program end")
			}
		}
	})
}
