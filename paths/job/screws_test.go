package job

import (
	"bytes"
	"context"
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

// heldJob returns an example with its screws altered by pairs of old and new text.
func heldJob(t *testing.T, pairs ...string) (*Job, error) {
	t.Helper()
	return alteredJob(t, func(s string) string { return s }, pairs...)
}

// otherPlate is heldJob with another plate, without a program of its own.
func otherPlate(t *testing.T, plate string, pairs ...string) (*Job, error) {
	t.Helper()
	return alteredJob(t, func(s string) string {
		from, to := strings.Index(s, "  # The plate under"), strings.Index(s, "  at: [[6, 8]")
		require.True(t, from > 0 && to > from)
		return s[:from] + plate + s[to:]
	}, pairs...)
}

func alteredJob(t *testing.T, alter func(string) string, pairs ...string) (*Job, error) {
	t.Helper()
	path := example(t, "inlays-held")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	text := alter(string(data))
	for i := 0; i < len(pairs); i += 2 {
		require.Contains(t, text, pairs[i])
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return Parse("job.yaml", filepath.Dir(path), []byte(text))
}

const (
	byHand   = "at: [[6, 8], [54, 9], [30, 39]]"
	chooseIt = "  choose: {effort: 0.3s}\n"
)

func TestBadScrews(t *testing.T) {
	for _, c := range []struct {
		name  string
		pairs []string
		says  []string
	}{
		{"outside the plate", []string{byHand, "at: [[6, 8], [54, 9], [30, 52]]"}, []string{"job.yaml:", "screws: place 3: x 30.000 y 52.000: it is 3.000 mm outside of where the plate takes screws"}},
		{"beside the slab", []string{byHand, "at: [[6, 8], [54, 9], [30, 47]]"}, []string{"place 3", "beside the slab, which the job does not allow"}},
		{"on the crack", []string{byHand, "at: [[6, 8], [39, 4], [30, 39]]"}, []string{"place 2", "from defect 1"}},
		{"over the edge", []string{byHand, "at: [[6, 8], [54, 1.5], [30, 39]]"}, []string{"place 2", "run into the slab's edge"}},
		{"by hand does not hold", []string{chooseIt, "", "reach: 24mm", "reach: 15mm"}, []string{"screws do not hold the slab", "15.000 mm allowed (reach)"}},
		{"heads overlap", []string{chooseIt, "", byHand, "at: [[6, 8], [54, 9], [50, 9]]"}, []string{"screw 3", "overlaps that of screw 2"}},
		{"count is not that of the places", []string{"count: 3", "count: 4"}, []string{"count is 4, but at has 3 places"}},
		{"nothing given", []string{chooseIt, "", byHand, "wall: 0.7mm", "  wall: 0.7mm       # slab left between a hole and the edge or the crack\n", ""}, []string{"give places with 'at:"}},
		{"an empty list", []string{byHand, "at: []"}, []string{"at has no place"}},
		{"no reach", []string{"  reach: 24mm ", "  wall_: 24mm "}, []string{`screws lacks "reach"`, `no key "wall_"`}},
		{"hole larger than the head", []string{"hole: 3.4mm", "hole: 5.6mm"}, []string{"the head (5.5 mm) has to be larger than the hole (5.6 mm)"}},
		{"a plate that is all edge", []string{"edge: 5mm", "edge: 40mm"}, []string{"nothing of it is 40 mm or more from its edge"}},
		{"a place in words", []string{byHand, "at: [left, right]"}, []string{"screws: place 1 has to be a pair"}},
		{"too many", []string{"count: 3", "count: 99"}, []string{"whole number from 1 to 12"}},
		{"not a number", []string{"reach: 24mm", "reach: .nan"}, []string{"reach"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := heldJob(t, c.pairs...)
			require.Error(t, err)
			for _, s := range c.says {
				assert.ErrorContains(t, err, s)
			}
		})
	}
}

func TestChooseNeedsParts(t *testing.T) {
	j, err := heldJob(t, "    nest:\n      finished: 12.7mm", "    circle: {at: [30, 20], diameter: 12mm}\n  - name: other\n    nest:\n      finished: 12.7mm")
	require.NoError(t, err)
	j.Parts = j.Parts[:1]
	_, err = Hold(context.Background(), j, nil)
	require.ErrorContains(t, err, "no part has the key nest")
}

// Chosen or by hand, every screw is a zone of the set-up, and discs keep away.
func TestScrewsBecomeZones(t *testing.T) {
	j, err := heldJob(t, chooseIt, "")
	require.NoError(t, err)
	p, err := NewPlanner(context.Background(), j)
	require.NoError(t, err)
	require.Len(t, p.Job().Zones, 4)
	assert.Len(t, j.Zones, 1, "the document's own job is left alone")
	z := p.Job().Zones[2]
	assert.Equal(t, "screw 2", z.Name)
	assert.Equal(t, 3.0, z.Top)
	assert.Equal(t, 0.5, z.Clearance)
	assert.InDelta(t, 2.75, z.Area.BoundaryDistance(geom.Pt(54, 9)), 1e-9)
	hand := len(p.Layouts()[0].Centres)

	h, err := Hold(context.Background(), j, nil)
	require.NoError(t, err)
	assert.Equal(t, hand, h.Parts)
	assert.Equal(t, j.Screws.At, h.Places)

	j, err = heldJob(t)
	require.NoError(t, err)
	p, err = NewPlanner(context.Background(), j)
	require.NoError(t, err)
	require.NotNil(t, p.Holding())
	assert.Equal(t, p.Holding().Parts, len(p.Layouts()[0].Centres), "what is promised is nested")
	assert.Greater(t, p.Holding().Parts, hand, "the choice gains a part")
	assert.Equal(t, hand, p.Holding().ByHand.Parts)
}

// Of several sizes of discs all are counted, and shapes too.
func TestScrewsAmongOtherParts(t *testing.T) {
	for _, second := range []string{
		"      finished: 8mm\n      allowance: 5thou\n",
		"      regular_polygon: {at: [0, 0], sides: 6, across_flats: 9mm}\n      allowance: 0.1mm\n      count: 2\n",
	} {
		j, err := heldJob(t, chooseIt, "", "operations:", "  - name: other\n    nest:\n"+second+"      cutter: 1\n      web: 0.3mm\n      edge: 0.3mm\n      effort: 0.3s\noperations:")
		require.NoError(t, err)
		h, err := Hold(context.Background(), j, nil)
		require.NoError(t, err)
		assert.Equal(t, "inlay, other", h.Part)
		p, err := NewPlanner(context.Background(), j)
		require.NoError(t, err)
		count := 0
		for _, l := range p.Layouts() {
			count += l.Count()
		}
		assert.Equal(t, count, h.Parts)
		assert.Greater(t, h.Parts, 7)
		assert.Len(t, h.Nested, h.Parts)
	}
}

// quarterTurn registers the slab a quarter turn round, 120 and 30 mm away.
const quarterTurn = `register:
  points:
    - {name: left, drawing: [0, 20], touched: [100, 30]}
    - {name: right, drawing: [60, 20], touched: [100, 90]}
# Three socket`

// A slab that lies elsewhere keeps the places of the drawing, and the zones move
// with it.
func TestScrewsMoveWithTheSlab(t *testing.T) {
	j, err := heldJob(t, chooseIt, "", "# Three socket", quarterTurn)
	require.NoError(t, err)
	p, err := NewPlanner(context.Background(), j)
	require.NoError(t, err)
	// A quarter turn: (x, y) comes to lie at (120-y, 30+x).
	z := p.Job().Zones[1]
	assert.InDelta(t, 2.75, z.Area.BoundaryDistance(geom.Pt(120-8, 30+6)), 1e-6)
	h, err := Hold(context.Background(), j, nil)
	require.NoError(t, err)
	assert.Equal(t, geom.Pt(6, 8), h.Places[0])
	assert.Equal(t, h.Parts, len(p.Layouts()[0].Centres))
}

func TestPlateOfHoles(t *testing.T) {
	j, err := otherPlate(t, "  plate: {grid: {at: [6, 8], pitch: [8, 10.3333333], columns: 7, rows: 4}, holes: [[30, 39]]}\n",
		byHand, "at: [[6, 8], [54, 8], [30, 39]]")
	require.NoError(t, err)
	assert.Len(t, j.Screws.Plate.Places, 29)
	_, err = otherPlate(t, "  plate: {holes: [[6, 8], [54, 9]]}\n")
	require.ErrorContains(t, err, "place 3: x 30.000 y 39.000: the plate has no hole there")
	_, err = otherPlate(t, "  plate: {grid: {at: [0, 0], pitch: [10, 0], columns: 6, rows: 4}}\n")
	require.ErrorContains(t, err, "both pitches have to be more than 0")
	_, err = otherPlate(t, "")
	require.ErrorContains(t, err, `screws lacks "plate"`)
}

func TestHoldingIsShown(t *testing.T) {
	j, err := heldJob(t, chooseIt, "")
	require.NoError(t, err)
	h, err := Hold(context.Background(), j, nil)
	require.NoError(t, err)
	var text, svg, csv bytes.Buffer
	require.NoError(t, h.Print(&text))
	assert.Contains(t, text.String(), "among 3 screws by hand")
	require.NoError(t, h.WriteCSV(&csv))
	assert.Equal(t, "screw,x,y\n1,6.0000mm,8.0000mm\n2,54.0000mm,9.0000mm\n3,30.0000mm,39.0000mm\n", csv.String())
	require.NoError(t, h.WriteSVG(&svg))
	d := xml.NewDecoder(&svg)
	circles := 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "circle" {
			circles++
		}
	}
	assert.Equal(t, 2*3, circles, "heads and holes")
	assert.Len(t, h.Nested, h.Parts)
}
