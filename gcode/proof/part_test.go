package proof_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/proof"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// twoParts is a plate with a tag of 20 x 10 mm with rounded corners and a disc
// of 8 mm diameter beside it, both cut round with a 2 mm end mill, and a pocket in
// the tag. A skin of 0.2 mm stays under the cuts.
func twoParts() *setup.Setup {
	const tol = 0.01
	tag := geom.RegionOf(geom.Rect(geom.Pt(5, 5), geom.Pt(25, 15), 2))
	disc := geom.RegionOf(geom.Circle(geom.Pt(35, 10), 4))
	plate := geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(44, 20), 0))
	minus := func(a, b geom.Region) geom.Region {
		r, err := geom.Difference(a, b)
		if err != nil {
			panic(err)
		}
		return r
	}
	grow := func(a geom.Region, d float64) geom.Region {
		r, err := geom.Offset(a, d, geom.OffsetOptions{})
		if err != nil {
			panic(err)
		}
		return r
	}
	s := blank(setup.Tool{Shape: setup.Flat, Diameter: 2, FluteLength: 8, Shank: 2, StickOut: 20}, 0)
	s.Stock = setup.Stock{Outline: plate, Thickness: 2, Backing: setup.Backing{Present: true, Material: "aluminium", Depth: 0.3}}
	s.Features = []setup.Feature{
		{Name: "tag", May: minus(grow(plate, 4), tag), Must: minus(grow(tag, 2-tol), grow(tag, tol)), Around: tag, Floor: -1.8, Tol: tol},
		{Name: "disc", May: minus(grow(plate, 4), disc), Must: minus(grow(disc, 2-tol), grow(disc, tol)), Around: disc, Floor: -1.8, Tol: tol},
		{Name: "pocket", May: geom.RegionOf(geom.Rect(geom.Pt(8, 8), geom.Pt(16, 11), 1)), Must: geom.RegionOf(geom.Rect(geom.Pt(8+tol, 8+tol), geom.Pt(16-tol, 11-tol), 1)), Floor: -0.5, Tol: tol},
	}
	s.Parts = []setup.Part{
		{Name: "tag", At: geom.Pt(5, 5), Outline: tag, Skin: 0.2},
		{Name: "disc", At: geom.Pt(35, 10), Diameter: 8, Skin: 0.2},
	}
	return s
}

// The program cuts the tag, then the disc, then the pocket.
const (
	tagCut = "G0 X4 Y10\nZ1\nG1 Z-1.8 F200\nG1 Y13 F500\nG2 X7 Y16 I3 J0\nG1 X23\nG2 X26 Y13 I0 J-3\nG1 Y7\nG2 X23 Y4 I-3 J0\nG1 X7\nG2 X4 Y7 I0 J3\nG1 Y10\nG0 Z10\n"
	tagOff = "G0 X%[1]g Y10\nZ1\nG1 Z-1.8 F200\nG1 Y13 F500\nG2 X7 Y%[2]g I%[3]g J0\nG1 X23\nG2 X%[4]g Y13 I0 J-%[3]g\nG1 Y7\nG2 X23 Y%[5]g I-%[3]g J0\nG1 X7\nG2 X%[1]g Y7 I0 J%[3]g\nG1 Y10\nG0 Z10\n"
	disCut = "G0 X30 Y10\nZ1\nG1 Z-1.8 F200\nG2 X30 Y10 I5 J0 F500\nG0 Z10\n"
	pocket = "G0 X9 Y9\nZ1\nG1 Z-0.5 F200\nX15 F500\nY10\nX9\nY9\nG0 Z10\n"
)

// off is the tag cut with the tool a distance from where it should be.
func off(d float64) string {
	return fmt.Sprintf(tagOff, 4-d, 16+d, 3+d, 26+d, 4-d)
}

// TestParts breaks what is asked of parts, one at a time.
func TestParts(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		change     func(s *setup.Setup)
		rules      []string // nil: proven
		says       string
	}{
		{name: "as it is", text: tagCut + disCut + pocket},
		{name: "within tolerance", text: off(0.009) + disCut + pocket},
		{name: "tag too large", text: off(0.03) + disCut + pocket, rules: []string{"part-outline"}, says: `part "tag" is not cut to its outline on 56.8`},
		{name: "tag too small", text: off(-0.03) + disCut + pocket, rules: []string{"part-entered", "part-outline"}, says: `part "tag" is cut 0.03 mm into its outline, 0.01 mm is allowed`},
		{name: "one side too large", text: strings.Replace(tagCut, "G1 X23\nG2 X26 Y13 I0 J-3", "G1 X9\nY16.04\nX21\nY16\nX23\nG2 X26 Y13 I0 J-3", 1) + disCut + pocket, rules: []string{"part-outline"}, says: "stands off by up to 0.04 mm"},
		{name: "tag not closed", text: strings.Replace(tagCut, "G1 Y10\nG0 Z10", "G0 Z10", 1) + disCut + pocket, rules: []string{"part-outline", "left-standing"}, says: "of its edge"},
		{name: "tag not cut", text: disCut + pocket, rules: []string{"part-outline", "left-standing"}, says: `no cut goes round part "tag"`},
		{name: "disc too large", text: tagCut + strings.NewReplacer("X30", "X29.97", "I5", "I5.03").Replace(disCut) + pocket, rules: []string{"part-size"}, says: `no cut goes round part "disc": the nearest stands 0.03 mm off its diameter of 8 mm`},
		{name: "disc too small", text: tagCut + strings.NewReplacer("X30", "X30.03", "I5", "I4.97").Replace(disCut) + pocket, rules: []string{"part-entered", "part-size"}, says: `part "disc" is cut to a diameter of 7.94 mm`},
		// The way from the tag to the disc is inside the tag's feature.
		{name: "tag's cut runs into the disc", text: strings.Replace(tagCut, "G1 Y7\nG2 X23", "G1 Y9\nX32\nX26\nY7\nG2 X23", 1) + disCut + pocket, rules: []string{"part-entered", "part-size"}, says: `into part "disc"`},
		{name: "disc's cut runs into the tag", text: tagCut + strings.Replace(disCut, "G0 Z10", "G1 X24\nG0 Z10", 1) + pocket, rules: []string{"part-entered", "part-outline"}, says: `into part "tag"`},
		{name: "the parts too near to each other", text: tagCut + disCut + pocket,
			change: func(s *setup.Setup) { s.Parts[1].At.X, s.Parts[1].Diameter = 27.5, 3.2 }, rules: []string{"part-entered", "part-size"}, says: `into part "disc"`},
		{name: "pocket too deep", text: tagCut + disCut + strings.Replace(pocket, "Z-0.5", "Z-0.6", 1), rules: []string{"part-entered"}, says: `into part "tag"`},
		{name: "pocket beside its shape", text: tagCut + disCut + strings.Replace(pocket, "X15", "X15.5", 1), rules: []string{"part-entered"}},
		{name: "pocket left out", text: tagCut + disCut, rules: []string{"left-standing"}, says: "pocket"},
		{name: "through the skin of the tag", text: strings.Replace(tagCut, "G1 Y7", "G1 Y7 Z-1.85", 1) + disCut + pocket, rules: []string{"depth", "skin"}, says: `beside part "tag"`},
		{name: "the skin of a deep feature", text: strings.Replace(tagCut, "G1 Y7", "G1 Y7 Z-1.85\nZ-1.8", 1) + disCut + pocket,
			change: func(s *setup.Setup) { s.Features[0].Floor = -1.9; s.Features[0].Must = nil }, rules: []string{"skin"}, says: `beside part "tag"`},
		{name: "through the skin of the disc", text: tagCut + strings.Replace(disCut, "Z-1.8", "Z-1.9", 1) + pocket, rules: []string{"depth", "skin"}, says: `beside part "disc"`},
		{name: "into the backing", text: tagCut + strings.Replace(disCut, "Z-1.8", "Z-2.295", 1) + pocket,
			change: func(s *setup.Setup) {
				s.Parts[0].Skin, s.Parts[1].Skin = 0, 0
				s.Features[1].Floor, s.Features[0].Floor = -2.3, -1.8
			}},
		{name: "too deep into the backing", text: tagCut + strings.Replace(disCut, "Z-1.8", "Z-2.35", 1) + pocket,
			change: func(s *setup.Setup) {
				s.Parts[0].Skin, s.Parts[1].Skin = 0, 0
				s.Features[1].Floor, s.Features[0].Floor = -2.35, -1.8
			}, rules: []string{"backing"}, says: "below Z-2.3"},
		{name: "no backing", text: tagCut + strings.Replace(disCut, "Z-1.8", "Z-2.05", 1) + pocket,
			change: func(s *setup.Setup) {
				s.Parts[0].Skin, s.Parts[1].Skin, s.Stock.Backing = 0, 0, setup.Backing{}
				s.Features[1].Floor = -2.05
			}, rules: []string{"backing"}, says: "below Z-2 mm"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := twoParts()
			if tc.change != nil {
				tc.change(s)
			}
			r := check(t, s, before+tc.text+after)
			if tc.rules == nil {
				require.True(t, r.Proven, "%+v", r.Findings)
				require.Equal(t, []string{"cut-material"}, rules(r, proof.Caution)) // so that loads say nothing
				return
			}
			require.False(t, r.Proven)
			got := map[string]bool{}
			said := tc.says == ""
			for _, f := range r.Findings {
				if f.Severity == proof.Fault { // that the load is not known is a note
					got[f.Rule] = true
				}
				said = said || strings.Contains(f.Text, tc.says)
			}
			for _, rule := range tc.rules {
				require.True(t, got[rule], "no %s: %+v", rule, r.Findings)
			}
			require.Len(t, got, len(tc.rules), "%+v", r.Findings)
			require.True(t, said, "%+v", r.Findings)
		})
	}
}

// TestEdge looks at the record of a part that is no disc.
func TestEdge(t *testing.T) {
	r := check(t, twoParts(), before+off(0.004)+disCut+pocket+after)
	require.True(t, r.Proven, "%+v", r.Findings)
	e := r.Parts[0].Edge
	require.NotNil(t, e)
	require.InDelta(t, 0.004, e.Least, 1e-6)
	require.InDelta(t, 0.004, e.Most, 1e-6)
	require.Zero(t, e.Open)
	require.Nil(t, r.Parts[1].Edge)
	require.InDelta(t, 8, r.Parts[1].Diameter, 1e-6)
	var p *proof.Edge
	require.IsType(t, p, e)
	require.Less(t, math.Abs(e.Least), 1.0)
}
