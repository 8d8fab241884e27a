package nest

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

// TestFieldAgreesWithGeom compares the search's fast distances with geom's on
// outlines with reflex corners, holes, arcs and keep-outs.
func TestFieldAgreesWithGeom(t *testing.T) {
	outline := geom.Polygon(geom.Pt(0, 0), geom.Pt(50, 0), geom.Pt(50, 30), geom.Pt(30, 12), geom.Pt(20, 40), geom.Pt(0, 30))
	for _, stock := range []geom.Region{
		geom.RegionOf(outline),
		geom.RegionOf(outline, geom.Circle(geom.Pt(12, 12), 5)),
		geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(50, 40), 8), geom.Slot(geom.Pt(15, 20), geom.Pt(35, 20), 6)),
		geom.RegionOf(geom.Circle(geom.Pt(25, 20), 20)),
		slab(5, 25, 60, 45),
	} {
		p := Problem{Stock: stock, Diameter: 4, Edge: 0.7, Keepouts: []Keepout{
			{geom.RegionOf(geom.Circle(geom.Pt(40, 8), 3)), 1},
			{geom.RegionOf(geom.Rect(geom.Pt(5, 20), geom.Pt(9, 24), 0)), 0.5},
		}}
		require.NoError(t, p.Validate())
		const reach = 9
		f := newField(p.groups(), reach)
		rng := rand.New(rand.NewPCG(1, 2))
		box := stock.Bounds().Grow(3)
		for range 4000 {
			q := geom.Pt(box.Min.X+rng.Float64()*box.Size().X, box.Min.Y+rng.Float64()*box.Size().Y)
			signed := func(r geom.Region, inside bool) float64 {
				d := r.BoundaryDistance(q)
				if (r.Contains(q) == geom.Inside) != inside {
					d = -d
				}
				return d
			}
			want := signed(stock, true) - p.Edge
			if f.at(q.X, q.Y) != nil { // beyond the box only the way back counts
				for _, k := range p.Keepouts {
					want = math.Min(want, signed(k.Area, false)-k.Margin)
				}
			}
			require.InDelta(t, math.Min(want, reach), f.free(q.X, q.Y), 1e-9, "%v", q)

			// The contacts within a limit hold the nearest wall, and moving along
			// its direction widens its distance.
			near, _ := f.contacts(nil, q.X, q.Y, reach)
			least := math.Inf(1)
			var at contact
			for _, c := range near {
				if c.free < least {
					least, at = c.free, c
				}
			}
			if want < reach-1e-9 {
				require.InDelta(t, want, least, 1e-9, "%v", q)
				require.InDelta(t, 1, math.Hypot(at.ux, at.uy), 1e-12)
			}
		}
	}
}

// TestRoomiest uses shapes with a known inscribed circle.
func TestRoomiest(t *testing.T) {
	for _, c := range []struct {
		name  string
		stock geom.Region
		want  float64
	}{
		{"circle", geom.RegionOf(geom.Circle(geom.Pt(3, 4), 7)), 7},
		{"square", geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(10, 10), 0)), 5},
		{"3-4-5 triangle", geom.RegionOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(4, 0), geom.Pt(0, 3))), 1},
		{"ring", geom.RegionOf(geom.Circle(geom.Pt(0, 0), 10), geom.Circle(geom.Pt(0, 0), 4)), 3},
	} {
		var work int64
		f := newField(Problem{Stock: c.stock}.groups(), 20)
		at, r := roomiest(f, &work)
		require.InDelta(t, c.want, r, 1e-5, c.name)
		require.LessOrEqual(t, r, c.want+1e-12, c.name)
		require.InDelta(t, r, c.stock.BoundaryDistance(at), 1e-9, c.name)
	}
}
