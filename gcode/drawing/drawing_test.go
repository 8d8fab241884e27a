package drawing_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode"
	"proofcut/gcode/drawing"
	"proofcut/gcode/interp"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

var update = flag.Bool("update", false, "write the golden files again")

// slab is an offcut on three screws with a crack, for button inlays.
func slab() (*setup.Setup, string) {
	s := &setup.Setup{
		Name: "Valve button inlays", Unit: setup.MM,
		Stock: setup.Stock{
			Outline: geom.RegionOf(geom.Polygon(
				geom.Pt(0.8, 2.1), geom.Pt(14.2, 0), geom.Pt(27.5, 1.2), geom.Pt(41, 0.4), geom.Pt(55.6, 2.8),
				geom.Pt(60.3, 10.4), geom.Pt(58.7, 21.9), geom.Pt(60.9, 33.3), geom.Pt(56.1, 42.8), geom.Pt(43.7, 45.2),
				geom.Pt(31.2, 43.9), geom.Pt(18.4, 45.4), geom.Pt(5.9, 42.2), geom.Pt(0, 30.7), geom.Pt(2.4, 17.5))),
			Thickness: 3, Material: "copper and nickel silver laminate",
			Backing: setup.Backing{Present: true, Material: "aluminium plate", Depth: 0.2},
		},
		Zones: []setup.Zone{
			{Name: "screw west", Area: geom.RegionOf(geom.Circle(geom.Pt(7, 24), 2.75)), Bottom: -3, Top: 3, Clearance: 0.5},
			{Name: "screw east", Area: geom.RegionOf(geom.Circle(geom.Pt(53.5, 28), 2.75)), Bottom: -3, Top: 3, Clearance: 0.5},
			{Name: "screw south", Area: geom.RegionOf(geom.Circle(geom.Pt(29.5, 6), 2.75)), Bottom: -3, Top: 3, Clearance: 0.5},
			{Name: "crack", Area: geom.RegionOf(geom.Slot(geom.Pt(30, 41.6), geom.Pt(34.4, 36.9), 0.4)), Bottom: -3, Top: 0, Clearance: 0.8},
		},
		Tools: []setup.Tool{{Number: 1, Name: "1/16 in end mill", Diameter: 1.5875, Flutes: 2, FluteLength: 5, Shank: 3.175, StickOut: 18}},
	}
	var b strings.Builder
	b.WriteString("G21 G17 G90 G94 G40 G49 G80 G54 G61\nT1 M6\nS18000 M3\nG0 Z15\n")
	for i, c := range []geom.Point{{X: 12.5, Y: 10.5}, {X: 21.5, Y: 22.5}, {X: 14, Y: 35.4}, {X: 36.5, Y: 20.5}, {X: 46.5, Y: 9.8}, {X: 43.5, Y: 35}} {
		s.Parts = append(s.Parts, setup.Part{
			Name: fmt.Sprintf("inlay %d", i+1), At: c, Diameter: 12.827, Finished: 12.7,
			Outline: geom.RegionOf(geom.Circle(c, 12.827/2)), Skin: 0.1,
		})
		r := (12.827 + 1.5875) / 2
		fmt.Fprintf(&b, "G0 X%.3f Y%.3f\nZ1\nG1 Z0 F120\n", c.X+r, c.Y)
		for z := -0.725; z > -2.95; z -= 0.725 {
			fmt.Fprintf(&b, "G3 X%.3f Y%.3f Z%.3f I%.3f J0 F240\n", c.X+r, c.Y, z, -r)
		}
		fmt.Fprintf(&b, "G3 X%.3f Y%.3f I%.3f J0\nG0 Z4\n", c.X+r, c.Y, -r)
	}
	b.WriteString("G0 Z15\nX-8 Y50\nM5\nM30\n")
	return s, b.String()
}

// flat is a name plate held in two jaws, in inch words; program zero is in its
// middle.
func flat() (*setup.Setup, string) {
	rect := func(x0, y0, x1, y1 float64) geom.Region {
		return geom.RegionOf(geom.Rect(geom.Pt(x0, y0), geom.Pt(x1, y1), 0))
	}
	s := &setup.Setup{
		Name: "Name on a flat", Unit: setup.Inch,
		Stock: setup.Stock{Outline: rect(-11, -2.5, 11, 2.5), Thickness: 2, Material: "brass"},
		Zones: []setup.Zone{
			{Name: "jaw back", Area: rect(-14, 3, 14, 8), Bottom: -10, Top: 2, Clearance: 1},
			{Name: "jaw front", Area: rect(-14, -8, 14, -3), Bottom: -10, Top: 2, Clearance: 1},
		},
		Tools: []setup.Tool{{Number: 3, Name: "engraver", Shape: setup.Vee, Diameter: 3.175, TipDiameter: 0.1, Angle: math.Pi / 3, Flutes: 1, FluteLength: 5, Shank: 3.175, StickOut: 15}},
		Parts: []setup.Part{{Name: "flat", Outline: rect(-11, -2.5, 11, 2.5)}},
	}
	text := `G20 G17 G90 G94 G40 G49 G80 G54 G61
T3 M6
S12000 M3
G0 Z0.5
X-0.2 Y0.05
Z0.04
G1 Z-0.0047 F5
Y-0.05 F10
G0 Z0.04
X-0.1 Y0.05
G1 Z-0.0047
G1 X-0.09
X-0.08
X-0.0
G2 X0.05 Y0 I0 J-0.05
G2 X0 Y-0.05 I-0.05 J0
G1 X-0.1
G0 Z0.04
X0.2 Y0
G1 Z-0.0047
G2 X0.2 Y0 I0.03 J0
G0 Z0.5
X0 Y0
M5
M2
`
	return s, text
}

// drill has holes, upright arcs and an uneven floor, and no zone.
func drill() (*setup.Setup, string) {
	s := &setup.Setup{
		Name:  "Backing plate",
		Stock: setup.Stock{Outline: geom.RegionOf(geom.Circle(geom.Pt(0, 0), 20)), Thickness: 6, Material: "aluminium"},
		Tools: []setup.Tool{
			{Number: 4, Name: "drill", Shape: setup.Drill, Diameter: 2.5, Angle: 118 * math.Pi / 180, FluteLength: 20, Shank: 2.5, StickOut: 25},
			{Number: 5, Name: "ball", Shape: setup.Ball, Diameter: 2, FluteLength: 6, Shank: 3, StickOut: 15},
		},
	}
	text := `G21 G17 G90 G94 G40 G49 G80 G54 G61
T4 M6
S3000 M3
G0 Z10
G98 G81 X10 Y0 Z-5 R1 F60
X0 Y10
X-10 Y0
X0 Y-10
G80
T5 M6
S9000 M3
G0 X-5 Y2
G1 Z0 F100
G18 G3 X5 Z0 I5 K0
G0 Z10
G17
X-5 Y-3
G1 Z-0.1
X-3 Z-0.4
X-1 Z-0.9
X1 Z-0.5
X3 Z-0.2
X5 Z-0.1
G0 Z10
M2
`
	return s, text
}

func draw(t testing.TB, s *setup.Setup, text string, title drawing.Title) *drawing.Drawing {
	t.Helper()
	d := drawing.New(s, title)
	src := gcode.NewReader(strings.NewReader(text), gcode.Options{Name: "test.nc"})
	_, err := interp.Run(src, interp.Options{Start: geom.Pt3(0, 0, 50)}, func(ev *interp.Event) error {
		d.Add(ev)
		return nil
	})
	require.NoError(t, err)
	return d
}

func svg(t testing.TB, d *drawing.Drawing) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, d.WriteSVG(&b))
	return b.String()
}

var samples = []struct {
	name  string
	make  func() (*setup.Setup, string)
	title drawing.Title
}{
	{"slab", slab, drawing.Title{Job: "Valve button inlays", Program: "inlays.nc", Proven: true}},
	{"flat", flat, drawing.Title{Job: "Name on a flat", Program: "ida.nc", Notes: []string{"Z is touched off on the flat."}}},
	{"drill", drill, drawing.Title{Job: "Backing plate", Program: "plate.nc", Proven: true}},
}

func TestGolden(t *testing.T) {
	for _, c := range samples {
		t.Run(c.name, func(t *testing.T) {
			s, text := c.make()
			got := svg(t, draw(t, s, text, c.title))
			assert.Equal(t, got, svg(t, draw(t, s, text, c.title)), "twice the same input, the same bytes")
			name := "testdata/" + c.name + ".svg"
			if *update {
				require.NoError(t, os.WriteFile(name, []byte(got), 0o644))
			}
			want, err := os.ReadFile(name)
			require.NoError(t, err)
			assert.True(t, string(want) == got, "the drawing has changed: look at the drawing, then run with -update")
		})
	}
}

// parse reads the drawing as XML and returns its elements.
func parse(t testing.TB, text string) []xml.StartElement {
	t.Helper()
	var out []xml.StartElement
	dec := xml.NewDecoder(strings.NewReader(text))
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		if e, ok := tok.(xml.StartElement); ok {
			out = append(out, e.Copy())
		}
	}
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func TestWellFormedAndToScale(t *testing.T) {
	for _, c := range samples {
		s, text := c.make()
		els := parse(t, svg(t, draw(t, s, text, c.title)))
		root := els[0]
		assert.Equal(t, "svg", root.Name.Local)
		// One user unit is one millimetre: the view box has the size of the sheet.
		view := strings.Fields(attr(root, "viewBox"))
		require.Len(t, view, 4)
		assert.Equal(t, attr(root, "width"), view[2]+"mm")
		assert.Equal(t, attr(root, "height"), view[3]+"mm")
		// The stock's path has the program's own coordinates, Y turned over.
		for _, e := range els {
			if attr(e, "class") == "edge" && c.name == "flat" {
				assert.Equal(t, "M-11 2.5 11 2.5 11 -2.5 -11 -2.5 -11 2.5Z", attr(e, "d"))
			}
			for _, a := range e.Attr {
				assert.NotContains(t, a.Value, "NaN")
				assert.NotContains(t, a.Value, "Inf")
			}
		}
	}
}

// What is drawn stays on the sheet.
func TestEverythingIsOnTheSheet(t *testing.T) {
	for _, c := range samples {
		s, text := c.make()
		els := parse(t, svg(t, draw(t, s, text, c.title)))
		var v [4]float64
		for i, f := range strings.Fields(attr(els[0], "viewBox")) {
			x, err := strconv.ParseFloat(f, 64)
			require.NoError(t, err)
			v[i] = x
		}
		for _, e := range els {
			if e.Name.Local != "text" && e.Name.Local != "circle" {
				continue
			}
			px, py := attr(e, "x"), attr(e, "y")
			if e.Name.Local == "circle" {
				px, py = attr(e, "cx"), attr(e, "cy")
			}
			x, err := strconv.ParseFloat(px, 64)
			require.NoError(t, err)
			y, err := strconv.ParseFloat(py, 64)
			require.NoError(t, err)
			assert.True(t, x >= v[0] && x <= v[0]+v[2] && y >= v[1] && y <= v[1]+v[3], "%s: %v at %v %v", c.name, e, x, y)
		}
	}
}

// contains keeps a failure shorter than the drawing.
func contains(t *testing.T, drawing, want string) {
	t.Helper()
	assert.True(t, strings.Contains(drawing, want), "the drawing does not hold %s", want)
}

func TestContent(t *testing.T) {
	s, text := slab()
	got := svg(t, draw(t, s, text, samples[0].title))
	for _, want := range []string{
		">PROVEN against this set-up<", ">60.9<", ">45.4<", ">⌀12.827<", ">inlay 6<", ">screw west<", ">crack<",
		">inlays.nc<", ">cut 2.9 deep<", ">rapid<", "T1 1/16 in end mill: flat ⌀1.5875, stick-out 18",
		"aluminium plate, may be cut 0.2 deep", "eye protection", ">start<", ">end<", `class="axis"`,
		">copper and nickel silver laminate 60.9 x 45.4 x 3,<", ">width of the cut<",
	} {
		contains(t, got, want)
	}
	// Six discs in five passes each: the drawing holds each circle once, as two
	// arcs.
	for _, e := range parse(t, got) {
		if attr(e, "id") == "c0" {
			assert.Equal(t, 12, strings.Count(attr(e, "d"), "7.207 7.207 0 0 0 "))
		}
	}

	d := draw(t, s, text, drawing.Title{})
	contains(t, svg(t, d), ">NOT PROVEN: do not run this program<")
	d.Proven(true)
	d.Note("second clamping")
	contains(t, svg(t, d), ">PROVEN against this set-up<")
	contains(t, svg(t, d), ">second clamping<")
}

// Moves in one direction become one line; coming back over the same line adds
// nothing.
func TestCollinearMovesMerge(t *testing.T) {
	s, _ := flat()
	text := "G21 G17 G90 G94\nG0 Z1\nX0 Y0\nG1 Z-0.1 F100\nX1\nX2\nX3\nX4 Y0.4\nX5 Y0.8\nG1 X4 Y0.4\nX3 Y0\nX2\nX1\nX0\nM2\n"
	got := svg(t, draw(t, s, text, drawing.Title{}))
	contains(t, got, `d="M0 0 3 0 5 -0.8"`)
}

func TestHostileNames(t *testing.T) {
	s, text := slab()
	evil := "</text><script>alert(\"1\")</script> & ]]> \x00\x1b\u202e '\"\xff <!-- " + strings.Repeat("x", 5000)
	s.Name, s.Stock.Material, s.Stock.Backing.Material = evil, evil, evil
	s.Zones[0].Name, s.Parts[0].Name, s.Tools[0].Name = evil, evil, evil
	got := svg(t, draw(t, s, text, drawing.Title{Job: evil, Program: evil, Notes: []string{evil, "--> ]]>"}}))
	for _, e := range parse(t, got) {
		assert.NotEqual(t, "script", e.Name.Local)
	}
	assert.NotContains(t, got, "<script")
	assert.NotContains(t, got, "\u202e")
	assert.NotContains(t, got, strings.Repeat("x", 200))
}

// Whatever the motions, the drawing is well-formed XML with finite numbers.
func TestAnyMotions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, _ := samples[rapid.IntRange(0, 2).Draw(t, "setup")].make()
		d := drawing.New(s, drawing.Title{Job: rapid.String().Draw(t, "job")})
		number := rapid.OneOf(rapid.Float64Range(-100, 100), rapid.SampledFrom([]float64{0, 1e-9, 5, 5000}))
		point := func(name string) geom.Point3 {
			return geom.Pt3(number.Draw(t, name), number.Draw(t, name), number.Draw(t, name))
		}
		for range rapid.IntRange(0, 12).Draw(t, "moves") {
			d.Add(&interp.Event{
				Kind: rapid.SampledFrom([]interp.Kind{interp.Traverse, interp.Feed, interp.Arc, interp.Dwell}).Draw(t, "kind"),
				From: point("from"), To: point("to"), Centre: point("centre"),
				Plane: rapid.SampledFrom([]interp.Plane{interp.XY, interp.ZX, interp.YZ}).Draw(t, "plane"),
				Turn:  rapid.SampledFrom([]geom.Turn{geom.CW, geom.CCW}).Draw(t, "turn"),
				Sweep: rapid.Float64Range(0, 2*math.Pi).Draw(t, "sweep"),
				State: &interp.State{Tool: rapid.IntRange(0, 5).Draw(t, "tool")},
			})
		}
		var b bytes.Buffer
		if err := d.WriteSVG(&b); err != nil {
			t.Fatal(err)
		}
		dec := xml.NewDecoder(&b)
		for {
			tok, err := dec.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			if e, ok := tok.(xml.StartElement); ok {
				for _, a := range e.Attr {
					if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
						t.Fatalf("%s", a.Value)
					}
				}
			}
		}
	})
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestErrors(t *testing.T) {
	s, text := slab()
	assert.ErrorContains(t, draw(t, s, text, drawing.Title{}).WriteSVG(failing{}), "disk full")
	assert.ErrorContains(t, drawing.New(&setup.Setup{}, drawing.Title{}).WriteSVG(io.Discard), "neither stock nor motion")

	d := drawing.New(s, drawing.Title{})
	d.Add(&interp.Event{Kind: interp.Feed, Block: 7, To: geom.Pt3(math.NaN(), 0, 0), State: &interp.State{}})
	assert.ErrorContains(t, d.WriteSVG(io.Discard), "block 7: a motion is not finite")

	d = drawing.New(s, drawing.Title{})
	d.Add(&interp.Event{Kind: interp.Feed, To: geom.Pt3(1e9, 0, 0), State: &interp.State{}})
	assert.ErrorContains(t, d.WriteSVG(io.Discard), "reaches over 1e+09 mm")

	// Without zones, parts and motions there is still a sheet.
	d = drawing.New(&setup.Setup{Stock: setup.Stock{Outline: geom.RegionOf(geom.Circle(geom.Pt(300, 0), 5)), Thickness: 1}}, drawing.Title{})
	parse(t, svg(t, d))
}

func BenchmarkDrawing(b *testing.B) {
	s, _ := slab()
	var text strings.Builder
	text.WriteString("G21 G17 G90 G94\nG0 X0 Y0 Z1\nG1 Z-0.1 F100\n")
	for i := range 20000 {
		a := float64(i) * 0.01
		fmt.Fprintf(&text, "X%.3f Y%.3f\n", 30+0.1*a*math.Cos(a), 20+0.1*a*math.Sin(a))
	}
	text.WriteString("M2\n")
	b.ReportAllocs()
	for b.Loop() {
		svg(b, draw(b, s, text.String(), drawing.Title{}))
	}
}
