package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestClipTable(t *testing.T) {
	square := "M 0 0 L 10 0 L 10 10 L 0 10 Z"
	for _, c := range []struct {
		name, path, region string
		inside, outside    []string
	}{
		{"through", "M -5 5 L 15 5", square, []string{"M 0 5 L 10 5"}, []string{"M -5 5 L 0 5", "M 10 5 L 15 5"}},
		{"inside", "M 1 5 L 5 5 L 5 6", square, []string{"M 1 5 L 5 5 L 5 6"}, nil},
		{"outside", "M -5 -5 L 15 -5", square, nil, []string{"M -5 -5 L 15 -5"}},
		{"along the edge", "M -5 0 L 15 0", square, []string{"M 0 0 L 10 0"}, []string{"M -5 0 L 0 0", "M 10 0 L 15 0"}},
		{"touching a corner", "M -5 5 L 5 -5", square, nil, []string{"M -5 5 L 5 -5"}},
		{"touching an edge from inside", "M 1 1 L 5 0 L 9 1", square, []string{"M 1 1 L 5 0 L 9 1"}, nil},
		{"ending on the edge", "M 5 5 L 10 5", square, []string{"M 5 5 L 10 5"}, nil},
		{"out and in at a vertex", "M 5 5 L 10 5 L 12 5 L 12 8 L 10 8 L 5 8", square,
			[]string{"M 5 5 L 10 5", "M 10 8 L 5 8"}, []string{"M 10 5 L 12 5 L 12 8 L 10 8"}},
		{"arc through an edge", "M 5 5 A 10 5 15 5 ccw", square, []string{"M 5 5 A 10 5 10 0 ccw"}, []string{"M 10 0 A 10 5 15 5 ccw"}},
		{"hole", "M -1 5 L 11 5", square + " M 4 5 A 5 5 4 5 cw Z",
			[]string{"M 0 5 L 4 5", "M 6 5 L 10 5"}, []string{"M -1 5 L 0 5", "M 4 5 L 6 5", "M 10 5 L 11 5"}},
		{"circle about the hole", "M 3 5 A 5 5 3 5 ccw", square + " M 4 5 A 5 5 4 5 cw Z", []string{"M 3 5 A 5 5 3 5 ccw"}, nil},
		{"nothing to clip by", "M -1 5 L 11 5", "", nil, []string{"M -1 5 L 11 5"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			in, out, err := Clip(mustPath(t, c.path), mustRegion(t, c.region))
			require.NoError(t, err)
			text := func(paths []Path) (s []string) {
				for _, p := range paths {
					s = append(s, p.String())
				}
				return s
			}
			assert.Equal(t, c.inside, text(in))
			assert.Equal(t, c.outside, text(out))
		})
	}
	_, _, err := Clip(Path{Line(Pt(0, 0), Pt(math.NaN(), 0))}, nil)
	require.ErrorContains(t, err, "path to clip: segment 0")
	_, _, err = Clip(nil, Region{{Line(Pt(0, 0), Pt(1, 0))}})
	require.ErrorContains(t, err, "region to clip by: contour 0: segment 0")
}

func TestClipProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Region{genContour(t, Pt(0, 0))}
		var p Path
		at := genPoint(t, "start").Mul(2)
		for k := rapid.IntRange(1, 5).Draw(t, "segments"); k > 0; k-- {
			s := genSeg(t, "s")
			s = s.Transform(Translate(at.Sub(s.A)))
			s.A = at // exactly, and a circle stays one
			if s.IsArc() && s.Length() > 6 && r.BoundaryDistance(s.B) == 0 {
				continue
			}
			p = append(p, s)
			at = s.B
		}
		if p.Validate() != nil {
			return // a circle whose start was moved by a rounding
		}
		in, out, err := Clip(p, r)
		require.NoError(t, err)
		sum := 0.0
		for k, list := range [2][]Path{in, out} {
			for _, q := range list {
				require.NoError(t, q.Validate())
				sum += q.Length()
				for _, s := range q {
					for _, m := range samples(s, 7) {
						require.LessOrEqual(t, p.Distance(m), 1e-8)
						if r.BoundaryDistance(m) > 3e-6 {
							require.Equal(t, k == 0, r.Contains(m) == Inside, "%v", m)
						}
					}
				}
			}
		}
		require.InDelta(t, p.Length(), sum, 1e-6)
	})
}
