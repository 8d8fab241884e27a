package proof_test

import (
	"bytes"
	"context"
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
