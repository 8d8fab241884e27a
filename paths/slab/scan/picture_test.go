package scan_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"

	"proofcut/paths/slab/scan"
	"proofcut/paths/slab/scan/scantest"
)

// plain is a picture of 40 x 20 pixels, red in its upper left quarter.
func plain() *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, 40, 20))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for y := range 10 {
		for x := range 20 {
			img.SetNRGBA(x, y, color.NRGBA{200, 0, 0, 255})
		}
	}
	return img
}

func pngAt(t testing.TB, dpi float64) []byte {
	data, err := scantest.PNG(plain(), dpi)
	require.NoError(t, err)
	return data
}

// jpegWith returns a JPEG file with segments after its start.
func jpegWith(t testing.TB, segments ...[]byte) []byte {
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, plain(), nil))
	out := []byte{0xff, 0xd8}
	for _, s := range segments {
		out = append(out, s...)
	}
	return append(out, b.Bytes()[2:]...)
}

func segment(marker byte, body string) []byte {
	out := binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2))
	return append(out, body...)
}

func jfif(unit byte, x, y uint16) []byte {
	body := "JFIF\x00\x01\x02" + string(unit) + string(binary.BigEndian.AppendUint16(nil, x)) + string(binary.BigEndian.AppendUint16(nil, y)) + "\x00\x00"
	return segment(0xe0, body)
}

// ifd returns a directory as TIFF 6.0 has it, little endian: orientation (0: left
// out), resolution in X and Y as fractions, and unit.
func ifd(turn uint16, x, y [2]uint32, unit uint16) string {
	le := binary.LittleEndian
	b := append([]byte("II*\x00"), 8, 0, 0, 0)
	type entry struct {
		tag, kind uint16
		value     uint32
	}
	at := uint32(8 + 2 + 4*12 + 4)
	list := []entry{{274, 3, uint32(turn)}, {282, 5, at}, {283, 5, at + 8}, {296, 3, uint32(unit)}}
	b = le.AppendUint16(b, uint16(len(list)))
	for _, e := range list {
		b = le.AppendUint16(le.AppendUint16(b, e.tag), e.kind)
		b = le.AppendUint32(le.AppendUint32(b, 1), e.value)
	}
	b = le.AppendUint32(b, 0)
	for _, v := range []uint32{x[0], x[1], y[0], y[1]} {
		b = le.AppendUint32(b, v)
	}
	return string(b)
}

func exif(body string) []byte { return segment(0xe1, "Exif\x00\x00"+body) }

// tiffAt returns a TIFF file whose resolution tags say dpi. The encoder writes 72
// for both, as a fraction over 1.
func tiffAt(t testing.TB, dpi uint32) []byte {
	var b bytes.Buffer
	require.NoError(t, tiff.Encode(&b, plain(), nil))
	was := binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(nil, 72), 1)
	now := binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(nil, dpi), 1)
	require.Equal(t, 2, bytes.Count(b.Bytes(), was))
	return bytes.ReplaceAll(b.Bytes(), was, now)
}

func bmpAt(t testing.TB, perMetre uint32) []byte {
	var b bytes.Buffer
	require.NoError(t, bmp.Encode(&b, plain()))
	data := b.Bytes()
	binary.LittleEndian.PutUint32(data[38:], perMetre)
	binary.LittleEndian.PutUint32(data[42:], perMetre)
	return data
}

func TestMetadata(t *testing.T) {
	for _, c := range []struct {
		name   string
		data   []byte
		format string
		x, y   float64 // dpi, 0: none
	}{
		{"PNG", pngAt(t, 300), "PNG", 300, 300},
		{"JFIF, inch", jpegWith(t, jfif(1, 600, 300)), "JPEG", 600, 300},
		{"JFIF, centimetre", jpegWith(t, jfif(2, 100, 100)), "JPEG", 254, 254},
		{"JFIF, ratio only", jpegWith(t, jfif(0, 1, 1)), "JPEG", 0, 0},
		{"JPEG without", jpegWith(t), "JPEG", 0, 0},
		{"Exif", jpegWith(t, exif(ifd(1, [2]uint32{3000, 10}, [2]uint32{300, 1}, 2))), "JPEG", 300, 300},
		{"Exif, centimetre", jpegWith(t, exif(ifd(1, [2]uint32{100, 1}, [2]uint32{100, 1}, 3))), "JPEG", 254, 254},
		{"Exif before JFIF", jpegWith(t, exif(ifd(1, [2]uint32{300, 1}, [2]uint32{300, 1}, 2)), jfif(1, 200, 200)), "JPEG", 300, 300},
		{"Exif placeholder", jpegWith(t, exif(ifd(1, [2]uint32{72, 1}, [2]uint32{72, 1}, 2)), jfif(1, 200, 200)), "JPEG", 200, 200},
		{"Exif over nothing", jpegWith(t, exif(ifd(1, [2]uint32{300, 0}, [2]uint32{0, 0}, 2))), "JPEG", 0, 0},
		{"TIFF", tiffAt(t, 400), "TIFF", 400, 400},
		{"BMP", bmpAt(t, 11811), "BMP", 300, 300},
		{"BMP, negative", bmpAt(t, 0xffffffff), "BMP", 0, 0},
		{"BMP, none", bmpAt(t, 0), "BMP", 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := scan.Decode(bytes.NewReader(c.data))
			require.NoError(t, err)
			assert.Equal(t, c.format, p.Format)
			w, h := p.Size()
			assert.Equal(t, [2]int{40, 20}, [2]int{w, h})
			if c.x == 0 {
				assert.Nil(t, p.Resolution)
				return
			}
			require.NotNil(t, p.Resolution)
			assert.InDelta(t, c.x, p.Resolution.X*25.4, 0.01)
			assert.InDelta(t, c.y, p.Resolution.Y*25.4, 0.01)
			assert.False(t, p.Placeholder)
		})
	}
}

// TestPlaceholder refuses 72 and 96 dpi, which say that nothing is known.
func TestPlaceholder(t *testing.T) {
	for _, data := range [][]byte{pngAt(t, 72), pngAt(t, 96), tiffAt(t, 72), jpegWith(t, jfif(1, 96, 96))} {
		p, err := scan.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		assert.True(t, p.Placeholder)
		_, err = scan.Find(p, scan.Options{})
		var fault *scan.Error
		require.ErrorAs(t, err, &fault)
		assert.Equal(t, scan.NoScale, fault.Fault)
		assert.ErrorContains(t, err, "when they do not know")
	}
}

func TestDecodeRefuses(t *testing.T) {
	see := image.NewNRGBA(image.Rect(0, 0, 40, 20))
	through, err := scantest.PNG(see, 300)
	require.NoError(t, err)
	small, err := scantest.PNG(image.NewGray(image.Rect(0, 0, 40, 3)), 300)
	require.NoError(t, err)
	large := bmpAt(t, 11811)
	binary.LittleEndian.PutUint32(large[18:], 30000)
	binary.LittleEndian.PutUint32(large[22:], 30000)
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"nothing", nil, "not a PNG, JPEG, TIFF or BMP picture"},
		{"text", []byte("outline of the slab"), "not a PNG, JPEG, TIFF or BMP picture"},
		{"PNG of 30 000 x 30 000", scantest.Header(30000, 30000), "30000 x 30000 pixels; at most 100 million"},
		{"BMP of 30 000 x 30 000", large, "30000 x 30000 pixels; at most 100 million"},
		{"PNG of two thousand million columns", scantest.Header(1<<31-1, 1), "at least 16 x 16"},
		{"low", small, "40 x 3 pixels; at least 16 x 16"},
		{"PNG header only", scantest.Header(400, 400), "truncated"},
		{"PNG signature only", pngAt(t, 300)[:8], "truncated"},
		{"half a PNG", pngAt(t, 300)[:90], "truncated"},
		{"half a JPEG", jpegWith(t)[:500], "truncated"},
		{"half a TIFF", tiffAt(t, 300)[:400], "TIFF"},
		{"half a BMP", bmpAt(t, 11811)[:400], "truncated"},
		{"transparent", through, "transparent pixels, the first at (0, 0)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := scan.Decode(bytes.NewReader(c.data))
			assert.ErrorContains(t, err, c.want)
		})
	}
	full := errors.New("no more")
	_, err = scan.Decode(io.MultiReader(bytes.NewReader(pngAt(t, 300)[:50]), iotest.ErrReader(full)))
	assert.ErrorIs(t, err, full)
	_, err = scan.FromImage(image.NewGray(image.Rect(0, 0, 3, 3)))
	assert.ErrorContains(t, err, "at least 16 x 16")
}

// TestOrientation turns a picture as its file says. The names are those of the tag
// Orientation in TIFF 6.0: where in the picture the first row and the first column
// of the file are.
func TestOrientation(t *testing.T) {
	for turn, c := range map[uint16]struct {
		name     string
		w, h     int
		col, row int // a pixel of the stored upper left quarter
	}{
		1: {"top left", 40, 20, 2, 2},
		2: {"top right", 40, 20, 37, 2},
		3: {"bottom right", 40, 20, 37, 17},
		4: {"bottom left", 40, 20, 2, 17},
		5: {"left top", 20, 40, 2, 2},
		6: {"right top", 20, 40, 17, 2},
		7: {"right bottom", 20, 40, 17, 37},
		8: {"left bottom", 20, 40, 2, 37},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := scan.Decode(bytes.NewReader(jpegWith(t, exif(ifd(turn, [2]uint32{300, 1}, [2]uint32{600, 1}, 2)))))
			require.NoError(t, err)
			w, h := p.Size()
			assert.Equal(t, [2]int{c.w, c.h}, [2]int{w, h})
			red, _, blue, _ := p.At(c.col, c.row).RGBA()
			assert.Greater(t, red, blue+20000)
			red, _, blue, _ = p.At(c.w-1-c.col, c.h-1-c.row).RGBA()
			assert.InDelta(t, red, blue, 5000)
			if turn >= 5 {
				assert.InDelta(t, 600, p.Resolution.X*25.4, 0.01)
			}
		})
	}
}

// FuzzDecode reads damaged files. Nothing may panic, and what is decoded has a
// size and, if any, a resolution within the limits.
func FuzzDecode(f *testing.F) {
	f.Add(pngAt(f, 300))
	f.Add(jpegWith(f, jfif(1, 300, 300)))
	f.Add(jpegWith(f, exif(ifd(6, [2]uint32{300, 1}, [2]uint32{300, 1}, 2))))
	f.Add(tiffAt(f, 300))
	f.Add(bmpAt(f, 11811))
	f.Add(scantest.Header(30000, 30000))
	f.Fuzz(func(t *testing.T, data []byte) {
		if w, h, ok := scan.SizeOf(data); ok && w*h > 1<<20 {
			return // within the limits, but slow for a fuzz target
		}
		p, err := scan.Decode(bytes.NewReader(data))
		if err != nil {
			assert.NotEmpty(t, err.Error())
			return
		}
		w, h := p.Size()
		assert.GreaterOrEqual(t, min(w, h), 16)
		p.At(0, 0)
		p.At(w-1, h-1)
		if r := p.Resolution; r != nil {
			assert.True(t, r.X >= 0.2 && r.X <= 1000 && r.Y >= 0.2 && r.Y <= 1000, "%v", *r)
		}
	})
}
