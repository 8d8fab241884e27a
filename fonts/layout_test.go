package fonts_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/fonts"
	"proofcut/paths/geom"
)

func layout(t testing.TB, text string, size float64, o fonts.Options) *fonts.Text {
	t.Helper()
	l, err := fonts.Layout(fonts.Plain(), text, size, o)
	require.NoError(t, err)
	return l
}

func TestLayoutMeasures(t *testing.T) {
	for _, c := range []struct {
		name, text string
		size       float64
		o          fonts.Options
		width      float64
		box        geom.Box
	}{
		// H is 6 d wide, the gap from centre line to centre line 3 d, d = h/10.
		{"one", "H", 10, fonts.Options{}, 6, geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(6, 10)}},
		{"two", "HH", 10, fonts.Options{}, 15, geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(15, 10)}},
		{"small", "HH", 2.5, fonts.Options{}, 3.75, geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(3.75, 2.5)}},
		{"words", "H H", 10, fonts.Options{}, 19, geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(19, 10)}},
		{"tracked", "HHH", 10, fonts.Options{Tracking: 0.1}, 26, geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(26, 10)}},
		{"kerned", "AT", 10, fonts.Options{}, 15, geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(15, 10)}},
		{"descender", "Hp", 10, fonts.Options{}, 14, geom.Box{Min: geom.Pt(0, -3), Max: geom.Pt(14, 10)}},
		{"capitals in two lines", "H\nH", 10, fonts.Options{}, 6, geom.Box{Min: geom.Pt(0, -13), Max: geom.Pt(6, 10)}},
		{"lower case in two lines", "H\nx", 10, fonts.Options{}, 6, geom.Box{Min: geom.Pt(0, -15), Max: geom.Pt(6, 10)}},
		{"open lines", "H\nH", 10, fonts.Options{LineSpacing: 2}, 6, geom.Box{Min: geom.Pt(0, -26), Max: geom.Pt(6, 10)}},
		{"centred", "HH\nH", 10, fonts.Options{Align: fonts.Centre}, 15, geom.Box{Min: geom.Pt(-7.5, -13), Max: geom.Pt(7.5, 10)}},
		{"right", "HH\nH", 10, fonts.Options{Align: fonts.Right}, 15, geom.Box{Min: geom.Pt(-15, -13), Max: geom.Pt(0, 10)}},
		{"empty line between", "H\n\nH", 10, fonts.Options{}, 6, geom.Box{Min: geom.Pt(0, -26), Max: geom.Pt(6, 10)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := layout(t, c.text, c.size, c.o)
			assert.InDelta(t, c.width, l.Width, 1e-9)
			assert.InDeltaSlice(t, []float64{c.box.Min.X, c.box.Min.Y, c.box.Max.X, c.box.Max.Y},
				[]float64{l.Bounds.Min.X, l.Bounds.Min.Y, l.Bounds.Max.X, l.Bounds.Max.Y}, 1e-9)
			assert.Equal(t, c.size, l.CapHeight)
			assert.Len(t, l.Lines, strings.Count(c.text, "\n")+1)
		})
	}
}

// Letters typed as base and combining accent are the composed letters.
func TestLayoutComposesAccents(t *testing.T) {
	assert.Equal(t, layout(t, "Andr\u00e9", 3, fonts.Options{}), layout(t, "Andre\u0301", 3, fonts.Options{}))
}

func TestLayoutErrors(t *testing.T) {
	for _, c := range []struct {
		name, text string
		size       float64
		o          fonts.Options
		want       string
	}{
		{"missing", "Bb \u6f22", 3, fonts.Options{}, `line 1, character 4: no such character in the face: U+6F22 '漢' in "Proofcut Plain"`},
		{"missing in line 2", "A\nB\U0001F3BA", 3, fonts.Options{}, "line 2, character 2: no such character in the face: U+1F3BA"},
		{"tab", "A\tB", 3, fonts.Options{}, "line 1, character 2: U+0009 is a control character"},
		{"carriage return", "A\r\nB", 3, fonts.Options{}, "line 1, character 2: U+000D is a control character"},
		{"nul", "\x00", 3, fonts.Options{}, "U+0000 is a control character"},
		{"soft hyphen", "A\u00adB", 3, fonts.Options{}, "U+00AD cannot be seen"},
		{"direction mark", "A\u202eB", 3, fonts.Options{}, "U+202E cannot be seen"},
		{"line separator", "A\u2028B", 3, fonts.Options{}, "U+2028 cannot be seen"},
		{"lone accent", "q\u0301", 3, fonts.Options{}, "line 1, character 2: U+0301"},
		{"hebrew", "\u05d0", 3, fonts.Options{}, "right to left"},
		{"arabic", "\u0633", 3, fonts.Options{}, "right to left"},
		{"not text", "A\xff", 3, fonts.Options{}, "not valid UTF-8"},
		{"empty", "", 3, fonts.Options{}, "draws nothing"},
		{"spaces", " \n ", 3, fonts.Options{}, "draws nothing"},
		{"too long", strings.Repeat("A", 10001), 3, fonts.Options{}, "10001 characters"},
		{"far too long", strings.Repeat("A", 50000), 3, fonts.Options{}, "at most 10000 characters"},
		{"size zero", "A", 0, fonts.Options{}, "cap height 0 mm"},
		{"size negative", "A", -1, fonts.Options{}, "cap height -1 mm"},
		{"size NaN", "A", math.NaN(), fonts.Options{}, "cap height NaN mm"},
		{"size infinite", "A", math.Inf(1), fonts.Options{}, "cap height +Inf mm"},
		{"tracking", "A", 3, fonts.Options{Tracking: math.NaN()}, "tracking NaN"},
		{"line spacing", "A", 3, fonts.Options{LineSpacing: -1}, "line spacing -1"},
		{"tolerance", "A", 3, fonts.Options{Tolerance: -1}, "tolerance -1"},
		{"alignment", "A", 3, fonts.Options{Align: 9}, "alignment 9"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := fonts.Layout(fonts.Plain(), c.text, c.size, c.o)
			assert.ErrorContains(t, err, c.want)
		})
	}
	_, err := fonts.Layout(fonts.Plain(), "\u6f22", 3, fonts.Options{})
	assert.True(t, errors.Is(err, fonts.ErrNoGlyph))
}

// Text in an outline face is one region, whose letters keep their area.
func TestLayoutOutline(t *testing.T) {
	f, err := fonts.Named("go-bold")
	require.NoError(t, err)
	l, err := fonts.Layout(f, "Ob\no", 5, fonts.Options{})
	require.NoError(t, err)
	assert.Empty(t, l.Strokes)
	require.NoError(t, l.Region.Validate())
	assert.Len(t, l.Region, 6)
	sum := 0.0
	for _, r := range "Obo" {
		g, err := f.Glyph(r, fonts.CutTolerance/5)
		require.NoError(t, err)
		sum += g.Outline.Area() * 25
	}
	assert.InDelta(t, sum, l.Region.Area(), 1e-6)

	// Drawn so close that they overlap, letters become one outline.
	tight, err := fonts.Layout(f, "OO", 5, fonts.Options{Tracking: -0.6})
	require.NoError(t, err)
	require.NoError(t, tight.Region.Validate())
	apart, err := fonts.Layout(f, "OO", 5, fonts.Options{})
	require.NoError(t, err)
	assert.Less(t, tight.Region.Area(), apart.Region.Area()-0.1)
}

func TestFit(t *testing.T) {
	flat := geom.Box{Min: geom.Pt(10, 20), Max: geom.Pt(32, 25)} // 22 x 5 mm
	for _, c := range []struct {
		name, text string
		o          fonts.FitOptions
		height     float64
	}{
		{"height is the limit", "HH", fonts.FitOptions{}, 5},
		{"margins", "HH", fonts.FitOptions{Margins: fonts.Even(1)}, 3},
		{"width of cut", "HH", fonts.FitOptions{Margins: fonts.Even(1), CutWidth: 0.5}, 2.5},
		// 10 letters H: 10 x 0.6 + 9 x 0.3 cap heights wide.
		{"length is the limit", "HHHHHHHHHH", fonts.FitOptions{}, 22 / 8.7},
		{"greatest height", "HH", fonts.FitOptions{MaxHeight: 2}, 2},
		{"descender", "Hp", fonts.FitOptions{}, 5 / 1.3},
		{"on capitals", "Hp", fonts.FitOptions{OnCapitals: true}, 5 / 1.6},
		{"two lines", "H\nH", fonts.FitOptions{}, 5 / 2.3},
		{"uneven margins", "HH", fonts.FitOptions{Margins: fonts.Margins{Left: 2, Bottom: 2}}, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := fonts.Fit(fonts.Plain(), c.text, flat, c.o)
			require.NoError(t, err)
			assert.InDelta(t, c.height, l.CapHeight, 1e-7)
			m := c.o.Margins
			middle := geom.Pt((10+m.Left+32-m.Right)/2, (20+m.Bottom+25-m.Top)/2)
			got := l.Bounds.Center()
			if c.o.OnCapitals {
				got.Y = l.Lines[0].Origin.Y + l.CapHeight/2
			}
			assert.InDelta(t, middle.X, got.X, 1e-9)
			assert.InDelta(t, middle.Y, got.Y, 1e-9)
		})
	}
}

// A height that is given and just fits is taken.
func TestFitExactHeight(t *testing.T) {
	o := fonts.FitOptions{MinHeight: 3, MaxHeight: 3, Margins: fonts.Even(1)}
	l, err := fonts.Fit(fonts.Plain(), "HI", geom.Box{Max: geom.Pt(22, 5)}, o)
	require.NoError(t, err)
	assert.InDelta(t, 3, l.CapHeight, 1e-7)
	_, err = fonts.Fit(fonts.Plain(), "HI", geom.Box{Max: geom.Pt(22, 4.999)}, o)
	assert.ErrorContains(t, err, "only with capitals of 2.998 mm: at least 3.000 mm")
}

// Outline faces fit too; coarse tolerances change the outline, not the promise.
func TestFitOutline(t *testing.T) {
	box := geom.Box{Min: geom.Pt(-3, 1), Max: geom.Pt(19, 6)}
	for _, name := range []string{"go-regular", "go-bold", "go-italic"} {
		f, err := fonts.Named(name)
		require.NoError(t, err)
		for _, tol := range []float64{0, 0.0002, 0.05, 2} {
			l, err := fonts.Fit(f, "Ågot & Jó\nSjögren", box, fonts.FitOptions{Options: fonts.Options{Tolerance: tol, Align: fonts.Centre}, Margins: fonts.Even(0.3)})
			require.NoError(t, err)
			room := box.Grow(-0.3 + 1e-9)
			assert.True(t, room.Contains(l.Bounds.Min) && room.Contains(l.Bounds.Max), "%s %g: %v", name, tol, l.Bounds)
			assert.InDelta(t, room.Size().Y, l.Bounds.Size().Y, 1e-4, "%s %g: the height is the limit", name, tol)
		}
	}
}

func TestFitErrors(t *testing.T) {
	flat := geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(22, 5)}
	for _, c := range []struct {
		name, text string
		box        geom.Box
		o          fonts.FitOptions
		want       string
	}{
		{"too small", "Bartholomew Quillfeather", flat, fonts.FitOptions{MinHeight: 1.5, Margins: fonts.Even(0.5)},
			"only with capitals of 1."},
		{"names the minimum", "Bartholomew Quillfeather", flat, fonts.FitOptions{MinHeight: 1.5},
			"at least 1.500 mm are asked for"},
		{"no room", "A", flat, fonts.FitOptions{Margins: fonts.Even(2.5)}, "no room for the text: 17.000 x 0.000 mm"},
		{"negative margin", "A", flat, fonts.FitOptions{Margins: fonts.Even(-1)}, "not -1"},
		{"heights", "A", flat, fonts.FitOptions{MinHeight: 3, MaxHeight: 2}, "least height 3.000 mm is above the greatest, 2.000 mm"},
		{"not finite", "A", geom.Box{Max: geom.Pt(math.NaN(), 1)}, fonts.FitOptions{}, "not finite"},
		{"turned over", "A", geom.Box{Min: geom.Pt(5, 5)}, fonts.FitOptions{}, "no room"},
		{"missing", "A\u6f22", flat, fonts.FitOptions{}, "character 2"},
		{"empty", "", flat, fonts.FitOptions{}, "draws nothing"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := fonts.Fit(fonts.Plain(), c.text, c.box, c.o)
			assert.ErrorContains(t, err, c.want)
		})
	}
}

// Whatever the text, the cut stays inside the margins, and it could not be
// larger.
func TestFitStaysInside(t *testing.T) {
	letters := append(printable(), '\n')
	rapid.Check(t, func(t *rapid.T) {
		text := string(rapid.SliceOfN(rapid.SampledFrom(letters), 1, 20).Draw(t, "text"))
		w := rapid.Float64Range(5, 100).Draw(t, "w")
		h := rapid.Float64Range(2, 50).Draw(t, "h")
		o := fonts.FitOptions{
			Margins:    fonts.Even(rapid.Float64Range(0, 0.4).Draw(t, "margin")),
			CutWidth:   rapid.Float64Range(0, 0.4).Draw(t, "cut"),
			MaxHeight:  rapid.Float64Range(1, 60).Draw(t, "max"),
			OnCapitals: rapid.Bool().Draw(t, "capitals"),
		}
		box := geom.Box{Min: geom.Pt(-w/3, 7), Max: geom.Pt(w-w/3, 7+h)}
		l, err := fonts.Fit(fonts.Plain(), text, box, o)
		if err != nil {
			if strings.TrimSpace(strings.ReplaceAll(text, "\u00a0", "")) == "" {
				return
			}
			t.Fatalf("%q: %v", text, err)
		}
		room := box.Grow(-o.Margins.Left - o.CutWidth/2)
		in := room.Grow(1e-9) // rounding of the translation
		if !in.Contains(l.Bounds.Min) || !in.Contains(l.Bounds.Max) {
			t.Fatalf("%q: %v is not inside %v", text, l.Bounds, room)
		}
		full := l.Bounds.Size().X > room.Size().X-1e-5 || l.CapHeight > o.MaxHeight-1e-9 ||
			l.Bounds.Max.Y > room.Max.Y-1e-5 || l.Bounds.Min.Y < room.Min.Y+1e-5
		if !full && l.CapHeight < 999 {
			t.Fatalf("%q: %v of %v could be larger than %v", text, l.Bounds, room, l.CapHeight)
		}
	})
}

func TestAround(t *testing.T) {
	c := fonts.Circle{Centre: geom.Pt(3, 4), Radius: 20, Middle: math.Pi / 2}
	out, err := fonts.Around(fonts.Plain(), "HIH", 3, c, fonts.Options{})
	require.NoError(t, err)
	// Symmetric about the middle, feet on the circle.
	assert.InDelta(t, 3, out.Bounds.Center().X, 1e-9)
	foot := func(l *fonts.Text) float64 {
		near := math.Inf(1)
		for _, p := range l.Strokes {
			near = math.Min(near, p.Distance(c.Centre))
		}
		return near
	}
	assert.InDelta(t, 20, foot(out), 1e-9) // the I stands on the circle
	top := 0.0
	for _, p := range out.Strokes {
		top = math.Max(top, math.Max(p.Start().Dist(c.Centre), p.End().Dist(c.Centre)))
	}
	assert.InDelta(t, math.Hypot(23, 0.9), top, 1e-9) // corner of the H

	c.Middle, c.Inward = -math.Pi/2, true
	in, err := fonts.Around(fonts.Plain(), "HIH", 3, c, fonts.Options{})
	require.NoError(t, err)
	assert.InDelta(t, 17, foot(in), 1e-9)
	assert.InDelta(t, 3, in.Bounds.Center().X, 1e-9)

	// Reading direction: the first letter of "TL" is on the left in both.
	for _, c := range []fonts.Circle{
		{Radius: 20, Middle: math.Pi / 2}, {Radius: 20, Middle: -math.Pi / 2, Inward: true},
	} {
		l, err := fonts.Around(fonts.Plain(), "II", 3, c, fonts.Options{})
		require.NoError(t, err)
		assert.Less(t, l.Strokes[0].Start().X, l.Strokes[1].Start().X)
	}

	for _, bad := range []struct {
		text string
		c    fonts.Circle
		want string
	}{
		{"A\nB", c, "single line"},
		{strings.Repeat("WM", 50), c, "and the circle 125.664 mm round"},
		{"A", fonts.Circle{Radius: 0}, "not usable"},
		{"A", fonts.Circle{Radius: math.NaN()}, "not usable"},
		{"A", fonts.Circle{Radius: 2, Inward: true}, "do not fit inside a radius of 2.000 mm"},
		{"", c, "draws nothing"},
		{"\u6f22", c, "line 1, character 1"},
	} {
		_, err := fonts.Around(fonts.Plain(), bad.text, 3, bad.c, fonts.Options{})
		assert.ErrorContains(t, err, bad.want)
	}
}

func TestTransform(t *testing.T) {
	l := layout(t, "Hp\nx", 2, fonts.Options{})
	m := l.Transform(geom.Scale(3).Then(geom.Translate(geom.Pt(10, 20))))
	assert.InDelta(t, 6, m.CapHeight, 1e-12)
	assert.InDelta(t, 3*l.Width, m.Width, 1e-12)
	assert.InDelta(t, 3*l.Bounds.Min.Y+20, m.Bounds.Min.Y, 1e-12)
	assert.InDelta(t, 3*l.Lines[1].Origin.Y+20, m.Lines[1].Origin.Y, 1e-12)
	assert.InDelta(t, 0, l.Bounds.Min.X, 1e-12, "the original stays")
}

func BenchmarkLayoutName(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := fonts.Layout(fonts.Plain(), "Jolanta Illingworth", 3, fonts.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
