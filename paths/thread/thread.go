// Package thread knows the threads of small screws: their diameters, pitches and
// tap drills, metric and unified.
//
// Lengths are millimetres.
package thread

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
)

// mmPerInch is exact (international yard and pound agreement, 1959).
const mmPerInch = 25.4

// Thread is an internal thread with the drill for it.
type Thread struct {
	Name      string  // "M3", "M3x0.35", "6-32"
	Series    string  // "metric coarse", "unified fine" and so on
	Major     float64 // diameter over the crests of the screw, mm
	Pitch     float64 // mm
	Drill     float64 // diameter of the tap drill, mm
	DrillName string  // as it is sold: "2.50 mm", "#36", "5/16"
}

// Minor returns the basic diameter of the hole inside the thread, D - 1.25 H with
// H = P sqrt(3)/2 (ISO 68-1, ASME B1.1).
func (t Thread) Minor() float64 { return t.Major - 1.25*math.Sqrt(3)/2*t.Pitch }

// Percent returns how much of a thread a hole of that diameter leaves: 100 for a
// height of 3/4 H a side, the convention of inch tap-drill charts.
func (t Thread) Percent(hole float64) float64 {
	return 100 * (t.Major - hole) / (1.5 * math.Sqrt(3) / 2 * t.Pitch)
}

//go:embed tapdrills.csv
var tapDrills string

var table = sync.OnceValues(func() ([]Thread, error) {
	r := csv.NewReader(strings.NewReader(tapDrills))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	var out []Thread
	for _, row := range rows[1:] {
		var v [3]float64
		for i, cell := range []string{row[2], row[3], row[5]} {
			if v[i], err = strconv.ParseFloat(cell, 64); err != nil {
				return nil, fmt.Errorf("thread %s: %w", row[0], err)
			}
		}
		t := Thread{Name: row[0], Series: row[1], Major: v[0], Pitch: v[1], Drill: v[2], DrillName: row[6]}
		if row[4] == "in" {
			t.Major, t.Drill, t.Pitch = v[0]*mmPerInch, v[2]*mmPerInch, mmPerInch/v[1]
		}
		out = append(out, t)
	}
	return out, nil
})

// Table returns all threads that are known, in the order of the table.
func Table() []Thread {
	t, err := table()
	if err != nil {
		panic("thread: the table of tap drills is broken: " + err.Error()) // it is part of the program and tested
	}
	return append([]Thread(nil), t...)
}

// Find returns the thread of a name: M3, M3x0.5 (the coarse pitch may be named),
// M3x0.35, 6-32, #6-32, 1/4-20. The error lists what there is of that size.
func Find(name string) (Thread, error) {
	key := normal(name)
	var near []string
	for _, t := range Table() {
		full := t.Name
		if strings.HasPrefix(t.Name, "M") && !strings.Contains(t.Name, "x") {
			full += "x" + strconv.FormatFloat(t.Pitch, 'g', -1, 64)
		}
		if key == normal(t.Name) || key == normal(full) {
			return t, nil
		}
		if size, _, _ := strings.Cut(normal(full), "x"); size != "" && sizeOf(key) == sizeOf(size) {
			near = append(near, t.Name)
		}
	}
	if len(near) > 0 {
		return Thread{}, fmt.Errorf("the table of tap drills has no thread %q; of that size it has %s", name, strings.Join(near, ", "))
	}
	return Thread{}, fmt.Errorf("the table of tap drills has no thread %q; write for example M3, M4x0.5, 6-32 or 1/4-20", name)
}

// normal takes out what people write one way or the other.
func normal(s string) string {
	s = strings.ToUpper(strings.Join(strings.Fields(s), ""))
	s = strings.NewReplacer("×", "x", "X", "x", "#", "", "UNC", "", "UNF", "").Replace(s)
	return s
}

// sizeOf returns the part of a normal name before the pitch.
func sizeOf(s string) string {
	size, _, _ := strings.Cut(s, "x")
	size, _, _ = strings.Cut(size, "-")
	return size
}
