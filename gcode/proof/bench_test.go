package proof_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/gcode/proof/prooftest"
)

func BenchmarkEngraving(b *testing.B) {
	for _, n := range []int{10_000, 100_000} {
		b.Run(map[int]string{10_000: "1e4", 100_000: "1e5"}[n], func(b *testing.B) {
			e := prooftest.NewEngraving(n)
			var text bytes.Buffer
			_, err := e.WriteTo(&text)
			require.NoError(b, err)
			b.ReportAllocs()
			blocks := 0
			for b.Loop() {
				r, err := proof.Check(context.Background(), e.Setup, "engraving.nc", bytes.NewReader(text.Bytes()), proof.Options{})
				require.NoError(b, err)
				require.True(b, r.Proven, "%v", r.Findings)
				blocks = r.Program.Blocks
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(blocks), "us/block")
		})
	}
}

// BenchmarkCases proves the small cases, whose cutters the map resolves.
func BenchmarkCases(b *testing.B) {
	for _, c := range prooftest.Cases() {
		b.Run(c.Name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				r, err := proof.Check(context.Background(), c.Setup, c.Name, strings.NewReader(c.Text), proof.Options{})
				require.NoError(b, err)
				require.True(b, r.Proven, "%v", r.Findings)
			}
		})
	}
}
