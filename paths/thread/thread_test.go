package thread

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func rows(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(name)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	require.NoError(t, err)
	return all[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err, s)
	return v
}

// The minor diameters of ISO 68-1, and drills that leave from 60 to 90 percent of
// it: a drill of another row is outside.
func TestMetric(t *testing.T) {
	n := 0
	for _, row := range rows(t, "testdata/metric.csv") {
		th, err := Find(row[0])
		require.NoError(t, err)
		assert.InDelta(t, number(t, row[2]), th.Minor(), 0.0006, row[0])
		assert.InDelta(t, number(t, row[1]), (th.Major+th.Minor())/2+th.Pitch*(1.082532/2-0.649519), 0.0011, row[0])
		assert.Greater(t, th.Drill, th.Minor(), row[0])
		assert.Less(t, th.Drill-th.Minor(), 0.22, row[0])
		n++
	}
	assert.Equal(t, 23, n)
}

// The drills of the unified threads: size in mm, share of thread, and within the
// limits of class 2B but where the chart itself is beyond them.
func TestUnified(t *testing.T) {
	n := 0
	for _, row := range rows(t, "testdata/unified.csv") {
		th, err := Find(row[0])
		require.NoError(t, err)
		assert.InDelta(t, number(t, row[3]), th.Drill, 0.001, row[0])
		assert.InDelta(t, number(t, row[4]), th.Percent(th.Drill), 1, row[0])
		assert.GreaterOrEqual(t, th.Drill, number(t, row[1])*mmPerInch-0.001, row[0])
		if row[2] != "" {
			assert.LessOrEqual(t, th.Drill, number(t, row[2])*mmPerInch+0.001, row[0])
		}
		n++
	}
	assert.Equal(t, 25, n)
}

// Number sizes follow D = 0.060 + 0.013 N inch.
func TestNumberSizes(t *testing.T) {
	for _, th := range Table() {
		size, _, _ := strings.Cut(th.Name, "-")
		if n, err := strconv.Atoi(size); err == nil {
			assert.InDelta(t, (0.060+0.013*float64(n))*mmPerInch, th.Major, 1e-9, th.Name)
		}
	}
}

func TestFind(t *testing.T) {
	for _, c := range []struct{ write, name string }{
		{"M3", "M3"}, {"m3", "M3"}, {"M3x0.5", "M3"}, {" M3 X 0.5 ", "M3"}, {"M3×0.35", "M3x0.35"},
		{"6-32", "6-32"}, {"#6-32", "6-32"}, {"6-32 UNC", "6-32"}, {"1/4-28", "1/4-28"},
	} {
		th, err := Find(c.write)
		require.NoError(t, err, c.write)
		assert.Equal(t, c.name, th.Name)
	}
	_, err := Find("M3x0.6")
	require.ErrorContains(t, err, "of that size it has M3, M3x0.35")
	_, err = Find("6-33")
	require.ErrorContains(t, err, "of that size it has 6-32, 6-40")
	for _, bad := range []string{"", "M", "M300", "screw", "x", "-", "\x00"} {
		_, err = Find(bad)
		require.Error(t, err, bad)
	}
}

func FuzzFind(f *testing.F) {
	for _, s := range []string{"M3", "M3x0.35", "#6-32", "1/4-20 UNC", "", "M\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		th, err := Find(s)
		if err == nil && !(th.Drill > 0 && th.Drill < th.Major && th.Pitch > 0) {
			t.Fatalf("%q gives %+v", s, th)
		}
	})
}
