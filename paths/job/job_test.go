package job

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/setup"
)

func example(t *testing.T, name string) string {
	t.Helper()
	return filepath.Join("..", "..", "examples", name, "job.yaml")
}

func TestExamplesLoad(t *testing.T) {
	for _, name := range []string{"inlays-from-slab", "name-on-flat", "band-tags", "name-on-bowed-flat"} {
		j, err := Load(example(t, name))
		require.NoError(t, err, name)
		assert.NotEmpty(t, j.Operations, name)
	}
}

func TestUnitsBecomeMillimetres(t *testing.T) {
	j, err := Load(example(t, "inlays-from-slab"))
	require.NoError(t, err)
	assert.Equal(t, 1.5875, j.Tools[0].Diameter)
	assert.InDelta(t, 12.827, j.Parts[0].Nest.Cut(), 1e-12)
	j, err = Load(example(t, "name-on-flat"))
	require.NoError(t, err)
	assert.Equal(t, setup.Inch, j.Unit)
	assert.InDelta(t, 10.16, j.ClearZ, 1e-12) // 0.4 in
	assert.InDelta(t, 76.2, j.Machine.Envelope.Max.X, 1e-9)
}

// TestBadInput changes one thing of a good job at a time. Each message has to
// begin with the place and to say what is wrong.
func TestBadInput(t *testing.T) {
	good, err := os.ReadFile(example(t, "inlays-from-slab"))
	require.NoError(t, err)
	for _, c := range []struct {
		name, old, new string
		says           []string
	}{
		{"unknown key", "feed_max:", "feed_maks:", []string{"job.yaml:", `no key "feed_maks"`, `did you mean "feed_max"?`}},
		{"unknown top key", "heights:", "hights:", []string{`no key "hights"`, `did you mean "heights"?`, `lacks "heights"`}},
		{"missing value", "thickness: 3mm", "thickness:", []string{"thickness has no value"}},
		{"missing key", "  thickness: 3mm\n", "", []string{`stock lacks "thickness"`}},
		{"wrong unit", "thickness: 3mm", "thickness: 3cm", []string{`unit "cm"`, "mm, um, in or thou"}},
		{"feed without time", "feed: 180mm/min", "feed: 180mm", []string{"feed", "mm/min or in/min"}},
		{"negative", "thickness: 3mm", "thickness: -3mm", []string{"thickness has to be more than 0"}},
		{"not a number", "thickness: 3mm", "thickness: .nan", []string{"thickness"}},
		{"infinite", "thickness: 3mm", "thickness: .inf", []string{"thickness"}},
		{"huge", "thickness: 3mm", "thickness: 3000000mm", []string{"check its unit"}},
		{"feed above the machine", "feed: 180mm/min", "feed: 180in/min", []string{"feed is 4572 mm/min", "limits are 0 to 1000"}},
		{"speed above the machine", "speed: 12000rpm", "speed: 120000rpm", []string{"speed is 120000 1/min"}},
		{"no such tool", "      cutter: 1", "      cutter: 7", []string{"no tool number 7"}},
		{"no such part", "part: inlay", "part: outlay", []string{`no part "outlay"`}},
		{"two depths", "skin: 0.1mm", "skin: 0.1mm\n      depth: 1mm", []string{"give one of depth", "depth and skin"}},
		{"too deep", "skin: 0.1mm", "through: 0.4mm", []string{"deeper than"}},
		{"two shapes", "screw A, circle:", "screw A, rectangle: {at: [0, 0], size: [1, 1]}, circle:", []string{"two shapes"}},
		{"no file", "slab.csv", "slap.csv", []string{`no file "slap.csv"`}},
		{"clear height in the stock", "clear: 8mm", "clear: 0.1mm", []string{"clear (0.1 mm)"}},
		{"zone upside down", "bottom: -3, top: 3,", "bottom: 4, top: 3,", []string{`zone "screw A"`, "above bottom"}},
		{"defect without a word on cutting", ", cut_across: false", "", []string{`lacks "cut_across"`}},
		{"crack without a width", "width: 0.8, ", "", []string{`lacks "width"`}},
		{"crack of one point", "[[38.6, 0], [40.2, 5.2]]", "[[38.6, 0]]", []string{"from 2 to", "not 1"}},
		{"crack with a point twice", "[[38.6, 0], [40.2, 5.2]]", "[[38.6, 0], [38.6, 0]]", []string{"points 1 and 2 are the same"}},
		{"crack and shape", "width: 0.8,", "width: 0.8, circle: {at: [1, 1], diameter: 2},", []string{"a line with a width or a shape"}},
		{"crack beside the slab", "[[38.6, 0], [40.2, 5.2]]", "[[138.6, 0], [140.2, 5.2]]", []string{"lies nowhere on the slab"}},
		{"width of a shape", "line: [[38.6, 0], [40.2, 5.2]], width: 0.8,", "circle: {at: [1, 1], diameter: 2}, width: 0.8,", []string{"width goes with a line"}},
		{"defect without a place", "line: [[38.6, 0], [40.2, 5.2]], width: 0.8,", "", []string{"lacks a shape"}},
		{"defect with the name of a zone", "{name: crack", "{name: screw A", []string{"used twice"}},
		{"wrong word", "form: flat", "form: flatt", []string{`did you mean "flat"?`}},
		{"flutes longer than the tool", "stick_out: 12mm", "stick_out: 3mm", []string{"stick-out"}},
		{"step over", "side: outside", "side: outside\n      step_over: 40%", []string{`no key "step_over"`}},
		{"twice the same key", "unit: mm", "unit: mm\nunit: mm", []string{"job.yaml:", "unit"}},
		{"anchor", "job: inlays from slab", "job: &a inlays", []string{"anchors"}},
		{"tabs", "stock:\n", "stock:\n\tx: 1\n", []string{"not YAML"}},
		{"brackets without end", "job: inlays from slab", "job: [[[[", []string{"not YAML"}},
		{"deep nesting", "job: inlays from slab", "job: " + strings.Repeat("[", 1000), []string{"nested deeper"}},
	} {
		text := strings.Replace(string(good), c.old, c.new, 1)
		require.NotEqual(t, string(good), text, c.name)
		_, err := Parse("job.yaml", filepath.Dir(example(t, "inlays-from-slab")), []byte(text))
		require.Error(t, err, c.name)
		for _, s := range c.says {
			assert.Contains(t, err.Error(), s, c.name)
		}
		assert.Regexp(t, `^(job\.yaml|slab\.csv)(:\d+:\d+)?: `, err.Error(), c.name)
	}
}

func TestBadTables(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"empty", "", "empty"},
		{"header only", "x,y\n", "no row"},
		{"ragged", "x,y\n1,2\n1\n", "t.csv:3:1: the row has 1 cells"},
		{"quote", "x,y\n\"1,2\n", "t.csv:2"},
		{"not text", "x,y\n\xff\xfe,1\n", "UTF-8"},
		{"same column", "x,x\n1,2\n", "used twice"},
		{"long cell", "x,y\n" + strings.Repeat("1", 500) + ",2\n", "at most 200"},
	} {
		_, err := parseTable("t.csv", []byte(c.text))
		assert.ErrorContains(t, err, c.says, c.name)
	}
}

// TestMeasuredInAnyOrder shuffles the rows of the example's slab: the outline is
// the same, and with the order taken as given it would cross itself.
func TestMeasuredInAnyOrder(t *testing.T) {
	good, err := os.ReadFile(example(t, "inlays-from-slab"))
	require.NoError(t, err)
	points, err := os.ReadFile(filepath.Join(filepath.Dir(example(t, "inlays-from-slab")), "slab.csv"))
	require.NoError(t, err)
	var head, rows []string
	for _, l := range strings.Split(strings.TrimSpace(string(points)), "\n") {
		if strings.HasPrefix(l, "#") || l == "x,y" {
			head = append(head, l)
		} else {
			rows = append(rows, l)
		}
	}
	shuffled := head
	for i := range rows {
		shuffled = append(shuffled, rows[i*7%len(rows)]) // 7 and the 19 rows have no common factor
	}
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "slab.csv"), points, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "shuffled.csv"), []byte(strings.Join(shuffled, "\n")), 0o600))
	with := func(shape string) (*Job, error) {
		return Parse("job.yaml", dir, []byte(strings.Replace(string(good), "points_file: slab.csv", shape, 1)))
	}
	want, err := with("points_file: slab.csv")
	require.NoError(t, err)
	got, err := with("measured_points: {file: shuffled.csv}")
	require.NoError(t, err)
	assert.InDelta(t, want.Stock.Outline.Area(), got.Stock.Outline.Area(), 1e-9)
	assert.InDelta(t, want.Stock.Outline.Perimeter(), got.Stock.Outline.Perimeter(), 1e-9)
	_, err = with("measured_points: {file: shuffled.csv, order: given}")
	require.ErrorContains(t, err, "job.yaml:")
	_, err = with("measured_points: {file: shuffled.csv, order: giwen}")
	require.ErrorContains(t, err, `did you mean "given"?`)
	smooth, err := with("measured_points: {file: shuffled.csv, joins: smooth}")
	require.NoError(t, err)
	assert.Greater(t, smooth.Stock.Outline.Area(), want.Stock.Outline.Area())
}

func TestFileName(t *testing.T) {
	for in, want := range map[string]string{
		"tag-101-Ada Lindqvist": "tag-101-Ada-Lindqvist",
		"../../etc/passwd":      "etc-passwd",
		"Sören":                 "S-ren",
		"":                      "program",
		"a/b\\c:d":              "a-b-c-d",
		"...":                   "program",
	} {
		assert.Equal(t, want, FileName(in), in)
	}
	assert.LessOrEqual(t, len(FileName(strings.Repeat("x", 500))), maxFileName)
}

func TestFill(t *testing.T) {
	row := Row{"name": "Ada", "n": "1"}
	s, err := fill("{n}: {{{name}}}", row)
	require.NoError(t, err)
	assert.Equal(t, "1: {Ada}", s)
	for _, bad := range []string{"{", "}", "{name", "{who}", "a}"} {
		_, err := fill(bad, row)
		assert.Error(t, err, bad)
	}
}

func TestBatchNamesDiffer(t *testing.T) {
	tab, err := parseTable("b.csv", []byte("name,number\nAda,1\nAda!,1\n"))
	require.NoError(t, err)
	b := &Batch{Program: "t-{number}-{name}", table: tab}
	e := b.check()
	require.NotNil(t, e)
	assert.Contains(t, e.Error(), "b.csv:3:1")
	assert.Contains(t, e.Error(), "line 2")
}

func FuzzParse(f *testing.F) {
	for _, name := range []string{"inlays-from-slab", "name-on-flat", "band-tags"} {
		data, err := os.ReadFile(filepath.Join("..", "..", "examples", name, "job.yaml"))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte("job: {a: [1, 2"))
	f.Add([]byte("- - - ? : !x &y *z"))
	f.Fuzz(func(t *testing.T, data []byte) {
		dir := t.TempDir()
		if j, err := Parse("job.yaml", dir, data); (j == nil) == (err == nil) {
			t.Fatal("neither a job nor an error")
		}
	})
}

func FuzzTable(f *testing.F) {
	f.Add([]byte("x,y\n1,2\n"))
	f.Add([]byte("\"a\nb\",c\n#\n1,2"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if tab, err := parseTable("t.csv", data); err == nil && len(tab.rows) == 0 {
			t.Fatal("a table without rows")
		}
	})
}
