package interp

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// NISTIR 6556, section 3.5.10 and appendix B (from memory); the moves are
// calculated from its rules. Tool 1 has a radius of 0.25, 2 of 0.5, 4 of -0.25.
func TestCompensation(t *testing.T) {
	for _, c := range []struct {
		name  string
		start geom.Point3
		text  string
		want  string
	}{
		{"D0 is no radius", geom.Point3{}, "G41 D0 G1 X2 Y0|Y2|X0|G3 X2 I1", "F 2,0,0; F 2,2,0; F 0,2,0; A+1 2,2,0 about 1,2,0 by 180"},
		{"D by default of the tool in the spindle", geom.Point3{}, "T1 M6|G41 G1 X2", "tool select 1; tool change 1; F 1.96875,0.248039,0"},
		{"a radius below zero is the other side", geom.Point3{}, "G41 D4 G1 X2 Y0|Y2", "F 1.96875,-0.248039,0; A+1 2.25,0,0 about 2,0,0 by 97.180756; F 2.25,2,0"},
		{"a tool change keeps the radius", geom.Pt3(-2, 0, 0), "G41 D1 G1 X0|T2 M6|X2", "F -0.03125,0.248039,0; tool select 2; tool change 2; A-1 0,0.25,0 about 0,0,0 by 7.180756; F 2,0.25,0"},
		{"straight on", geom.Pt3(-1, 0.25, 0), "G41 D1 G1 X1 Y0|X3|X4 Z-1", "F 1,0.25,0; F 3,0.25,0; F 4,0.25,-1"},
		{"Z alone before the entry", geom.Point3{}, "G41 D1 G1 Z-1|X2", "F 0,0,-1; F 1.96875,0.248039,-1"},
		{"Z alone later", geom.Point3{}, "G42 D1 G1 X2|Z-1|Y2", "F 1.96875,-0.248039,0; F 1.96875,-0.248039,-1; A+1 2.25,0,-1 about 2,0,-1 by 97.180756; F 2.25,2,-1"},
		{"traverse", geom.Point3{}, "G42 D1 G0 X2|Y2", "T 1.96875,-0.248039,0; A+1 2.25,0,0 about 2,0,0 by 97.180756; T 2.25,2,0"},
		{"increments count from the programmed point", geom.Point3{}, "G91 G42 D1 G1 X2|Y2|X-1|G40 X1",
			"F 1.96875,-0.248039,0; A+1 2.25,0,0 about 2,0,0 by 97.180756; F 2.25,2,0; A+1 2,2.25,0 about 2,2,0 by 90; F 1,2.25,0; F 2,2.25,0"},
		{"arc outside", geom.Pt3(0, 0.25, 0), "G41 D1 G1 X2 Y0|G2 X4 Y-2 J-2|G1 Y-4", "F 2,0.25,0; A-1 4.25,-2,0 about 2,-2,0 by 90; F 4.25,-4,0"},
		{"arc inside", geom.Pt3(0, -0.25, 0), "G42 D1 G1 X2 Y0|G2 X4 Y-2 J-2", "F 2,-0.25,0; A-1 3.75,-2,0 about 2,-2,0 by 90"},
		{"arc by radius", geom.Pt3(0, 0.25, 0), "G41 D1 G1 X2 Y0|G2 X4 Y-2 R2", "F 2,0.25,0; A-1 4.25,-2,0 about 2,-2,0 by 90"},
		{"helix outside", geom.Pt3(0, 0.25, 0), "G41 D1 G1 X2 Y0|G2 X4 Y-2 J-2 Z-1", "F 2,0.25,0; A-1 4.25,-2,-1 about 2,-2,0 by 90"},
		{"corner into an arc", geom.Pt3(0, 0.25, 0), "G41 D1 G1 X2 Y0|G3 X4 Y-2 I2", "F 2,0.25,0; A-1 2.25,0,0 about 2,0,0 by 90; A+1 4,-1.75,0 about 4,0,0 by 90"},
		{"full circle", geom.Pt3(0, 0.25, 0), "G41 D1 G1 X2 Y0|G2 J-2 X2 Y0", "F 2,0.25,0; A-1 2,0.25,0 about 2,-2,0 by 360"},
		{"first move an arc outside", geom.Pt3(0, 2.25, 0), "G41 D1 G2 X2 Y0 I0 J-2.25", "A-1 2.25,0,0 about 0,0,0 by 90"},
		{"first move an arc by radius, inside", geom.Point3{}, "G41 D2 G3 X2 Y-2.5 R2.5", "A+1 2,-2,0 about 2,0,0 by 90"},
		{"first move an arc by radius, outside", geom.Pt3(0, 2.25, 0), "G41 D1 G2 X2 Y0 R2", "A-1 2.25,0,0 about 0,0,0 by 90"},
		{"first move a long arc by radius, outside", geom.Pt3(0, 2.25, 0), "G41 D1 G2 X-2 Y0 R-2", "A-1 -2.25,0,0 about 0,0,0 by 270"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := moves(t, "F100\n"+strings.ReplaceAll(c.text, "|", "\n"), Options{Start: c.start, Tools: vectorTools})
			assert.Equal(t, list(c.want), got)
		})
	}
}

func TestCompensationState(t *testing.T) {
	s, _ := states(t, "F9 G42 D4 G1 X2\nG40 X3\nM2", Options{Tools: vectorTools})
	assert.Equal(t, geom.CW, s[0].CompSide)
	assert.Equal(t, -0.25, s[0].CompRadius)
	assert.Equal(t, 4, s[0].CompIndex)
	assert.Equal(t, geom.Straight, s[1].CompSide)
}

// A corner's arc and its line share the time of their block.
func TestCornerUnderInverseTime(t *testing.T) {
	sum := 0.0
	text := "G93 G42 D1\nG1 X2 F4\nY2 F2\nG2 X4 R1 F8\nM2"
	_, err := Run(gcode.NewReader(strings.NewReader(text), gcode.Options{}), Options{Tools: vectorTools}, func(e *Event) error {
		if e.Kind != ProgramEnd {
			sum += e.Minutes()
		}
		return nil
	})
	require.NoError(t, err)
	assert.InDelta(t, 1.0/4+1.0/2+1.0/8, sum, 1e-12)
}

// Round any convex contour, in either sense and on either side of the material,
// the tool touches each line and never comes nearer to the contour than its
// radius, except for the sagitta of the turns that count as straight on.
func TestCompensationKeepsItsDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(t, "corners")
		r := rapid.Float64Range(0.1, 3).Draw(t, "radius")
		size := rapid.Float64Range(5, 50).Draw(t, "size")
		left := rapid.Bool().Draw(t, "left")
		corners := make([]geom.Point, n)
		for i := range corners {
			a := 2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.8).Draw(t, "angle")) / float64(n)
			if left { // clockwise with the tool on the left is outside, too
				a = -a
			}
			corners[i] = geom.Polar(size, a)
		}
		var b strings.Builder
		code := 42
		if left {
			code = 41
		}
		start := corners[0].Sub(corners[1]).Unit().Mul(2 * r).Add(corners[0])
		fmt.Fprintf(&b, "F100 G%d D1\nG1 X%.9f Y%.9f\n", code, corners[0].X, corners[0].Y)
		for i := range corners {
			p := corners[(i+1)%n]
			fmt.Fprintf(&b, "X%.9f Y%.9f\n", p.X, p.Y)
		}
		b.WriteString("M2\n")
		o := Options{Tools: map[int]Tool{1: {Diameter: 2 * r}}, Start: start.At(0)}
		slack := r*(1-math.Cos(cornerAngle)) + 1e-6
		least, block := math.Inf(1), 0
		_, err := Run(gcode.NewReader(strings.NewReader(b.String()), gcode.Options{}), o, func(e *Event) error {
			if e.Block < 4 || e.Kind == ProgramEnd { // on the way in the last line is not kept yet
				return nil
			}
			if e.Kind == Arc && math.Abs(e.From.Dist(e.Centre)-r) > 1e-7 {
				return fmt.Errorf("corner of radius %v, not %v", e.From.Dist(e.Centre), r)
			}
			for k := range 9 {
				p := along(e, float64(k)/8)
				d := math.Inf(1)
				for i := range corners {
					d = math.Min(d, distance(p, corners[i], corners[(i+1)%n]))
				}
				if d < r-slack {
					return fmt.Errorf("block %d: %v from the contour at %v", e.Block, d, p)
				}
				least = math.Min(least, d)
			}
			if e.Kind == Feed && block != e.Block {
				block = e.Block
				if least > r+slack {
					return fmt.Errorf("block %d does not touch the contour: %v", e.Block, least)
				}
				least = math.Inf(1)
			}
			return nil
		})
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
	})
}

// along returns the place at the fraction f of the move, in the plane XY.
func along(e *Event, f float64) geom.Point {
	if e.Kind != Arc {
		return e.From.XY().Lerp(e.To.XY(), f)
	}
	u := e.From.XY().Sub(e.Centre.XY())
	return e.Centre.XY().Add(geom.Polar(u.Len(), u.Angle()+float64(e.Turn)*e.Sweep*f))
}

// distance returns how far p is from the line a b.
func distance(p, a, b geom.Point) float64 {
	d := b.Sub(a)
	f := math.Max(0, math.Min(1, p.Sub(a).Dot(d)/d.Dot(d)))
	return p.Dist(a.Lerp(b, f))
}

// An arc's event is true to itself: turning by Sweep about Centre leads from From
// to To, in all planes, both formats and both units.
func TestArcsArrive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plane := rapid.IntRange(0, 2).Draw(t, "plane")
		ccw := rapid.Bool().Draw(t, "ccw")
		inch := rapid.Bool().Draw(t, "inch")
		r := rapid.Float64Range(0.5, 40).Draw(t, "radius")
		a := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "from")
		sweep := rapid.Float64Range(0.05, 6.2).Draw(t, "sweep")
		rise := rapid.Float64Range(-5, 5).Draw(t, "rise")
		start := geom.Pt3(3, -4, 5)
		sense := 1.0
		if !ccw {
			sense = -1
		}
		d0, d1 := geom.Polar(r, a), geom.Polar(r, a+sense*sweep)
		to := d1.Sub(d0) // in the plane
		var axes, offs string
		switch plane {
		case 0:
			axes, offs = fmt.Sprintf("X%.7f Y%.7f Z%.7f", to.X, to.Y, rise), fmt.Sprintf("I%.7f J%.7f", -d0.X, -d0.Y)
		case 1:
			axes, offs = fmt.Sprintf("Z%.7f X%.7f Y%.7f", to.X, to.Y, rise), fmt.Sprintf("K%.7f I%.7f", -d0.X, -d0.Y)
		default:
			axes, offs = fmt.Sprintf("Y%.7f Z%.7f X%.7f", to.X, to.Y, rise), fmt.Sprintf("J%.7f K%.7f", -d0.X, -d0.Y)
		}
		// Beside a half circle the radius format is badly conditioned.
		if rapid.Bool().Draw(t, "by radius") && math.Abs(sweep-math.Pi) > 0.1 && sweep < 6 {
			if sweep > math.Pi {
				r = -r
			}
			offs = fmt.Sprintf("R%.7f", r)
		}
		unit, scale := 21, 1.0
		if inch {
			unit, scale = 20, mmPerInch
		}
		text := fmt.Sprintf("G%d G%d G91\nF100\nG%d %s %s\nM2", unit, 17+plane, map[bool]int{true: 3, false: 2}[ccw], axes, offs)
		err := error(nil)
		_, err = Run(gcode.NewReader(strings.NewReader(text), gcode.Options{}), Options{Start: start}, func(e *Event) error {
			if e.Kind != Arc {
				return nil
			}
			if math.Abs(e.Sweep-sweep) > 1e-4 {
				return fmt.Errorf("sweep %v, not %v", e.Sweep, sweep)
			}
			first, second, normal := e.Plane.axes()
			f, g, c := xyz(e.From), xyz(e.To), xyz(e.Centre)
			u := geom.Pt(f[first]-c[first], f[second]-c[second])
			v := geom.Pt(g[first]-c[first], g[second]-c[second])
			w := geom.Polar(u.Len(), u.Angle()+float64(e.Turn)*e.Sweep)
			if w.Dist(v) > 1e-3*scale || c[normal] != f[normal] {
				return fmt.Errorf("arrives at %v, not %v", w, v)
			}
			if math.Abs(g[normal]-f[normal]-rise*scale) > 1e-6*scale {
				return fmt.Errorf("rises by %v", g[normal]-f[normal])
			}
			return nil
		})
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
	})
}

func xyz(p geom.Point3) [3]float64 { return [3]float64{p.X, p.Y, p.Z} }

// Where a line runs into an arc almost in its direction there is no corner, and
// the arc's event is still true to itself.
func TestCompensatedArcAfterAlmostTangentLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn := rapid.Float64Range(-0.0099, 0.0099).Draw(t, "turn")
		code := rapid.SampledFrom([]int{41, 42}).Draw(t, "side")
		ccw := rapid.Bool().Draw(t, "ccw")
		sweep := rapid.Float64Range(0.1, 2*math.Pi).Draw(t, "sweep")
		r := rapid.Float64Range(2, 30).Draw(t, "radius")
		full := rapid.Bool().Draw(t, "full")
		word, sense := "G2", -1.0
		if ccw {
			word, sense = "G3", 1
		}
		centre := geom.Polar(r, turn+sense*math.Pi/2)
		end := centre.Add(geom.Polar(r, turn-sense*math.Pi/2+sense*sweep))
		if full {
			end = geom.Point{}
		}
		text := fmt.Sprintf("F9 G%d D2 G1 X0 Y0\n%s X%.9f Y%.9f I%.9f J%.9f\nM2\n", code, word, end.X, end.Y, centre.X, centre.Y)
		side := 0.5
		if code == 42 {
			side = -0.5
		}
		arcs := 0
		_, err := Run(gcode.NewReader(strings.NewReader(text), gcode.Options{}), Options{Tools: vectorTools, Start: geom.Pt3(-10, side, 0)}, func(e *Event) error {
			if e.Kind == Arc {
				arcs++
			}
			if e.Kind == Arc && full && e.Sweep < 6.2 {
				return fmt.Errorf("a full circle turns by %v", e.Sweep)
			}
			return coherent(e)
		})
		if err != nil || arcs != 1 {
			t.Fatalf("%d arcs, %v\n%s", arcs, err, text)
		}
	})
}
