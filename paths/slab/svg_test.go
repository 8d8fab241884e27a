package slab

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/paths/geom"
)

// drawn returns what path data draws with one unit to the mm and Y as written.
func drawn(d string) (string, error) {
	b := &builder{m: identity, room: 1000}
	if err := drawPath(b, d); err != nil {
		return "", err
	}
	contours, paths, err := b.finish()
	if err != nil {
		return "", err
	}
	var parts []string
	for _, c := range contours {
		parts = append(parts, c.String())
	}
	for _, p := range paths {
		parts = append(parts, p.String())
	}
	return strings.Join(parts, " "), nil
}

func TestPathData(t *testing.T) {
	for _, c := range []struct{ name, d, want string }{
		// SVG 1.1, 8.3.1: commands follow each other without blanks, and "M 100-200"
		// is two numbers.
		{"no blanks (8.3.1)", "M 100 100 L 200 200", "M 100 100 L 200 200"},
		{"no blanks (8.3.1)", "M100 100L200 200", "M 100 100 L 200 200"},
		{"repeated command (8.3.1)", "M 100 200 L 200 100 -100 -200", "M 100 200 L 200 100 L -100 -200"},
		{"repeated command (8.3.1)", "M 100 200 L 200 100 L -100 -200", "M 100 200 L 200 100 L -100 -200"},
		{"moveto then lineto (8.3.1)", "M 100 200 200 100 -100 -200", "M 100 200 L 200 100 L -100 -200"},
		// SVG 1.1, 8.3.2: further pairs of m are relative lines; the first m is absolute.
		{"relative moveto (8.3.2)", "m 10 20 5 0 0 5", "M 10 20 L 15 20 L 15 25"},
		// SVG 1.1, example triangle01.
		{"triangle01", "M 100 100 L 300 100 L 200 300 z", "M 100 100 L 300 100 L 200 300 Z"},
		// SVG 1.1, 8.3.3: after closepath the next command begins at the same point.
		{"after closepath (8.3.3)", "M1 1h4v4z l-2 0 0-2z", "M 1 1 L 5 1 L 5 5 Z M 1 1 L -1 1 L -1 -1 Z"},
		{"relative moveto after closepath", "M1 1h4v4zm10 0h1v1z", "M 1 1 L 5 1 L 5 5 Z M 11 1 L 12 1 L 12 2 Z"},
		// SVG 1.1, 8.3.4.
		{"horizontal and vertical (8.3.4)", "M1 2H5V7h-1v-2h1 2", "M 1 2 L 5 2 L 5 7 L 4 7 L 4 5 L 5 5 L 7 5"},
		// SVG 1.1, 8.3.9: the grammar takes as much as it can for each number.
		{"M 100-200 (8.3.9)", "M 100-200 L1-1", "M 100 -200 L 1 -1"},
		{"M 0.6.5 (8.3.9)", "M 0.6.5 L1 1", "M 0.6 0.5 L 1 1"},
		{"exponents (8.3.9)", "M1e1,2E-1L.5e+1-1.5E0", "M 10 0.2 L 5 -1.5"},
		{"commas (8.3.9)", "M 1 , 2 , 3,4", "M 1 2 L 3 4"},
		{"point at the end (8.3.9)", "M1. 2.L3.,4", "M 1 2 L 3 4"},
		{"all white space (8.3.9)", "\t\r\n M\n1\r2\tL\f3\n4 ", "M 1 2 L 3 4"},
		{"signs (8.3.9)", "M+1+2L-3+4", "M 1 2 L -3 4"},
		// SVG 2, 9.3.1: "none" and the empty string draw nothing.
		{"empty", "", ""},
		{"none", "none", ""},
		{"only moveto", "M 3 4", ""},
		// SVG 1.1, 8.3.8 and 8.3.9: flags are one character and need nothing after them.
		{"flags packed", "M0 0A5 5 0 0110 0", "M 0 0 A 5 0 10 0 ccw"},
		{"flags and numbers packed", "M0 0a5,5,0,11.0.0M0 0a5 5 0 1110 0", "M 0 0 A 5 0 10 0 ccw"},
		{"flags packed before a sign", "M0 0a5 5 0 00-10 0", "M 0 0 A -5 0 -10 0 cw"},
		// SVG 1.1, F.6.2: same ends draw nothing, no radius is a line, the sign of a
		// radius is dropped, radii that do not reach grow.
		{"arc to itself (F.6.2)", "M1 1A5 5 0 0 1 1 1L2 2", "M 1 1 L 2 2"},
		{"no radius (F.6.2)", "M0 0A0 5 0 0 1 10 0A5 0 0 0 1 20 0", "M 0 0 L 10 0 L 20 0"},
		{"negative radii (F.6.6)", "M0 0A-5-5 0 0 1 10 0", "M 0 0 A 5 0 10 0 ccw"},
		{"radii too small (F.6.6)", "M0 0A1 1 0 0 1 10 0", "M 0 0 A 5 0 10 0 ccw"},
		// The ends meet without z.
		{"closed by its own", "M0 0H4V4L0 0", "M 0 0 L 4 0 L 4 4 Z"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := drawn(c.d)
			require.NoError(t, err)
			assert.Equal(t, c.want, got)
		})
	}
}

func TestPathDataFaults(t *testing.T) {
	for _, c := range []struct{ d, want string }{
		{"L 1 1", "character 1: want a path that begins with M or m"},
		{"1 1", "character 1: want a command"},
		{"M", "character 2: want a number, but the text ends"},
		{"M 1", "character 4: want a number, but the text ends"},
		{"M 1 2 L 3", "want a number, but the text ends"},
		{"M 1,,2", "character 5: want a number"},
		{"M ,1 2", "character 3: want a number"},
		{"M 1 2,", "want a number after the comma"},
		{"M 1 2 X", "character 7: want a command"},
		{"M 1 2 L 3 4 #", "want a command"},
		{"M 1 2 z 3 4", "character 9: want a command"},
		{"M 1 2 A 5 5 0 2 0 3 3", "want a flag 0 or 1"},
		{"M 1 2 A 5 5 0 1. 0 3 3", "want a flag 0 or 1"},
		{"M NaN 1", "want a number"},
		{"M inf 1", "want a number"},
		{"M 1e999 1", "out of range"},
		{"M 1e12 1", "out of range"},
		{"M 0x10 1", "want a number"},
		{"M 1 2 L 99999 1", "beyond 10 m"},
		{"M 1 2 M -", "want a number"},
		{"\u2028M 1 2", "want a command"},
	} {
		_, err := drawn(c.d)
		require.Error(t, err, c.d)
		assert.Contains(t, err.Error(), c.want, c.d)
	}
}

// TestPathCurves checks points of curves against their formulas.
func TestPathCurves(t *testing.T) {
	bezier := func(p ...geom.Point) func(float64) geom.Point { // de Casteljau
		return func(u float64) geom.Point {
			q := append([]geom.Point{}, p...)
			for n := len(q) - 1; n > 0; n-- {
				for i := range n {
					q[i] = q[i].Lerp(q[i+1], u)
				}
			}
			return q[0]
		}
	}
	pt := geom.Pt
	for _, c := range []struct {
		name, d string
		pieces  []func(float64) geom.Point
	}{
		// SVG 1.1, example cubic01: S takes the reflection of the control point before.
		{"cubic01 (8.3.6)", "M100,200 C100,100 250,100 250,200 S400,300 400,200",
			[]func(float64) geom.Point{bezier(pt(100, 200), pt(100, 100), pt(250, 100), pt(250, 200)), bezier(pt(250, 200), pt(250, 300), pt(400, 300), pt(400, 200))}},
		{"relative (8.3.6)", "m100,200c0-100 150-100 150 0s150,100 150,0",
			[]func(float64) geom.Point{bezier(pt(100, 200), pt(100, 100), pt(250, 100), pt(250, 200)), bezier(pt(250, 200), pt(250, 300), pt(400, 300), pt(400, 200))}},
		// S after no cubic: the first control point is the current point.
		{"S alone (8.3.6)", "M0 0 Q 5 5 10 0 S 20 10 30 0",
			[]func(float64) geom.Point{bezier(pt(0, 0), pt(5, 5), pt(10, 0)), bezier(pt(10, 0), pt(10, 0), pt(20, 10), pt(30, 0))}},
		// SVG 1.1, example quad01.
		{"quad01 (8.3.7)", "M200,300 Q400,50 600,300 T1000,300",
			[]func(float64) geom.Point{bezier(pt(200, 300), pt(400, 50), pt(600, 300)), bezier(pt(600, 300), pt(800, 550), pt(1000, 300))}},
		{"T after T (8.3.7)", "M0 0q5-5 10 0t10 0 10 0",
			[]func(float64) geom.Point{bezier(pt(0, 0), pt(5, -5), pt(10, 0)), bezier(pt(10, 0), pt(15, 5), pt(20, 0)), bezier(pt(20, 0), pt(25, -5), pt(30, 0))}},
		{"T after a cubic (8.3.7)", "M0 0C0 5 5 5 9 0T20 8",
			[]func(float64) geom.Point{bezier(pt(0, 0), pt(0, 5), pt(5, 5), pt(9, 0)), bezier(pt(9, 0), pt(9, 0), pt(20, 8))}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := &builder{m: identity, room: 1000}
			require.NoError(t, drawPath(b, c.d))
			_, paths, err := b.finish()
			require.NoError(t, err)
			require.Len(t, paths, 1)
			for _, f := range c.pieces {
				for k := range 21 {
					assert.LessOrEqual(t, paths[0].Distance(f(float64(k)/20)), curveTolerance)
				}
			}
			assert.LessOrEqual(t, paths[0].End().Dist(c.pieces[len(c.pieces)-1](1)), geom.Tol)
		})
	}
}

// TestArcProperties checks arcs against the implicit equation of their ellipse
// under any map (SVG 1.1, appendix F.6).
func TestArcProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		from, to := geom.Pt(num("x", -50, 50), num("y", -50, 50)), geom.Pt(num("x", -50, 50), num("y", -50, 50))
		if from.Dist(to) < 0.01 {
			return
		}
		rx, ry, degrees := num("rx", 2, 80), num("ry", 2, 80), num("degrees", -400, 400)
		large, sweep := rapid.Bool().Draw(t, "large"), rapid.Bool().Draw(t, "sweep")
		m := affine{num("a", -2, 2), num("b", -2, 2), num("c", -2, 2), num("d", -2, 2), num("e", -9, 9), num("f", -9, 9)}
		det := m.a*m.d - m.b*m.c
		if math.Abs(det) < 0.2 {
			return
		}
		b := &builder{m: m, room: 100000}
		require.NoError(t, b.move(from))
		require.NoError(t, b.arc(from, to, rx, ry, degrees, large, sweep))
		_, paths, err := b.finish()
		require.NoError(t, err)
		require.Len(t, paths, 1)
		p := paths[0]
		// (1) It joins the ends.
		require.Equal(t, m.apply(from), p.Start())
		require.Equal(t, m.apply(to), p.End())
		// (2) Mapped back to where the ellipse is the unit circle, its points lie on
		// one circle of radius 1, or as small as reaches both ends.
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		back := func(q geom.Point) geom.Point {
			x, y := q.X-m.e, q.Y-m.f
			x, y = (m.d*x-m.c*y)/det, (m.a*y-m.b*x)/det
			return geom.Pt((cos*x+sin*y)/rx, (cos*y-sin*x)/ry)
		}
		var u []geom.Point
		for k := range 9 {
			u = append(u, back(p.At(p.Length()*float64(k)/8)))
		}
		chord := u[8].Sub(u[0])
		radius := math.Max(1, chord.Len()/2)
		rise := math.Sqrt(math.Max(0, radius*radius-chord.Dot(chord)/4))
		// With one of large and sweep the centre lies to the left of the chord.
		side := 1.0
		if large == sweep {
			side = -1
		}
		centre := u[0].Lerp(u[8], 0.5).Add(chord.Unit().Left().Mul(side * rise))
		for _, q := range u {
			// 1 um of error, mapped back.
			require.InDelta(t, radius, q.Dist(centre), 0.01)
		}
		// (3) Large arcs are longer than half of it, sweep is toward positive angles.
		turn := 0.0
		for k := range 8 {
			a, b := u[k].Sub(centre), u[k+1].Sub(centre)
			turn += math.Atan2(a.Cross(b), a.Dot(b))
		}
		if rise > 0.05 {
			require.Equal(t, large, math.Abs(turn) > math.Pi, "turn %g", turn)
			require.Equal(t, sweep, turn > 0, "turn %g", turn)
		}
	})
}

const head = `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">` + "\n"

func read(text string) ([]Shape, error) { return ReadSVG(strings.NewReader(text), SVGOptions{}) }

func TestShapes(t *testing.T) {
	for _, c := range []struct {
		name, body string
		area       float64
		box        geom.Box
	}{
		{"rect", `<rect x="10" y="20" width="30" height="40"/>`, 1200, geom.Box{Min: geom.Pt(10, 20), Max: geom.Pt(40, 60)}},
		{"round rect, ry like rx (9.2)", `<rect x="10" y="20" width="30" height="40" rx="5"/>`, 1200 - (4-math.Pi)*25, geom.Box{Min: geom.Pt(10, 20), Max: geom.Pt(40, 60)}},
		{"rx beyond half (9.2)", `<rect x="10" y="20" width="30" height="30" rx="99"/>`, math.Pi * 225, geom.Box{Min: geom.Pt(10, 30), Max: geom.Pt(40, 60)}},
		{"circle", `<circle cx="50" cy="40" r="10"/>`, math.Pi * 100, geom.Box{Min: geom.Pt(40, 30), Max: geom.Pt(60, 50)}},
		{"circle in percent of the viewBox (7.10)", `<circle cx="50%" cy="50%" r="10"/>`, math.Pi * 100, geom.Box{Min: geom.Pt(40, 30), Max: geom.Pt(60, 50)}},
		{"ellipse", `<ellipse cx="50" cy="40" rx="20" ry="10"/>`, math.Pi * 200, geom.Box{Min: geom.Pt(30, 30), Max: geom.Pt(70, 50)}},
		{"ellipse turned round", `<ellipse cx="50" cy="-40" rx="20" ry="10" transform="matrix(0 0.5 -2 0 0 0)"/>`, math.Pi * 200, geom.Box{Min: geom.Pt(60, 45), Max: geom.Pt(100, 65)}},
		{"ellipse made a circle", `<ellipse cx="25" cy="40" rx="5" ry="10" transform="scale(2 1)"/>`, math.Pi * 100, geom.Box{Min: geom.Pt(40, 30), Max: geom.Pt(60, 50)}},
		{"polygon", `<polygon points="10,10 20,10 20,30"/>`, 100, geom.Box{Min: geom.Pt(10, 50), Max: geom.Pt(20, 70)}},
		{"polyline that closes", `<polyline points="10,10 20,10 20,30 10 10"/>`, 100, geom.Box{Min: geom.Pt(10, 50), Max: geom.Pt(20, 70)}},
		{"nested transforms", `<g transform="translate(10 20)"><g transform="scale(2)"><rect width="5" height="5" transform="translate(1)"/></g></g>`, 100, geom.Box{Min: geom.Pt(12, 50), Max: geom.Pt(22, 60)}},
		// SVG 1.1, 7.6: a list applies from the last to the first.
		{"transform list", `<rect width="5" height="5" transform="translate(10 20), scale(2) translate(1,0)"/>`, 100, geom.Box{Min: geom.Pt(12, 50), Max: geom.Pt(22, 60)}},
		{"rotate about a point", `<rect x="10" y="10" width="20" height="10" transform="rotate(90 10 10)"/>`, 200, geom.Box{Min: geom.Pt(0, 50), Max: geom.Pt(10, 70)}},
		{"skewX", `<rect x="0" y="0" width="10" height="10" transform="skewX(45)"/>`, 100, geom.Box{Min: geom.Pt(0, 70), Max: geom.Pt(20, 80)}},
		{"skewY", `<rect x="0" y="0" width="10" height="10" transform="skewY(45)"/>`, 100, geom.Box{Min: geom.Pt(0, 60), Max: geom.Pt(10, 80)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			shapes, err := read(head + c.body + "</svg>")
			require.NoError(t, err)
			require.Len(t, shapes, 1)
			r, err := shapes[0].Region(geom.NonZero)
			require.NoError(t, err)
			assert.InDelta(t, c.area, r.Area(), 0.05)
			box := r.Bounds()
			assert.InDelta(t, 0, box.Min.Dist(c.box.Min), 0.002, "%v", box)
			assert.InDelta(t, 0, box.Max.Dist(c.box.Max), 0.002, "%v", box)
			assert.Equal(t, 2, shapes[0].Line)
		})
	}
}

func TestDrawsNothing(t *testing.T) {
	for _, body := range []string{
		`<rect width="0" height="5"/>`, `<circle cx="5" cy="5"/>`, `<ellipse rx="3" ry="0"/>`, `<path/>`, `<polygon/>`,
		`<defs><rect width="5" height="5"/><text>x</text></defs>`, `<clipPath id="c"><rect width="5" height="5"/></clipPath>`,
		`<metadata><rdf:x xmlns:rdf="urn:r"><rect width="5" height="5"/></rdf:x></metadata>`,
		`<n:view xmlns:n="urn:n"><rect xmlns="http://www.w3.org/2000/svg" width="5" height="5"/></n:view>`,
		`<!-- <text/> --><title>text</title><desc/>`, `<style>/* transform: x */ .a{fill:red}</style>`,
	} {
		shapes, err := read(head + body + "</svg>")
		require.NoError(t, err, body)
		assert.Empty(t, shapes, body)
	}
}

func TestFrame(t *testing.T) {
	// A square of one user unit at the origin of the user space.
	for _, c := range []struct {
		name, attr string
		o          SVGOptions
		box        geom.Box
	}{
		{"mm", `width="100mm" height="80mm" viewBox="0 0 100 80"`, SVGOptions{}, geom.Box{Min: geom.Pt(0, 79), Max: geom.Pt(1, 80)}},
		{"cm", `width="10cm" height="8cm" viewBox="0 0 100 80"`, SVGOptions{}, geom.Box{Min: geom.Pt(0, 79), Max: geom.Pt(1, 80)}},
		{"in, pt, pc (CSS Values 3, 6.2)", `width="72pt" height="6pc" viewBox="0 0 1 1"`, SVGOptions{}, geom.Box{Max: geom.Pt(25.4, 25.4)}},
		{"px (CSS Values 3, 6.2)", `width="96px" height="96" viewBox="0 0 1 1"`, SVGOptions{}, geom.Box{Max: geom.Pt(25.4, 25.4)}},
		{"no viewBox", `width="96" height="192"`, SVGOptions{}, geom.Box{Min: geom.Pt(0, 50.8-25.4/96), Max: geom.Pt(25.4/96, 50.8)}},
		{"height from the viewBox", `width="100mm" viewBox="0 0 100 80"`, SVGOptions{}, geom.Box{Min: geom.Pt(0, 79), Max: geom.Pt(1, 80)}},
		{"viewBox off the origin", `width="100mm" height="80mm" viewBox="-10 -20 100 80"`, SVGOptions{}, geom.Box{Min: geom.Pt(10, 59), Max: geom.Pt(11, 60)}},
		// SVG 1.1, 7.8: meet leaves room, shared as the alignment says (the default xMidYMid).
		{"meet", `width="200mm" height="80mm" viewBox="0 0 100 80"`, SVGOptions{}, geom.Box{Min: geom.Pt(50, 79), Max: geom.Pt(51, 80)}},
		{"xMinYMin", `width="100mm" height="160mm" viewBox="0 0 100 80" preserveAspectRatio="xMinYMin meet"`, SVGOptions{}, geom.Box{Min: geom.Pt(0, 159), Max: geom.Pt(1, 160)}},
		{"xMaxYMax", `width="200mm" height="80mm" viewBox="0 0 100 80" preserveAspectRatio="xMaxYMax"`, SVGOptions{}, geom.Box{Min: geom.Pt(100, 79), Max: geom.Pt(101, 80)}},
		{"slice", `width="200mm" height="80mm" viewBox="0 0 100 80" preserveAspectRatio="xMidYMax slice"`, SVGOptions{}, geom.Box{Min: geom.Pt(0, 158), Max: geom.Pt(2, 160)}},
		{"none", `width="200mm" height="80mm" viewBox="0 0 100 80" preserveAspectRatio="none"`, SVGOptions{}, geom.Box{Min: geom.Pt(0, 79), Max: geom.Pt(2, 80)}},
		{"stated unit", `viewBox="0 0 100 80"`, SVGOptions{UserUnit: 2}, geom.Box{Min: geom.Pt(0, 158), Max: geom.Pt(2, 160)}},
		{"stated unit, percent", `width="100%" height="100%" viewBox="0 0 100 80"`, SVGOptions{UserUnit: 2}, geom.Box{Min: geom.Pt(0, 158), Max: geom.Pt(2, 160)}},
		{"stated unit is not needed", `width="100mm" height="80mm" viewBox="0 0 100 80"`, SVGOptions{UserUnit: 2}, geom.Box{Min: geom.Pt(0, 79), Max: geom.Pt(1, 80)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			shapes, err := ReadSVG(strings.NewReader(`<svg `+c.attr+`><rect width="1" height="1"/></svg>`), c.o)
			require.NoError(t, err)
			require.Len(t, shapes, 1)
			box := shapes[0].Contours[0].Bounds()
			assert.InDelta(t, 0, box.Min.Dist(c.box.Min), 1e-9, "%v", box)
			assert.InDelta(t, 0, box.Max.Dist(c.box.Max), 1e-9, "%v", box)
		})
	}
}

func TestReadSVGRefuses(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "there is no svg element"},
		{"not XML", "G21 G90", "there is no svg element"},
		{"cut off", head + `<rect width="1"`, "line 2: not XML"},
		{"another root", `<html/>`, `the root is "html"`},
		{"text", head + "\n\n<text>Ada</text></svg>", "line 4: text is not supported: turn text into paths"},
		{"image", head + `<image href="scan.png"/></svg>`, "line 2: image is not supported"},
		{"use", head + `<use href="#a"/></svg>`, "use is not supported"},
		{"inner svg", head + `<svg/></svg>`, "svg is not supported"},
		{"switch", head + `<switch/></svg>`, "switch is not supported"},
		{"animation", head + `<rect width="1" height="1"><animate/></rect></svg>`, "animate is not supported"},
		{"unknown", head + `<blob/></svg>`, `element "blob" is not supported`},
		{"clip", head + `<g clip-path="url(#a)"/></svg>`, "clip-path is not supported"},
		{"style transform", head + `<g style="fill:red; transform: rotate(3deg)"/></svg>`, "a style that moves"},
		{"style sheet", head + "<style>\n.a{fill:red;transform:scale(2)}</style></svg>", "a style sheet that moves"},
		{"css function", head + `<g transform="rotate(3deg)"/></svg>`, "transform: rotate:"},
		{"transform name", head + `<g transform="turn(3)"/></svg>`, `function "turn" is not known`},
		{"transform count", head + `<g transform="matrix(1 2 3)"/></svg>`, "matrix with 3 numbers"},
		{"transform open", head + `<g transform="scale(2"/></svg>`, ") is missing"},
		{"no inverse", head + `<rect width="1" height="1" transform="scale(0)"/></svg>`, "no inverse"},
		{"transform grows", head + `<g transform="scale(1e9) scale(1e9)"/></svg>`, "out of range"},
		{"percent without viewBox", `<svg width="100mm" height="80mm"><rect width="50%" height="1"/></svg>`, "percentage, but svg has no viewBox"},
		{"size in percent without viewBox", `<svg width="100%" height="80mm"/>`, "in percent without a viewBox"},
		{"no size", `<svg viewBox="0 0 100 80"/>`, "does not say how large"},
		{"em", head + `<rect width="1em" height="1"/></svg>`, `the unit of "1em" is not supported`},
		{"bad length", head + `<rect width="wide" height="1"/></svg>`, `"wide" is not a length`},
		{"negative", head + `<rect width="-1" height="1"/></svg>`, "is negative"},
		{"viewBox", `<svg viewBox="0 0 100"/>`, "viewBox: 3 numbers"},
		{"viewBox without size", `<svg viewBox="0 0 0 5"/>`, "must be positive"},
		{"aspect", `<svg width="1" height="1" viewBox="0 0 1 1" preserveAspectRatio="left"/>`, `"left" is not known`},
		{"odd points", head + `<polygon points="1 2 3"/></svg>`, "the last point has no y"},
		{"path", head + `<path id="edge" d="M 1 2 L"/></svg>`, `line 2: path "edge": d: character 8`},
		{"huge root", `<svg width="1e7mm" height="1mm" viewBox="0 0 1 1"/>`, "over 10 m"},
		{"NaN", head + `<circle r="NaN"/></svg>`, "not a length"},
		{"entity", head + `<text>&bomb;</text></svg>`, "text is not supported"},
		{"entity in an attribute", head + `<rect width="&w;" height="1"/></svg>`, "entities are not supported"},
		{"declared entity", `<!DOCTYPE svg [<!ENTITY a "aaaa">]>` + head + `</svg>`, "declarations in the document type"},
		{"encoding", `<?xml version="1.0" encoding="utf-16"?>` + head + `</svg>`, `"utf-16" is not supported`},
		{"deep", head + strings.Repeat("<g>", 70) + strings.Repeat("</g>", 70) + "</svg>", "nested deeper"},
		{"deep in defs", head + "<defs>" + strings.Repeat("<g>", 70) + strings.Repeat("</g>", 70) + "</defs></svg>", "nested deeper"},
		{"many", head + strings.Repeat("<g/>", maxSVGElements) + "</svg>", "more than 100000 elements"},
		{"attribute twice", head + `<rect width="1" width="2" height="1"/></svg>`, "twice"},
		{"after the end", head + `</svg><rect/>`, "after the end"},
		{"segments", head + `<path d="M0 0` + strings.Repeat("h1v1", maxSVGSegments/2+1) + `"/></svg>`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := read(c.text)
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
	_, err := ReadSVG(strings.NewReader(head+strings.Repeat(" ", maxSVGBytes)), SVGOptions{})
	assert.ErrorContains(t, err, "more than 16777216 bytes")
	_, err = ReadSVG(strings.NewReader(head), SVGOptions{UserUnit: math.NaN()})
	assert.ErrorContains(t, err, "out of range")
}

func TestShapeNotClosed(t *testing.T) {
	shapes, err := read(head + `<line id="crack" x1="1" y1="2" x2="3" y2="4"/></svg>`)
	require.NoError(t, err)
	require.Len(t, shapes, 1)
	assert.Equal(t, "M 1 78 L 3 76", shapes[0].Paths[0].String())
	_, err = shapes[0].Region(geom.NonZero)
	assert.ErrorContains(t, err, `line 2: line "crack" is not closed`)
}

func FuzzReadSVG(f *testing.F) {
	offcut, err := os.ReadFile("testdata/offcut.svg")
	require.NoError(f, err)
	f.Add(string(offcut))
	f.Add(head + `<path d="M0 0a5 5 0 1110 0q1 2 3 4t5 6c1 2 3 4 5 6s7 8 9 10z"/><ellipse rx="3" ry="50%"/></svg>`)
	f.Add(head + `<g transform="skewX(20),rotate(3 4 5)"><rect rx="2" width="9" height="8"/></g></svg>`)
	f.Fuzz(func(t *testing.T, text string) {
		shapes, err := ReadSVG(strings.NewReader(text), SVGOptions{UserUnit: 1})
		if err != nil {
			return
		}
		for _, s := range shapes {
			for _, c := range s.Contours {
				require.NoError(t, c.Validate())
			}
			for _, p := range s.Paths {
				require.NoError(t, p.Validate())
			}
		}
	})
}

func BenchmarkReadSVG(b *testing.B) {
	text := head + strings.Repeat(`<path d="M0 0a5 5 0 1110 0q1 2 3 4t5 6c1 2 3 4 5 6s7 8 9 10z"/>`, 100) + "</svg>"
	b.ReportAllocs()
	for b.Loop() {
		if _, err := read(text); err != nil {
			b.Fatal(err)
		}
	}
}

// The offcut of the finger-button inlays with its two screws.
func ExampleReadSVG() {
	f, err := os.Open("testdata/offcut.svg")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer f.Close()
	shapes, err := ReadSVG(f, SVGOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range shapes {
		r, err := s.Region(geom.NonZero)
		c := r.Centroid()
		fmt.Printf("line %d, %s %s: %.0f mm2 about (%.2f, %.2f) %v\n", s.Line, s.Element, s.ID, r.Area(), c.X, c.Y, err)
	}
	// Output:
	// line 7, path edge: 2391 mm2 about (35.42, 24.53) <nil>
	// line 10, circle near: 16 mm2 about (11.00, 42.00) <nil>
	// line 11, circle far: 16 mm2 about (55.00, 10.00) <nil>
}
