package scan

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"
)

// Limits on pictures, held against the header before anything is decoded.
const (
	// maxPixels is an A3 page at 700 dpi; with 8 bytes a pixel it fits the memory
	// of any machine in use.
	maxPixels = 100_000_000
	// maxFileBytes is what maxPixels take uncompressed with 16 bits in four
	// channels, and room for what goes with them.
	maxFileBytes = 8*maxPixels + 64<<20
	// minSide is the least width and height: less shows no outline.
	minSide = 16
)

// Resolution is how many pixels a millimetre has in each axis.
type Resolution struct{ X, Y float64 }

// DPI returns the resolution of that many pixels an inch in both axes.
func DPI(dpi float64) Resolution { return Resolution{dpi / mmPerInch, dpi / mmPerInch} }

// mmPerInch is exact (the international inch of 1959).
const mmPerInch = 25.4

// Limits on resolutions in pixels a millimetre: a photo of a room, and an
// optical microscope. A number beyond them is a mistake.
const (
	leastResolution    = 0.2
	greatestResolution = 1000
)

// check refuses what no scan has.
func (r Resolution) check() error {
	for _, v := range []float64{r.X, r.Y} {
		if !(v >= leastResolution && v <= greatestResolution) {
			return fmt.Errorf("a resolution of %g dpi is out of range: from %g to %g dpi are taken", v*mmPerInch, leastResolution*mmPerInch, greatestResolution*mmPerInch)
		}
	}
	return nil
}

// Picture is a decoded picture. Pixels are as they are to be looked at: what the
// file says of its orientation has been applied.
type Picture struct {
	Format string // "PNG", "JPEG", "TIFF", "BMP", or nothing for FromImage

	// Resolution is what the file says of itself; nil when it says nothing.
	Resolution *Resolution
	// Placeholder is true when the file says 72 or 96 dpi. That is what programs
	// write that know nothing: the Exif standard (JEITA CP-3451, tag XResolution)
	// demands 72 for an unknown resolution; 96 is common practice, no source.
	Placeholder bool

	pixels image.RGBA64Image
	turn   orientation
	w, h   int
}

// Size returns width and height in pixels.
func (p *Picture) Size() (w, h int) { return p.w, p.h }

// At returns the colour of a pixel, counted from the upper left.
func (p *Picture) At(x, y int) color.Color { return p.at(x, y) }

// at is At without an interface: it is asked for every pixel.
func (p *Picture) at(x, y int) color.RGBA64 {
	x, y = p.turn.stored(x, y, p.w, p.h)
	min := p.pixels.Bounds().Min
	return p.pixels.RGBA64At(min.X+x, min.Y+y)
}

// format is one kind of picture file.
type format struct {
	name   string
	magic  []string // at the start of the file; '?' stands for any byte
	config func(io.Reader) (image.Config, error)
	decode func(io.Reader) (image.Image, error)
	meta   func([]byte) metadata
}

var formats = []format{
	{"PNG", []string{"\x89PNG\r\n\x1a\n"}, png.DecodeConfig, png.Decode, pngMetadata},
	{"JPEG", []string{"\xff\xd8\xff"}, jpeg.DecodeConfig, jpeg.Decode, jpegMetadata},
	{"TIFF", []string{"II*\x00", "MM\x00*"}, tiff.DecodeConfig, tiff.Decode, tiffMetadata},
	{"BMP", []string{"BM"}, bmp.DecodeConfig, bmp.Decode, bmpMetadata},
}

// Decode reads a PNG, JPEG, TIFF or BMP picture, known by its first bytes.
//
// Errors: another kind of file, a file that is damaged or ends too early, a
// picture of more than 100 million pixels (refused by its header, before it is
// decoded) or less than 16 pixels wide or high, a file of more than 864 MB, and
// a picture with transparent pixels, whose colour is nowhere stated.
func Decode(r io.Reader) (*Picture, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFileBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxFileBytes {
		return nil, fmt.Errorf("the file has more than %d MB: scan at a lower resolution", maxFileBytes>>20)
	}
	f, ok := formatOf(data)
	if !ok {
		return nil, errors.New("not a PNG, JPEG, TIFF or BMP picture: save it as one of these")
	}
	m, err := header(f, data)
	if err != nil {
		return nil, err
	}
	img, err := guarded(f, data)
	if err != nil {
		return nil, err
	}
	p, err := FromImage(img)
	if err != nil {
		return nil, err
	}
	p.Format, p.turn = f.name, m.turn
	if m.turn.swaps() {
		p.w, p.h = p.h, p.w
		m.resolution.X, m.resolution.Y = m.resolution.Y, m.resolution.X
	}
	if m.resolution.check() == nil {
		p.Resolution = &m.resolution
		p.Placeholder = placeholder(m.resolution.X) || placeholder(m.resolution.Y)
	}
	return p, nil
}

// FromImage returns a decoded image as a picture without a resolution. It keeps
// the image, which must not change afterwards. Errors: as Decode, for its size
// and transparent pixels.
func FromImage(img image.Image) (*Picture, error) {
	if err := checkSize(img.Bounds().Dx(), img.Bounds().Dy()); err != nil {
		return nil, err
	}
	pixels, ok := img.(image.RGBA64Image)
	if !ok {
		return nil, fmt.Errorf("the colour model of the picture (%T) is not supported: save it as RGB", img)
	}
	p := &Picture{pixels: pixels, w: img.Bounds().Dx(), h: img.Bounds().Dy()}
	if x, y, ok := p.transparent(); ok {
		return nil, fmt.Errorf("the picture has transparent pixels, the first at (%d, %d): save it without transparency", x, y)
	}
	return p, nil
}

// checkSize refuses a picture that is too large or too small.
func checkSize(w, h int) error {
	switch {
	case w < minSide || h < minSide:
		return fmt.Errorf("the picture has %d x %d pixels; at least %d x %d are needed", w, h, minSide, minSide)
	case w > maxPixels/h:
		return fmt.Errorf("the picture has %d x %d pixels; at most %d million are taken: scan at a lower resolution, or cut the picture to the piece", w, h, maxPixels/1_000_000)
	}
	return nil
}

func formatOf(data []byte) (format, bool) {
	for _, f := range formats {
		for _, m := range f.magic {
			if bytes.HasPrefix(data, []byte(m)) {
				return f, true
			}
		}
	}
	return format{}, false
}

// header reads size and metadata and refuses what is too large or too small.
func header(f format, data []byte) (m metadata, err error) {
	defer func() {
		if r := recover(); r != nil { // a fault of the decoder is one of the file here
			err = fmt.Errorf("the %s header is damaged: %v", f.name, r)
		}
	}()
	c, err := f.config(bytes.NewReader(data))
	if err != nil {
		return m, damaged(f, err)
	}
	if err := checkSize(c.Width, c.Height); err != nil {
		return m, err
	}
	return f.meta(data), nil
}

// guarded decodes; a panic of a decoder on a damaged file is an error.
func guarded(f format, data []byte) (img image.Image, err error) {
	defer func() {
		if r := recover(); r != nil {
			img, err = nil, fmt.Errorf("the %s file is damaged: %v", f.name, r)
		}
	}()
	if img, err = f.decode(bytes.NewReader(data)); err != nil {
		return nil, damaged(f, err)
	}
	return img, nil
}

// damaged says in plain words why a decoder failed.
func damaged(f format, err error) error {
	short := png.FormatError("not enough pixel data") // what the PNG decoder says of an early end
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) || errors.Is(err, short) {
		return fmt.Errorf("the %s file ends too early: it is truncated; copy or scan it again", f.name)
	}
	return fmt.Errorf("the %s file cannot be read (%w): save it again as PNG", f.name, err)
}

// placeholder reports whether a resolution says nothing; see Picture.
func placeholder(perMM float64) bool {
	dpi := perMM * mmPerInch
	return math.Abs(dpi-72) < 0.1 || math.Abs(dpi-96) < 0.1
}

// transparent returns the first pixel that is not opaque.
func (p *Picture) transparent() (x, y int, found bool) {
	if o, ok := p.pixels.(interface{ Opaque() bool }); ok && o.Opaque() {
		return 0, 0, false
	}
	for y := range p.h {
		for x := range p.w {
			if p.at(x, y).A != math.MaxUint16 {
				return x, y, true
			}
		}
	}
	return 0, 0, false
}

// orientation is how a stored picture is to be turned to be looked at, as in the
// tag Orientation of TIFF 6.0 (Adobe, 1992) and Exif: 1 to 8, where 0 and 1 mean
// as it is.
type orientation uint8

// swaps reports whether width and height change places.
func (o orientation) swaps() bool { return o >= 5 && o <= 8 }

// stored returns where pixel (x, y) of the picture as looked at, w x h pixels, is
// in the file. The tag says on which side of the picture the first row and the
// first column of the file are: 2 top right, 3 bottom right, 4 bottom left,
// 5 left top, 6 right top, 7 right bottom, 8 left bottom.
func (o orientation) stored(x, y, w, h int) (int, int) {
	switch o {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return y, w - 1 - x
	case 7:
		return h - 1 - y, w - 1 - x
	case 8:
		return h - 1 - y, x
	}
	return x, y
}
