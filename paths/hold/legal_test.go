package hold

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
	"proofcut/paths/nest"
)

// bench is a slab of 60 x 40 mm with a hole of 4 mm on a plate that reaches 10 mm
// farther, a crack from its lower edge and a jaw at its right end.
func bench() Problem {
	return Problem{
		Slab:    append(rect(60, 40), geom.Circle(geom.Pt(15, 30), 2).Reverse()),
		Defects: []geom.Region{geom.RegionOf(geom.Slot(geom.Pt(30, 1), geom.Pt(30, 8), 1))},
		Raised:  []geom.Region{geom.RegionOf(geom.Rect(geom.Pt(57, 10), geom.Pt(70, 30), 0))},
		Plate:   Plate{Region: geom.RegionOf(geom.Rect(geom.Pt(-10, -10), geom.Pt(70, 50), 0))},
		Count:   2, Screw: Screw{Head: 6, Hole: 3}, Wall: 1, Grip: 0.5, Reach: 100, Overhang: 100,
		Parts: Discs{Problem: nest.Problem{Stock: rect(60, 40), Diameter: 10, Gap: 2, Edge: 1}, Head: 6, Margin: 2},
	}
}

func TestSite(t *testing.T) {
	for _, c := range []struct {
		name   string
		at     geom.Point
		beside bool
		site   Site
		says   string
	}{
		{"in the middle", geom.Pt(30, 20), false, Through, ""},
		{"just far enough from the edge", geom.Pt(2.5, 20), false, Through, ""},
		{"too near to the edge", geom.Pt(2.4, 20), false, 0, "leave 0.900 mm of slab"},
		{"hole over the edge", geom.Pt(1, 20), true, 0, "run into the slab's edge"},
		{"beside, not allowed", geom.Pt(-2, 20), false, 0, "beside the slab, which the job does not allow"},
		{"beside, gripping 1 mm", geom.Pt(-2, 20), true, Edge, ""},
		{"beside, gripping too little", geom.Pt(-2.6, 20), true, 0, "grip 0.400 mm of it, 0.500 mm needed"},
		{"in the hole", geom.Pt(15, 30), false, Existing, ""},
		{"in the hole, off its middle", geom.Pt(15.5, 30), false, Existing, ""},
		{"in the hole, too far off its middle", geom.Pt(15.6, 30), false, 0, "run into the slab's edge"},
		{"near the hole", geom.Pt(19.4, 30), false, 0, "leave 0.900 mm"},
		{"near the crack", geom.Pt(32.9, 5), false, 0, "0.900 mm from defect 1"},
		{"beyond the crack", geom.Pt(33.1, 5), false, Through, ""},
		{"under the jaw", geom.Pt(54.1, 20), false, 0, "stands above the slab"},
		{"off the plate", geom.Pt(-12, 20), true, 0, "2.000 mm outside of where the plate takes screws"},
		{"not a number", geom.Pt(math.NaN(), 20), true, 0, "not finite"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := bench()
			p.Beside = c.beside
			j, err := NewJudge(p)
			require.NoError(t, err)
			site, err := j.Site(c.at)
			if c.says != "" {
				require.ErrorContains(t, err, c.says)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, c.site, site)
		})
	}
}

func TestSiteInHolesOfThePlate(t *testing.T) {
	p := bench()
	p.Plate = Plate{Places: []geom.Point{geom.Pt(10, 10), geom.Pt(50, 35)}}
	j, err := NewJudge(p)
	require.NoError(t, err)
	_, err = j.Site(geom.Pt(10, 10.005))
	require.NoError(t, err)
	_, err = j.Site(geom.Pt(10, 12))
	require.ErrorContains(t, err, "no hole there; the nearest is 2.000 mm away")
}

func TestCheck(t *testing.T) {
	p := bench()
	p.Reach, p.Overhang = math.Hypot(10, 20), 25
	j, err := NewJudge(p)
	require.NoError(t, err)
	_, err = j.Check([]geom.Point{geom.Pt(10, 20), geom.Pt(50, 20)})
	require.NoError(t, err, "exactly as far as allowed")
	_, err = j.Check([]geom.Point{geom.Pt(10.1, 20), geom.Pt(50, 20)})
	require.ErrorContains(t, err, "from the nearest line between two screws, 22.361 mm allowed (reach)")
	_, err = j.Check([]geom.Point{geom.Pt(10, 20), geom.Pt(15, 20)})
	require.ErrorContains(t, err, "overlaps that of screw 1: 5.000 mm from axis to axis, 6.000 mm needed")
	p.Overhang = 22
	j, err = NewJudge(p)
	require.NoError(t, err)
	_, err = j.Check([]geom.Point{geom.Pt(10, 20), geom.Pt(50, 20)})
	require.ErrorContains(t, err, "hangs 22.361 mm over the outline of the screws, 22.000 mm allowed (overhang)")
	var pe *PlaceError
	require.ErrorAs(t, err, &pe)
	assert.Equal(t, -1, pe.Screw)
}

func TestValidate(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(*Problem)
		says string
	}{
		{"no slab", func(p *Problem) { p.Slab = nil }, "slab: no outline"},
		{"slab inside out", func(p *Problem) { p.Slab = geom.Region{p.Slab[0].Reverse()} }, "slab"},
		{"crossing slab", func(p *Problem) {
			p.Slab = geom.Region{geom.Polygon(geom.Pt(0, 0), geom.Pt(10, 10), geom.Pt(10, 0), geom.Pt(0, 11))}
		}, "slab"},
		{"NaN", func(p *Problem) { p.Reach = math.NaN() }, "reach: not a finite number"},
		{"infinite", func(p *Problem) { p.Overhang = math.Inf(1) }, "overhang: not a finite number"},
		{"no reach", func(p *Problem) { p.Reach = 0 }, "reach is 0 mm"},
		{"head in the hole", func(p *Problem) { p.Hole = 6 }, "has to be larger than the hole"},
		{"no screw", func(p *Problem) { p.Count = 0 }, "from 1 to 12"},
		{"too many", func(p *Problem) { p.Count = 13 }, "from 1 to 12"},
		{"no parts", func(p *Problem) { p.Parts = nil }, "no parts"},
		{"no plate", func(p *Problem) { p.Plate = Plate{} }, "no place for a screw"},
		{"a start too short", func(p *Problem) { p.Starts = [][]geom.Point{{geom.Pt(1, 1)}} }, "start 1 has 1 places"},
		{"a start that is no place", func(p *Problem) { p.Starts = [][]geom.Point{{geom.Pt(1, 1), geom.Pt(math.Inf(1), 0)}} }, "not finite"},
		{"a place that is none", func(p *Problem) { p.Plate.Places = []geom.Point{{X: math.NaN()}} }, "not finite"},
		{"an empty defect", func(p *Problem) { p.Defects = append(p.Defects, nil) }, "defect 2: no outline"},
		{"too many places", func(p *Problem) { p.Plate.Places = make([]geom.Point, maxPlaces+1) }, "more than the limit"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := bench()
			c.do(&p)
			_, err := NewJudge(p)
			require.ErrorContains(t, err, c.says)
		})
	}
	_, err := NewJudge(bench())
	require.NoError(t, err)
}
