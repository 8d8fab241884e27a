package scan

import (
	"bytes"
	"encoding/binary"
	"math"
)

// metadata is what a file says of its picture besides the pixels. The readers
// below take what they can and never fail: a damaged field is as good as none,
// and the decoder judges the file.
type metadata struct {
	resolution Resolution // pixels a millimetre, 0 when not said
	turn       orientation
}

// pngMetadata reads the chunk pHYs (ISO/IEC 15948, 11.3.5.3): pixels a metre in
// X and Y and a unit, 1 for the metre. It stands before the first IDAT.
func pngMetadata(data []byte) (m metadata) {
	const signature, head, tail = 8, 8, 4 // bytes round the content of a chunk
	for at := signature; at+head <= len(data); {
		n := int(binary.BigEndian.Uint32(data[at:]))
		kind := string(data[at+4 : at+8])
		if kind == "IDAT" || n < 0 || n > len(data)-at-head {
			return m
		}
		body := data[at+head : at+head+n]
		if kind == "pHYs" && n == 9 && body[8] == 1 {
			m.resolution = Resolution{
				float64(binary.BigEndian.Uint32(body)) / 1000,
				float64(binary.BigEndian.Uint32(body[4:])) / 1000,
			}
			return m
		}
		at += head + n + tail
	}
	return m
}

// bmpMetadata reads pixels a metre in X and Y from the header BITMAPINFOHEADER,
// bytes 38 and 42 of the file (Microsoft, "Bitmap Storage"; from memory).
func bmpMetadata(data []byte) (m metadata) {
	const infoHeader = 40 // least size of a header that has the fields
	if len(data) < 46 || binary.LittleEndian.Uint32(data[14:]) < infoHeader {
		return m
	}
	m.resolution = Resolution{
		float64(int32(binary.LittleEndian.Uint32(data[38:]))) / 1000,
		float64(int32(binary.LittleEndian.Uint32(data[42:]))) / 1000,
	}
	return m
}

// tiffMetadata reads the tags of the first directory.
func tiffMetadata(data []byte) metadata {
	m, _ := directory(data)
	return m
}

// Tags of TIFF 6.0 (Adobe, 1992), section 8, which Exif shares.
const (
	tagOrientation    = 274
	tagXResolution    = 282
	tagYResolution    = 283
	tagResolutionUnit = 296

	typeShort    = 3
	typeRational = 5
)

// directory reads resolution and orientation from the first directory of a TIFF
// stream; ok is false when there is none.
func directory(data []byte) (m metadata, ok bool) {
	if len(data) < 8 {
		return m, false
	}
	var order binary.ByteOrder = binary.LittleEndian
	switch string(data[:2]) {
	case "II":
	case "MM":
		order = binary.BigEndian
	default:
		return m, false
	}
	at := int64(order.Uint32(data[4:]))
	if at+2 > int64(len(data)) {
		return m, false
	}
	const entry = 12
	entries := data[at+2:]
	unit := 2 // the inch where the tag is left out (TIFF 6.0, section 8)
	for n := int(order.Uint16(data[at:])); n > 0 && len(entries) >= entry; n-- {
		kind, value := order.Uint16(entries[2:]), entries[8:]
		switch order.Uint16(entries) {
		case tagOrientation:
			if v := order.Uint16(value); kind == typeShort && v >= 1 && v <= 8 {
				m.turn = orientation(v)
			}
		case tagResolutionUnit:
			if kind == typeShort {
				unit = int(order.Uint16(value))
			}
		case tagXResolution:
			m.resolution.X = rational(data, order, kind, order.Uint32(value))
		case tagYResolution:
			m.resolution.Y = rational(data, order, kind, order.Uint32(value))
		}
		entries = entries[entry:]
	}
	switch unit {
	case 2: // inch
		m.resolution.X, m.resolution.Y = m.resolution.X/mmPerInch, m.resolution.Y/mmPerInch
	case 3: // centimetre
		m.resolution.X, m.resolution.Y = m.resolution.X/10, m.resolution.Y/10
	default: // 1: the ratio of the axes only
		m.resolution = Resolution{}
	}
	return m, true
}

// rational returns the quotient of two numbers at an offset, 0 for none.
func rational(data []byte, order binary.ByteOrder, kind uint16, offset uint32) float64 {
	if kind != typeRational || int64(offset)+8 > int64(len(data)) {
		return 0
	}
	v := float64(order.Uint32(data[offset:])) / float64(order.Uint32(data[offset+4:]))
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// jpegMetadata reads the density of the segment JFIF (ISO/IEC 10918-5, 10.1:
// unit 1 the inch, 2 the centimetre) and the tags of the segment Exif (JEITA
// CP-3451). Where both state a resolution the one of Exif is taken unless it is
// the placeholder.
func jpegMetadata(data []byte) (m metadata) {
	var jfif Resolution
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker := data[at+1]
		if marker == 0xff { // fill bytes
			at++
			continue
		}
		if marker == 0xda || marker == 0xd9 { // scan data, end
			break
		}
		n := int(binary.BigEndian.Uint16(data[at+2:]))
		if n < 2 || at+2+n > len(data) {
			break
		}
		body := data[at+4 : at+2+n]
		switch {
		case marker == 0xe0 && bytes.HasPrefix(body, []byte("JFIF\x00")) && len(body) >= 12:
			x, y := float64(binary.BigEndian.Uint16(body[8:])), float64(binary.BigEndian.Uint16(body[10:]))
			switch body[7] {
			case 1:
				jfif = Resolution{x / mmPerInch, y / mmPerInch}
			case 2:
				jfif = Resolution{x / 10, y / 10}
			}
		case marker == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")):
			if e, ok := directory(body[6:]); ok {
				m = e
			}
		}
		at += 2 + n
	}
	if m.resolution.check() != nil || placeholder(m.resolution.X) && jfif.check() == nil {
		m.resolution = jfif
	}
	return m
}
