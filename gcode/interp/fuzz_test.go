package interp

import (
	"bytes"
	"errors"
	"math"
	"testing"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// FuzzRun: no text makes the interpreter panic, hang, or tell something that is
// not finite or not coherent; a program runs the same as a stream and in memory.
func FuzzRun(f *testing.F) {
	for _, v := range vectors {
		f.Add([]byte(v.setup+"\n"+replaceBars(v.text)+"\nM2\n"), uint16(0))
	}
	for _, c := range faults {
		f.Add([]byte(replaceBars(c.text)+"\nM2\n"), uint16(0))
	}
	f.Add([]byte("O1\nM98 P100 L2\nM30\nO100\nG91 G0 X1\nM99\n"), uint16(255))
	f.Add([]byte("F9 M3\nG73 X1 Z-2.5 R1 Q1.5\nS9 G33.1 Z-1 K1 ; tap"), uint16(31))
	f.Add([]byte("F9 G91 G81 X1 Z-1 R0 L1000000000\nG83 Z-9 Q1e9"), uint16(0))
	f.Fuzz(func(t *testing.T, text []byte, switches uint16) {
		if len(text) > 1<<16 {
			return
		}
		on := func(bit int) bool { return switches&(1<<bit) != 0 }
		o := Options{
			Tools: vectorTools, Start: geom.Pt3(0, 0, 5), Surface: floor(0), Inch: on(5), BlockDelete: on(6), OptionalStop: on(7),
			Practice: Practice{on(0), on(1), on(2), on(3), on(4)},
			Lacks:    Lacks{A: on(8), CannedCycles: on(9), Parameters: on(10), Helices: on(11), Expressions: on(12)},
			Limits:   Limits{Blocks: 5000, Events: 20000, Repeats: 100, Pecks: 100},
		}
		var events int
		var at geom.Point3
		check := func(e *Event) error {
			events++
			if err := coherent(e); err != nil {
				t.Fatalf("block %d: %v: %+v %+v", e.Block, err, e, e.State)
			}
			at = e.To
			return nil
		}
		p, perr := gcode.Parse("f", bytes.NewReader(text), o.ReadOptions("f"))
		final, err := Run(p.Source(), o, check)
		if final.Events != events || events > o.Limits.Events {
			t.Fatalf("%d events, told %d", events, final.Events)
		}
		var e *gcode.Error
		if err != nil && !errors.As(err, &e) {
			t.Fatalf("unknown error %v", err)
		}
		if final.Ended != (err == nil) {
			t.Fatalf("ended %v with %v", final.Ended, err)
		}
		if perr != nil {
			return
		}
		memory, there := events, at
		events = 0
		_, err2 := Run(gcode.NewReader(bytes.NewReader(text), o.ReadOptions("f")), o, check)
		if events != memory || at != there || (err == nil) != (err2 == nil) {
			t.Fatalf("stream and memory differ: %d %d events, %v, %v", events, memory, err, err2)
		}
	})
}

func replaceBars(s string) string {
	return string(bytes.ReplaceAll([]byte(s), []byte("|"), []byte("\n")))
}

// coherent checks what every event promises.
func coherent(e *Event) error {
	if !e.From.Finite() || !e.To.Finite() || !e.Centre.Finite() || e.Block < 1 || e.State == nil {
		return errors.New("not finite")
	}
	s := e.State
	if s.FeedRate < 0 || s.SpindleSpeed < 0 || s.System < 1 || s.System > 9 || s.Tool < 0 {
		return errors.New("state out of range")
	}
	switch e.Kind {
	case Feed, Arc, Probe:
		if !(s.FeedRate > 0) {
			return errors.New("no feed")
		}
		if m := e.Minutes(); math.IsNaN(m) || math.IsInf(m, 0) || m < 0 {
			return errors.New("no time")
		}
	case Traverse:
	default:
		if e.From != e.To || e.Rotates() {
			return errors.New("moves")
		}
	}
	if e.Kind != Arc {
		if e.Sweep != 0 || e.Turn != geom.Straight {
			return errors.New("turns")
		}
		return nil
	}
	if !(e.Sweep > 0 && e.Sweep <= 2*math.Pi+1e-12) || e.Turn == geom.Straight {
		return errors.New("sweep")
	}
	first, second, normal := e.Plane.axes()
	f, to, c := xyz(e.From), xyz(e.To), xyz(e.Centre)
	if f[normal] != c[normal] {
		return errors.New("centre off the level")
	}
	r0 := math.Hypot(f[first]-c[first], f[second]-c[second])
	r1 := math.Hypot(to[first]-c[first], to[second]-c[second])
	// Beside the published tolerance, the slack that corners leave a compensated
	// arc, and the rounding of places a kilometre away.
	slack := arcToleranceInch*mmPerInch + 1e-6 + 2*cornerAngle*math.Abs(s.CompRadius)
	if math.Abs(r0-r1) > slack {
		return errors.New("radii")
	}
	u := geom.Pt(f[first]-c[first], f[second]-c[second])
	v := geom.Pt(to[first]-c[first], to[second]-c[second])
	arrives := geom.Polar(r1, u.Angle()+float64(e.Turn)*e.Sweep)
	if arrives.Dist(v) > slack+1e-9*r1 {
		return errors.New("arrives elsewhere")
	}
	return nil
}
