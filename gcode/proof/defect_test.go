package proof_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// TestDefects puts flaws into the stock of a proven program and asks for a
// finding where a part has one in it.
func TestDefects(t *testing.T) {
	w := caseOf(t, "disc")
	part := w.Setup.Parts[0]
	r := part.Diameter / 2
	right := part.At.Add(geom.Pt(r, 0))
	for _, tc := range []struct {
		name      string
		area      geom.Region
		clearance float64
		says      string
	}{
		{"beside the part", geom.RegionOf(geom.Circle(right.Add(geom.Pt(1, 0)), 0.5)), 0.5, ""},
		{"too near", geom.RegionOf(geom.Circle(right.Add(geom.Pt(1, 0)), 0.5)), 0.6, "needs 0.6 mm"},
		{"over the edge", geom.RegionOf(geom.Slot(right.Sub(geom.Pt(1, 0)), right.Add(geom.Pt(1, 0)), 0.1)), 0, "contains some of"},
		{"wholly inside", geom.RegionOf(geom.Circle(part.At, 0.5)), 0, "contains some of"},
		{"round the part", geom.RegionOf(geom.Circle(part.At, r+2), geom.Circle(part.At, r+1)), 0, ""},
		{"all over it", geom.RegionOf(geom.Circle(part.At, r+2)), 0, "contains some of"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := *w.Setup
			s.Defects = []setup.Defect{{Name: "flaw", Area: tc.area, Clearance: tc.clearance, CutAcross: true}}
			rec := check(t, &s, w.Text)
			require.Len(t, rec.Defects, 1)
			require.Equal(t, part.Name, rec.Defects[0].Part)
			if tc.says == "" {
				require.True(t, rec.Proven)
				require.Greater(t, *rec.Defects[0].Minimum, 0.0)
				return
			}
			require.False(t, rec.Proven)
			require.Equal(t, []string{"defect"}, rules(rec, proof.Fault))
			require.Contains(t, rec.Findings[0].Text, tc.says)
		})
	}
}
