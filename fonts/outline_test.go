package fonts_test

import (
	"encoding/binary"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"proofcut/fonts"
	"proofcut/paths/geom"
)

// table finds a table of a font file. Source: OpenType specification, "Organization
// of an OpenType Font": the table directory has records of 16 bytes from byte 12
// on: tag, checksum, offset, length.
func table(t *testing.T, ttf []byte, tag string) []byte {
	t.Helper()
	for i := range int(binary.BigEndian.Uint16(ttf[4:])) {
		rec := ttf[12+16*i:]
		if string(rec[:4]) == tag {
			offset, length := binary.BigEndian.Uint32(rec[8:]), binary.BigEndian.Uint32(rec[12:])
			return ttf[offset : offset+length]
		}
	}
	t.Fatalf("no table %q", tag)
	return nil
}

// glyphIndex reads the cmap. Source: OpenType specification, table cmap, subtable
// format 4 (segment mapping to delta values), read here without the library.
func glyphIndex(t *testing.T, ttf []byte, r rune) int {
	t.Helper()
	cmap := table(t, ttf, "cmap")
	u16 := func(b []byte, i int) int { return int(binary.BigEndian.Uint16(b[i:])) }
	for i := range u16(cmap, 2) {
		sub := cmap[binary.BigEndian.Uint32(cmap[4+8*i+4:]):]
		if u16(sub, 0) != 4 {
			continue
		}
		n := u16(sub, 6) / 2
		ends, starts, deltas, offsets := 14, 16+2*n, 16+4*n, 16+6*n
		for s := range n {
			if int(r) > u16(sub, ends+2*s) || int(r) < u16(sub, starts+2*s) {
				continue
			}
			if o := u16(sub, offsets+2*s); o != 0 {
				g := u16(sub, offsets+2*s+o+2*(int(r)-u16(sub, starts+2*s)))
				if g == 0 {
					return 0
				}
				return (g + u16(sub, deltas+2*s)) & 0xffff
			}
			return (int(r) + u16(sub, deltas+2*s)) & 0xffff
		}
	}
	return 0
}

// advanceWidth reads hmtx. Source: OpenType specification, tables hhea
// (numberOfHMetrics at byte 34) and hmtx (records of advanceWidth and side
// bearing; glyphs beyond the last record have its width).
func advanceWidth(t *testing.T, ttf []byte, glyph int) int {
	n := int(binary.BigEndian.Uint16(table(t, ttf, "hhea")[34:]))
	return int(binary.BigEndian.Uint16(table(t, ttf, "hmtx")[4*min(glyph, n-1):]))
}

func TestAdvanceWidthsAreTheFontFiles(t *testing.T) {
	for name, ttf := range map[string][]byte{
		"regular": goregular.TTF, "bold": gobold.TTF, "italic": goitalic.TTF, "mono": gomono.TTF,
	} {
		f, err := fonts.LoadOutline(ttf)
		require.NoError(t, err)
		n := 0
		for r := rune(0x20); r < 0x250; r++ {
			index := glyphIndex(t, ttf, r)
			g, err := f.Glyph(r, 0.01)
			if index == 0 {
				assert.ErrorIs(t, err, fonts.ErrNoGlyph, "%s %q", name, r)
				continue
			}
			require.NoError(t, err, "%s %q", name, r)
			assert.InDelta(t, float64(advanceWidth(t, ttf, index)), g.Advance*f.UnitsPerCap(), 1e-9, "%s %q", name, r)
			n++
		}
		assert.Greater(t, n, 300, name)
	}
}

// The height of capitals: source OpenType specification, table OS/2 version 2
// and later, sCapHeight at byte 88 and sxHeight at byte 86. The Go fonts draw
// their H and x to these heights within 2 units in 2048.
func TestCapHeightIsTheFontFiles(t *testing.T) {
	f, err := fonts.LoadOutline(goregular.TTF)
	require.NoError(t, err)
	os2 := table(t, goregular.TTF, "OS/2")
	assert.InDelta(t, float64(binary.BigEndian.Uint16(os2[88:])), f.UnitsPerCap(), 2)
	assert.InDelta(t, float64(binary.BigEndian.Uint16(os2[86:])), f.Metrics().Lower*f.UnitsPerCap(), 2)
	assert.InDelta(t, 1, glyph(t, f, 'H').Bounds().Max.Y, 1e-9)
}

// area of a glyph's own curves by the shoelace formula on many chords.
func chordArea(t *testing.T, ttf []byte, r rune, capHeight float64) float64 {
	f, err := sfnt.Parse(ttf)
	require.NoError(t, err)
	x, err := f.GlyphIndex(nil, r)
	require.NoError(t, err)
	segs, err := f.LoadGlyph(nil, x, fixed.Int26_6(f.UnitsPerEm()), nil)
	require.NoError(t, err)
	at := func(p fixed.Point26_6) geom.Point { return geom.Pt(float64(p.X)/capHeight, -float64(p.Y)/capHeight) }
	var sum float64
	var pen, start geom.Point
	to := func(p geom.Point) { sum += pen.Cross(p) / 2; pen = p }
	for _, s := range segs {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			to(start)
			pen, start = at(s.Args[0]), at(s.Args[0])
		case sfnt.SegmentOpLineTo:
			to(at(s.Args[0]))
		case sfnt.SegmentOpQuadTo:
			a, b, c := pen, at(s.Args[0]), at(s.Args[1])
			for i := 1; i <= 2000; i++ {
				u := float64(i) / 2000
				to(a.Lerp(b, u).Lerp(b.Lerp(c, u), u))
			}
		case sfnt.SegmentOpCubeTo:
			a, b, c, d := pen, at(s.Args[0]), at(s.Args[1]), at(s.Args[2])
			for i := 1; i <= 2000; i++ {
				u := float64(i) / 2000
				ab, bc, cd := a.Lerp(b, u), b.Lerp(c, u), c.Lerp(d, u)
				to(ab.Lerp(bc, u).Lerp(bc.Lerp(cd, u), u))
			}
		}
	}
	to(start)
	return math.Abs(sum)
}

// Regions made of arcs have the area of the font's own curves, and lie within
// the tolerance of them.
func TestOutlinesHaveTheFontsArea(t *testing.T) {
	const tol = 1e-4
	f, err := fonts.LoadOutline(goregular.TTF)
	require.NoError(t, err)
	for _, r := range "AOBgs8&@%" {
		g, err := f.Glyph(r, tol)
		require.NoError(t, err)
		require.NoError(t, g.Outline.Validate(), "%q", r)
		want := chordArea(t, goregular.TTF, r, f.UnitsPerCap())
		assert.InDelta(t, want, g.Outline.Area(), tol*g.Outline.Perimeter(), "%q", r)
	}
	for r, contours := range map[rune]int{'I': 1, 'O': 2, 'B': 3, 'i': 2, '%': 5} {
		assert.Len(t, glyph(t, f, r).Outline, contours, "%q", r)
	}
}

// Cubic outlines, from a font without an H whose cap height is stated.
func TestCubicOutlines(t *testing.T) {
	const tol = 1e-4
	otf, err := os.ReadFile("testdata/cff.otf")
	require.NoError(t, err)
	f, err := fonts.LoadOutline(otf)
	require.NoError(t, err)
	assert.InDelta(t, float64(binary.BigEndian.Uint16(table(t, otf, "OS/2")[88:])), f.UnitsPerCap(), 1e-9)
	for r, contours := range map[rune]int{'0': 2, '1': 1, 'Q': 2} {
		g, err := f.Glyph(r, tol)
		require.NoError(t, err)
		require.NoError(t, g.Outline.Validate(), "%q", r)
		assert.Len(t, g.Outline, contours, "%q", r)
		assert.InDelta(t, chordArea(t, otf, r, f.UnitsPerCap()), g.Outline.Area(), tol*g.Outline.Perimeter(), "%q", r)
	}
}

// A finer tolerance takes more arcs, never many: this is what keeps programs
// short.
func TestOutlinesAreFewArcs(t *testing.T) {
	f, err := fonts.LoadOutline(goregular.TTF)
	require.NoError(t, err)
	g, err := f.Glyph('S', 1e-3)
	require.NoError(t, err)
	n := 0
	for _, c := range g.Outline {
		n += len(c)
	}
	assert.LessOrEqual(t, n, 80)
}

// withKern returns the font with a kern table of one pair. Source: OpenType
// specification, table kern version 0, subtable format 0 (horizontal).
func withKern(t *testing.T, ttf []byte, left, right, value int) []byte {
	t.Helper()
	var kern []byte
	for _, v := range []int{0, 1 /* tables */, 0, 20 /* length */, 1 /* horizontal */, 1 /* pair */, 6, 0, 0, left, right, value} {
		kern = binary.BigEndian.AppendUint16(kern, uint16(v))
	}
	n := int(binary.BigEndian.Uint16(ttf[4:]))
	out := append([]byte(nil), ttf[:12+16*n]...)
	binary.BigEndian.PutUint16(out[4:], uint16(n+1))
	for i := range n { // everything moves down by one record
		rec := out[12+16*i+8:]
		binary.BigEndian.PutUint32(rec, binary.BigEndian.Uint32(rec)+16)
	}
	// Records are sorted by tag.
	at := 12
	for at < len(out) && string(out[at:at+4]) < "kern" {
		at += 16
	}
	rec := append([]byte("kern"), 0, 0, 0, 0)
	rec = binary.BigEndian.AppendUint32(rec, uint32(len(ttf)+16))
	rec = binary.BigEndian.AppendUint32(rec, uint32(len(kern)))
	out = append(out[:at:at], append(rec, out[at:]...)...)
	return append(append(out, ttf[12+16*n:]...), kern...)
}

func TestKernIsTheFontFiles(t *testing.T) {
	ttf := goregular.TTF
	for len(ttf)%4 != 0 { // tables begin at multiples of four bytes
		ttf = append(ttf[:len(ttf):len(ttf)], 0)
	}
	f, err := fonts.LoadOutline(withKern(t, ttf, glyphIndex(t, ttf, 'A'), glyphIndex(t, ttf, 'V'), -210))
	require.NoError(t, err)
	assert.InDelta(t, -210/f.UnitsPerCap(), f.Kern('A', 'V'), 1e-12)
	assert.Zero(t, f.Kern('V', 'A'))
	l, err := fonts.Layout(f, "AV", 10, fonts.Options{})
	require.NoError(t, err)
	loose, err := fonts.Layout(goRegular(t), "AV", 10, fonts.Options{})
	require.NoError(t, err)
	assert.InDelta(t, loose.Width-2100/f.UnitsPerCap(), l.Width, 1e-9)
	assert.Zero(t, goRegular(t).Kern('A', 'V'), "the Go fonts have no kerning")
}

func goRegular(t *testing.T) *fonts.OutlineFace {
	t.Helper()
	f, err := fonts.LoadOutline(goregular.TTF)
	require.NoError(t, err)
	return f
}

func TestLoadOutlineErrors(t *testing.T) {
	damaged := append([]byte(nil), goregular.TTF...)
	for i := 12; i < 12+16*8; i++ {
		damaged[i] ^= 0xff
	}
	noUnits := append([]byte(nil), goregular.TTF...)
	for i := range int(binary.BigEndian.Uint16(noUnits[4:])) {
		if rec := noUnits[12+16*i:]; string(rec[:4]) == "head" {
			binary.BigEndian.PutUint16(noUnits[binary.BigEndian.Uint32(rec[8:])+18:], 0)
		}
	}
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"empty", nil, "cannot be read"},
		{"text", []byte("this is no font at all, whatever its name says"), "cannot be read"},
		{"cut short", goregular.TTF[:5000], "cannot be read"},
		{"damaged directory", damaged, "cannot be read"},
		{"no units per em", noUnits, "font"},
		{"collection", append([]byte("ttcf"), make([]byte, 100)...), "collection of fonts"},
		{"too large", make([]byte, 65<<20), "at most"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := fonts.LoadOutline(c.data)
			assert.ErrorContains(t, err, c.want)
		})
	}
}

func TestNamed(t *testing.T) {
	for _, name := range fonts.Names() {
		f, err := fonts.Named(name)
		require.NoError(t, err)
		assert.NotEmpty(t, f.Name())
		_, err = f.Glyph('R', 0.01)
		assert.NoError(t, err, name)
	}
	_, err := fonts.Named("gothic")
	assert.ErrorContains(t, err, `face "gothic" is not known: use one of plain, narrow, go-regular`)
}

func FuzzLoadOutline(f *testing.F) {
	f.Add(goregular.TTF, 'A')
	f.Add(gomono.TTF, 'é')
	f.Add(goregular.TTF[:4000], '%')
	f.Add([]byte("OTTO\x00\x01"), 'x')
	f.Fuzz(func(t *testing.T, data []byte, r rune) {
		face, err := fonts.LoadOutline(data)
		if err != nil {
			return
		}
		_, _ = face.Glyph(r, 0.01)
		_ = face.Kern('A', r)
	})
}

func BenchmarkOutlineGlyph(b *testing.B) {
	f, err := fonts.LoadOutline(goregular.TTF)
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.Glyph('g', 1e-3); err != nil {
			b.Fatal(err)
		}
	}
}
