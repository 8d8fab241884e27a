package post_test

import (
	"bytes"
	"context"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode"
	"proofcut/gcode/interp"
	"proofcut/gcode/post"
	"proofcut/gcode/proof"
	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
	"proofcut/paths/slab"
)

// bow gives the world's stock a probed face: a grid of heights that tilts, bows
// and twists, as a mesh or as a plane.
func bow(t *rapid.T, s *setup.Setup) {
	num := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
	sx, sy, cx, cy, cc := num(-0.02, 0.02, "tilt x"), num(-0.02, 0.02, "tilt y"), num(-3e-4, 3e-4, "bow x"), num(-3e-4, 3e-4, "bow y"), num(-3e-4, 3e-4, "twist")
	var points []geom.Point3
	nx, ny := rapid.IntRange(2, 8).Draw(t, "nx"), rapid.IntRange(2, 6).Draw(t, "ny")
	for j := range ny {
		for i := range nx {
			p := geom.Pt(3+54*float64(i)/float64(nx-1), 2+41*float64(j)/float64(ny-1))
			d := p.Sub(geom.Pt(30, 22))
			points = append(points, p.At(sx*d.X+sy*d.Y+cx*d.X*d.X+cy*d.Y*d.Y+cc*d.X*d.Y))
		}
	}
	var f setup.Face
	var face setup.Surface
	var err error
	if rapid.Bool().Draw(t, "plane") {
		var flat slab.Flatness
		face, flat, err = slab.FitPlane(points, 0)
		f.Worst = max(flat.Residuals[flat.Worst], -flat.Residuals[flat.Worst])
	} else {
		face, _, err = slab.FitMesh(points)
	}
	require.NoError(t, err)
	f.Surface = setup.Raised{Surface: face, By: f.Worst}
	f.Parallel = true
	f.Lowest, f.Highest = f.Range(s.Stock.Outline.Bounds())
	s.Stock.Top, s.Stock.Face = f.Highest, &f
	s.Machine.Envelope.Min.Z = -12
}

// TestWhatIsDrapedIsProven is TestWhatIsPlannedIsProven on a face that is not flat.
func TestWhatIsDrapedIsProven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := world()
		s.Zones = nil
		bow(t, s)
		plannedIsProven(t, s, 0.2) // fine enough, and fast
	})
}

// bilinear is a face of its own for the tests: heights on a grid with straight
// lines between, written down anew.
type bilinear struct {
	x, y []float64
	z    func(x, y float64) float64
}

func (b bilinear) at(p geom.Point) float64 {
	i, j := 0, 0
	for i < len(b.x)-2 && p.X > b.x[i+1] {
		i++
	}
	for j < len(b.y)-2 && p.Y > b.y[j+1] {
		j++
	}
	x := math.Min(math.Max(p.X, b.x[0]), b.x[len(b.x)-1])
	y := math.Min(math.Max(p.Y, b.y[0]), b.y[len(b.y)-1])
	u, v := (x-b.x[i])/(b.x[i+1]-b.x[i]), (y-b.y[j])/(b.y[j+1]-b.y[j])
	return (1-u)*(1-v)*b.z(b.x[i], b.y[j]) + u*(1-v)*b.z(b.x[i+1], b.y[j]) + (1-u)*v*b.z(b.x[i], b.y[j+1]) + u*v*b.z(b.x[i+1], b.y[j+1])
}

// saddled returns the world with a tilted, bowed and twisted face, and that face.
func saddled(t require.TestingT) (*setup.Setup, bilinear) {
	s := world()
	s.Zones = nil
	b := bilinear{
		x: []float64{2, 11, 20, 31, 40, 49, 58}, y: []float64{3, 13, 22, 33, 43},
		z: func(x, y float64) float64 {
			return 0.1 + 0.006*(x-30) - 0.004*(y-22) - 2e-4*(x-30)*(x-30) + 1e-4*(x-30)*(y-22)
		},
	}
	var points []geom.Point3
	for _, y := range b.y {
		for _, x := range b.x {
			points = append(points, geom.Pt3(x, y, b.z(x, y)))
		}
	}
	mesh, _, err := slab.FitMesh(points)
	require.NoError(t, err)
	f := setup.Face{Surface: setup.Raised{Surface: mesh}, Parallel: true}
	f.Lowest, f.Highest = f.Range(s.Stock.Outline.Bounds())
	s.Stock.Top, s.Stock.Face = f.Highest, &f
	return s, b
}

// saddleJob engraves on the saddled stock and, with two operations, cuts a disc out. drape is how plans
// are laid onto the face.
func saddleJob(t require.TestingT, s *setup.Setup, ops int, drape func(*setup.Setup, paths.Plan) (paths.Plan, error)) string {
	o := paths.Op{Tool: vee, Top: s.Stock.Top, Bottom: s.Stock.Top - 0.12, Feed: 200, Plunge: 60, Speed: 18000, Name: "name"}
	cut := o
	cut.Name, cut.Tool, cut.Bottom, cut.MaxStep = "disc", endMill, s.Stock.Bottom()+0.1, 1
	var plans []paths.Plan
	s.Features = nil
	for _, st := range []paths.Strategy{
		paths.Engrave{Op: o, Lines: []geom.Path{
			geom.Polyline(geom.Pt(4, 30), geom.Pt(56, 41), geom.Pt(50, 30)),
			geom.Circle(geom.Pt(45, 15), 9).Path(), geom.Circle(geom.Pt(8, 24), 0.7).Path(),
		}},
		paths.Profile{Op: cut, Shape: geom.RegionOf(geom.Circle(geom.Pt(20, 14), 7))},
	}[:ops] {
		p, err := st.Plan(s)
		require.NoError(t, err)
		p, err = drape(s, p)
		require.NoError(t, err)
		plans = append(plans, p)
		s.Features = append(s.Features, p.Features...)
	}
	tp, err := paths.Link(s, plans...)
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, post.Write(&b, s, post.Header{}, tp))
	return b.String()
}

// TestDepthFollowsTheFace samples the tip on its way, as the interpreter reads the
// text, and holds it against the test's own face.
func TestDepthFollowsTheFace(t *testing.T) {
	s, face := saddled(t)
	text := saddleJob(t, s, 2, paths.Drape)
	rec, err := proof.Check(context.Background(), s, "saddle.nc", strings.NewReader(text), proof.Options{})
	require.NoError(t, err)
	require.True(t, rec.Proven, "%v", rec.Findings)

	tool, engraved, thinnest := 0, 0.0, math.Inf(1)
	left := map[int]float64{} // least skin under the axis, by the angle round the disc
	events(t, text, func(e *interp.Event) {
		if e.Kind == interp.ToolChange {
			tool = e.State.Selected
		}
		if e.Kind != interp.Feed && e.Kind != interp.Arc {
			return
		}
		n := int(math.Ceil(e.Length()/0.05)) + 1
		for i := range n + 1 {
			p := along(e, float64(i)/float64(n))
			switch {
			case tool == vee.Number && e.From.XY() != e.To.XY():
				depth := face.at(p.XY()) - p.Z
				require.InDelta(t, 0.12, depth, 0.0025, "at %v", p)
				engraved += e.Length() / float64(n+1)
			case tool == endMill.Number:
				bin, skin := int(math.Floor(p.XY().Sub(geom.Pt(20, 14)).Angle()*10)), p.Z-face.at(p.XY())+s.Stock.Thickness
				if v, ok := left[bin]; !ok || skin < v {
					left[bin] = skin
				}
				// Everywhere under the flat end the skin has to be left.
				for k := range 12 {
					for _, r := range []float64{0, endMill.Diameter / 2} {
						q := p.XY().Add(geom.Polar(r, float64(k)*math.Pi/6))
						skin := p.Z - (face.at(q) - s.Stock.Thickness)
						thinnest = math.Min(thinnest, skin)
					}
				}
			}
		}
	})
	assert.Greater(t, engraved, 100.0)
	assert.GreaterOrEqual(t, thinnest, 0.1, "the skin asked for")
	assert.Greater(t, len(left), 60)
	for _, skin := range left {
		assert.Less(t, skin, 0.1+s.Stock.Face.Lipschitz()*endMill.Diameter/2+0.004, "more than the level end of the tool explains is left")
	}
}

// along returns the place of the tip on a motion, by the event's own numbers.
func along(e *interp.Event, t float64) geom.Point3 {
	z := e.From.Z + t*(e.To.Z-e.From.Z)
	if e.Kind != interp.Arc {
		return e.From.XY().Lerp(e.To.XY(), t).At(z)
	}
	c := e.Centre.XY()
	r := e.From.XY().Sub(c)
	return c.Add(geom.Polar(r.Len(), r.Angle()+float64(e.Turn)*t*e.Sweep)).At(z)
}

func events(t *testing.T, text string, sink func(*interp.Event)) {
	t.Helper()
	_, err := interp.Run(gcode.NewReader(strings.NewReader(text), gcode.Options{Name: "saddle.nc"}), interp.Options{}, func(e *interp.Event) error {
		sink(e)
		return nil
	})
	require.NoError(t, err)
}

// TestAnotherFaceIsNotProven makes programs for a face that is not the stock's.
func TestAnotherFaceIsNotProven(t *testing.T) {
	s, b := saddled(t)
	shifted := func(move func(geom.Point3) geom.Point3) func(*setup.Setup, paths.Plan) (paths.Plan, error) {
		return func(s *setup.Setup, p paths.Plan) (paths.Plan, error) {
			right, err := paths.Drape(s, p)
			if err != nil {
				return p, err
			}
			var points []geom.Point3
			for _, y := range b.y {
				for _, x := range b.x {
					points = append(points, move(geom.Pt3(x, y, b.z(x, y))))
				}
			}
			mesh, _, err := slab.FitMesh(points)
			require.NoError(t, err)
			wrong := *s
			face := *s.Stock.Face
			face.Surface, face.Lowest = mesh, -100
			wrong.Stock.Face = &face
			out, err := paths.Drape(&wrong, p)
			out.Features = right.Features
			return out, err
		}
	}
	for name, move := range map[string]func(geom.Point3) geom.Point3{
		"deeper by 0.03 mm":   func(p geom.Point3) geom.Point3 { return p.XY().At(p.Z - 0.03) },
		"higher by 0.03 mm":   func(p geom.Point3) geom.Point3 { return p.XY().At(p.Z + 0.03) },
		"upside down":         func(p geom.Point3) geom.Point3 { return p.XY().At(-p.Z) },
		"tilt along X only":   func(p geom.Point3) geom.Point3 { return p.XY().At(p.Z + 0.004*(p.Y-22)) },
		"turned end for end":  func(p geom.Point3) geom.Point3 { return geom.Pt3(60-p.X, 46-p.Y, p.Z) },
		"shifted by 5 mm":     func(p geom.Point3) geom.Point3 { return geom.Pt3(p.X+5, p.Y, p.Z) },
		"bow left out":        func(p geom.Point3) geom.Point3 { return p.XY().At(p.Z + 2e-4*(p.X-30)*(p.X-30)) },
		"one point mistyped":  func(p geom.Point3) geom.Point3 { return p.XY().At(p.Z - 0.05*one(p.X == 49 && p.Y == 13)) },
		"level, face ignored": func(p geom.Point3) geom.Point3 { return p.XY().At(s.Stock.Top) },
	} {
		t.Run(name, func(t *testing.T) {
			text := saddleJob(t, s, 2, shifted(move))
			rec, err := proof.Check(context.Background(), s, "saddle.nc", strings.NewReader(text), proof.Options{})
			require.NoError(t, err)
			assert.False(t, rec.Proven)
		})
	}
}

func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// TestFacedTextWithAFaultIsNotProven changes single heights of a proven program.
func TestFacedTextWithAFaultIsNotProven(t *testing.T) {
	s, _ := saddled(t)
	text := saddleJob(t, s, 1, paths.Drape)
	z := regexp.MustCompile(`Z(-?\d+\.\d+)`)
	places := z.FindAllStringSubmatchIndex(text, -1)
	rapid.Check(t, func(t *rapid.T) {
		at := places[rapid.IntRange(0, len(places)-1).Draw(t, "place")]
		v, err := strconv.ParseFloat(text[at[2]:at[3]], 64)
		require.NoError(t, err)
		by := rapid.Float64Range(0.15, 2).Draw(t, "by") // more than the engraving is deep
		line := text[strings.LastIndex(text[:at[0]], "\n")+1 : at[1]]
		if strings.HasPrefix(line, "G0") || !strings.ContainsAny(line, "XYG") && v > s.Stock.Top {
			t.Skip("a rapid in free air may be lower")
		}
		changed := text[:at[2]] + strconv.FormatFloat(v-by, 'f', 3, 64) + text[at[3]:]
		rec, err := proof.Check(context.Background(), s, "saddle.nc", strings.NewReader(changed), proof.Options{Resolution: 0.2})
		require.NoError(t, err)
		if rec.Proven {
			t.Fatalf("%q lowered by %.3f is called proven", line, by)
		}
	})
}

// TestLevelBesideFollowing has an engraving that follows the face and a pocket
// with a level floor, one across the other: each is held to its own floor.
func TestLevelBesideFollowing(t *testing.T) {
	s, _ := saddled(t)
	o := paths.Op{Tool: vee, Top: s.Stock.Top, Bottom: s.Stock.Top - 0.12, Feed: 200, Plunge: 60, Speed: 18000, Name: "name"}
	level := o
	level.Name, level.Tool, level.Bottom = "pocket", endMill, -0.6
	engraving, err := paths.Engrave{Op: o, Lines: []geom.Path{geom.Polyline(geom.Pt(4, 30), geom.Pt(56, 34))}}.Plan(s)
	require.NoError(t, err)
	engraving, err = paths.Drape(s, engraving)
	require.NoError(t, err)
	pocket, err := paths.Pocket{Op: level, Shape: geom.RegionOf(geom.Rect(geom.Pt(20, 26), geom.Pt(32, 38), 1)), StepOver: 0.4}.Plan(s)
	require.NoError(t, err)
	s.Features = append(engraving.Features, pocket.Features...)
	tp, err := paths.Link(s, engraving, pocket)
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, post.Write(&b, s, post.Header{}, tp))
	text := b.String()
	check := func(text string) *proof.Record {
		rec, err := proof.Check(context.Background(), s, "two.nc", strings.NewReader(text), proof.Options{})
		require.NoError(t, err)
		return rec
	}
	rec := check(text)
	require.True(t, rec.Proven, "%v", rec.Findings)

	z := regexp.MustCompile(`Z-(\d+\.\d+)`)
	inPocket := strings.Index(text, "(pocket)")
	deeper := 0
	for _, at := range z.FindAllStringSubmatchIndex(text, -1) {
		v, err := strconv.ParseFloat(text[at[2]:at[3]], 64)
		require.NoError(t, err)
		if at[0] > inPocket && v < 0.599 || at[0] < inPocket && v < 0.1 {
			continue // above the floor, where deeper may still be allowed
		}
		deeper++
		changed := text[:at[2]] + strconv.FormatFloat(v+0.6, 'f', 3, 64) + text[at[3]:]
		assert.False(t, check(changed).Proven, "%s", text[strings.LastIndex(text[:at[0]], "\n")+1:at[1]])
	}
	assert.Greater(t, deeper, 3)
}
