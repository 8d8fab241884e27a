package scantest

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"math"
)

// PNG returns the image as a file that states its resolution in the chunk pHYs
// (ISO/IEC 15948, 11.3.5.3), in whole pixels a metre.
func PNG(img image.Image, dpi float64) ([]byte, error) {
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestCompression}
	if err := e.Encode(&b, img); err != nil {
		return nil, err
	}
	perMetre := uint32(math.Round(dpi / 0.0254))
	var body [9]byte
	binary.BigEndian.PutUint32(body[:], perMetre)
	binary.BigEndian.PutUint32(body[4:], perMetre)
	body[8] = 1 // the metre
	const afterHeader = 8 + 12 + 13
	data := b.Bytes()
	out := append([]byte{}, data[:afterHeader]...)
	out = append(out, Chunk("pHYs", body[:])...)
	return append(out, data[afterHeader:]...), nil
}

// Chunk returns one chunk of a PNG file.
func Chunk(kind string, body []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(append(out, kind...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

// Header returns the start of a PNG file of that size: signature and header.
func Header(w, h uint32) []byte {
	body := binary.BigEndian.AppendUint32(nil, w)
	body = binary.BigEndian.AppendUint32(body, h)
	body = append(body, 8, 2, 0, 0, 0) // 8 bits, RGB
	return append([]byte("\x89PNG\r\n\x1a\n"), Chunk("IHDR", body)...)
}
