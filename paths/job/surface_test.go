package job

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/geom"
)

// faced returns the example with the bowed flat, its table and its document
// changed.
func faced(t *testing.T, table string, change ...string) (*Job, error) {
	t.Helper()
	dir := t.TempDir()
	data, err := os.ReadFile(example(t, "name-on-bowed-flat"))
	require.NoError(t, err)
	if table == "" {
		probed, err := os.ReadFile(filepath.Join(filepath.Dir(example(t, "name-on-bowed-flat")), "probed.csv"))
		require.NoError(t, err)
		table = string(probed)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "probed.csv"), []byte(table), 0o600))
	text := string(data)
	for i := 0; i < len(change); i += 2 {
		require.Contains(t, text, change[i])
		text = strings.Replace(text, change[i], change[i+1], 1)
	}
	return Parse("job.yaml", dir, []byte(text))
}

// tilted is a table of a face that rises by 0.01 along X and 0.004 along Y.
func tilted(z0 float64) string {
	var b strings.Builder
	b.WriteString("x,y,z\n")
	for j := range 3 {
		for i := range 4 {
			x, y := 3+float64(i)*23, 3+float64(j)*10
			fmt.Fprintf(&b, "%g,%g,%g\n", x, float64(y), z0+0.01*x+0.004*y)
		}
	}
	return b.String()
}

func TestSurface(t *testing.T) {
	j, err := faced(t, tilted(-0.3), "fit: mesh", "fit: plane")
	require.NoError(t, err)
	f := j.Stock.Face
	require.NotNil(t, f)
	assert.InDelta(t, math.Atan(math.Hypot(0.01, 0.004)), f.Tilt, 1e-9)
	assert.InDelta(t, math.Atan2(0.004, 0.01), f.Towards, 1e-9)
	assert.InDelta(t, 0, f.Bow, 1e-9)
	assert.InDelta(t, -0.3+0.2+0.04, f.Height(geom.Pt(20, 10)), 1e-9)
	assert.InDelta(t, f.Highest, j.Stock.Top, 1e-9, "the highest place of the face")
	assert.Equal(t, 1.5, j.Stock.Thickness)
	assert.Contains(t, strings.Join(j.Report(), "\n"), "tilt 0.617 deg rising towards 22 deg, bow 0.000 mm")
	// Zones that belong to the slab rise with the face under them, never fall.
	assert.InDelta(t, 2.5, j.Zones[0].Top, 1e-9)
	assert.Greater(t, j.Zones[1].Top, 2.5+0.4)
	e, p := j.Operations[0].common(), j.Operations[1].common()
	assert.True(t, e.Follows)
	assert.True(t, p.Follows)
	assert.InDelta(t, j.Stock.Top-0.12, e.Floor, 1e-9)
	assert.InDelta(t, j.Stock.Top-1.5+0.12, p.Floor, 1e-9)

	// Flat on its plate: the skin stays where it is, the letters follow.
	j, err = faced(t, tilted(-0.3), "underside: parallel", "underside: flat")
	require.NoError(t, err)
	assert.InDelta(t, -1.5, j.Stock.Bottom(), 1e-9)
	e, p = j.Operations[0].common(), j.Operations[1].common()
	assert.True(t, e.Follows)
	assert.False(t, p.Follows)
	assert.InDelta(t, -1.5+0.12, p.Floor, 1e-9)
	assert.Equal(t, j.Stock.Top, p.Surface, "the first pass starts above all of the face")

	// A surface of its own keeps an operation level.
	j, err = faced(t, tilted(-0.3), "depth: 0.12mm", "depth: 0.12mm\n      surface: -0.2mm")
	require.NoError(t, err)
	assert.False(t, j.Operations[0].common().Follows)
	assert.InDelta(t, -0.32, j.Operations[0].common().Floor, 1e-9)

	// The probing set-up takes the stock as flat, whatever was probed before.
	p2, err := NewProbePlanner(context.Background(), j, Watch{})
	require.NoError(t, err)
	s, err := p2.ProbeSetup()
	require.NoError(t, err)
	assert.Nil(t, s.Stock.Face)
	assert.Zero(t, s.Stock.Top)
}

func TestBadSurface(t *testing.T) {
	row := func(s string) string { return strings.Replace(tilted(-0.3), "26,3,", s+"\n26,3,", 1) }
	for _, c := range []struct {
		name, table string
		change      []string
		says        string
	}{
		{"no file", "", []string{"probed.csv", "porbed.csv"}, `there is no file "porbed.csv" beside the job`},
		{"not filled in", "point,x,y,z,z_parameter\n1,3,3,,1003\n2,9,3,,1006\n", nil, "probed.csv:2:7: z: the cell is empty"},
		{"no z", "x,y\n1,2\n", nil, "there is no column z"},
		{"not a number", row("5,5,nan"), nil, `z: "nan" is not a number`},
		{"truncated", tilted(-0.3)[:strings.LastIndex(tilted(-0.3), ",")], nil, "probed.csv:13:1: wrong number of fields"},
		{"too few", "x,y,z\n1,1,0\n2,1,0\n", nil, "at least 3"},
		{"in one line", "x,y,z\n1,1,0\n2,2,0\n9,9,0\n20,20,0\n", nil, "in one line"},
		{"twice the same place", row("3,3,0.1"), nil, "the same place twice"},
		{"a slipped probe", row("26.5,3,0.4"), nil, "probe there again"},
		{"over the limit", row("14,8,0"), []string{"fit: mesh", "fit: plane"}, "over the limit of 0.02 mm: probe there again, or use 'fit: mesh'"},
		{"another zero", tilted(-20), nil, "check the zero that it was probed from"},
		{"no fit", "", []string{"fit: mesh, ", ""}, `lacks "fit"`},
		{"no underside", "", []string{", underside: parallel", ""}, `lacks "underside"`},
		{"other fit", "", []string{"fit: mesh", "fit: spline"}, "fit is one of plane, mesh"},
		{"limit", "", []string{"limit: 0.02mm, under", "limit: 0mm, under"}, "limit has to be more than 0"},
		{"zero on the plate", tilted(1.2), []string{"thickness: 1.5mm", "thickness: 1.1mm"}, "check the zero"},
		{"thin somewhere", tilted(-0.7), []string{"thickness: 1.5mm", "thickness: 0.6mm", "underside: parallel", "underside: flat"}, "the stock's lower face is at -0.600 mm"},
		{"clear height", tilted(-0.3), []string{"clear: 10mm", "clear: 0.9mm"}, "above the stock's top"},
		{"level floor, bent skin", "", []string{"skin: 0.12mm", "skin: 0.12mm\n      surface: -0.1mm"}, "leave out surface"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := faced(t, c.table, c.change...)
			require.ErrorContains(t, err, c.says)
			assert.Regexp(t, `^(job.yaml|probed.csv):`, err.Error())
		})
	}
}
