package fonts_test

import (
	"image"
	"image/draw"
	"testing"

	"github.com/golang/freetype"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"

	"proofcut/fonts"
)

// inked returns the area in pixels that github.com/golang/freetype, which reads
// and fills fonts by its own code, covers for one character at 512 pixels an em.
func inked(t *testing.T, ttf []byte, r rune) float64 {
	t.Helper()
	f, err := freetype.ParseFont(ttf)
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, 800, 900))
	draw.Draw(img, img.Bounds(), image.Black, image.Point{}, draw.Src)
	c := freetype.NewContext()
	c.SetDPI(72)
	c.SetFont(f)
	c.SetFontSize(512)
	c.SetHinting(font.HintingNone)
	c.SetClip(img.Bounds())
	c.SetDst(img)
	c.SetSrc(image.White)
	_, err = c.DrawString(string(r), freetype.Pt(100, 650))
	require.NoError(t, err)
	sum := 0.0
	for i := 0; i < len(img.Pix); i += 4 {
		sum += float64(img.Pix[i]) / 255
	}
	return sum
}

// TestOutlinesAreInkedAlike compares areas with those of an independent reader
// and rasterizer, each over its own area of the letter H.
func TestOutlinesAreInkedAlike(t *testing.T) {
	face, err := fonts.LoadOutline(goregular.TTF)
	require.NoError(t, err)
	area := func(r rune) float64 {
		g, err := face.Glyph(r, 1e-4)
		require.NoError(t, err)
		return g.Outline.Area()
	}
	for _, r := range "AOgR8&@Åß" {
		assert.InEpsilon(t, inked(t, goregular.TTF, r)/inked(t, goregular.TTF, 'H'), area(r)/area('H'), 0.005, string(r))
	}
}
