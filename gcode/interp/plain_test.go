package interp_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/interp"
	"proofcut/gcode/proof/prooftest/differ"
	"proofcut/paths/geom"
)

// The worked examples and the error conditions mean the same to the reader that
// shares nothing with this package.
func TestPlainReaderAgrees(t *testing.T) {
	for _, inch := range []bool{false, true} {
		o := interp.Options{Start: geom.Pt3(1, 2, 5), Inch: inch, Tools: map[int]interp.Tool{1: {Diameter: 0.5}, 2: {Diameter: 1}, 3: {Length: 50, Diameter: 3}, 4: {Diameter: -0.5}}}
		for _, text := range interp.Texts() {
			require.Empty(t, differ.Read(text, o).Diff, text)
		}
	}
}
