package nest

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"proofcut/paths/geom"
)

func TestTry(t *testing.T) {
	fh, _ := os.Open("testdata/packing.csv")
	rows, _ := csv.NewReader(fh).ReadAll()
	want := os.Getenv("TRY")
	lim, _ := strconv.ParseFloat(os.Getenv("LIM"), 64)
	for _, r := range rows[1:] {
		n, _ := strconv.Atoi(r[1])
		rec, _ := strconv.ParseFloat(r[2], 64)
		if want != "" && !strings.Contains(want, " "+r[1]+" ") && want != r[0]+","+r[1] {
			continue
		}
		reg := geom.RegionOf(geom.Circle(geom.Pt(0, 0), 1))
		if r[0] != "unit-circle" {
			reg = geom.RegionOf(geom.Rect(geom.Pt(0, 0), geom.Pt(1, 1), 0))
		}
		start := cpu()
		seed, _ := strconv.ParseUint(os.Getenv("SEED"), 10, 64)
		p, err := MaxRadius(context.Background(), reg, n, RadiusOptions{Seed: seed, Effort: lim, Enough: rec * (1 - 1e-11)})
		if err != nil {
			t.Fatal(err)
		}
		fmt.Println(r[0], n, p.Radius/rec-1, "secs", cpu()-start)
	}
}

func cpu() float64 {
	var u syscall.Rusage
	syscall.Getrusage(0, &u)
	return float64(u.Utime.Sec) + float64(u.Utime.Usec)/1e6
}
