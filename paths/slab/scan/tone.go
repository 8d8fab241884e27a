package scan

import (
	"image/color"
	"math"
	"sync"
)

// Tone says how the numbers of a picture stand for light. An edge that falls
// within a pixel mixes the light of its sides; how the mixture is written down
// moves the place where it seems to lie, by a fifth of a pixel at worst.
type Tone uint8

// The tones.
const (
	ToneSRGB   Tone = iota // encoded as IEC 61966-2-1 says: scanners, cameras
	ToneLinear             // proportional to light: raw 16-bit scans, drawings
)

// rgb is a colour as three numbers from 0 to 1.
type rgb [3]float64

func (c rgb) add(o rgb) rgb       { return rgb{c[0] + o[0], c[1] + o[1], c[2] + o[2]} }
func (c rgb) sub(o rgb) rgb       { return rgb{c[0] - o[0], c[1] - o[1], c[2] - o[2]} }
func (c rgb) times(f float64) rgb { return rgb{c[0] * f, c[1] * f, c[2] * f} }
func (c rgb) dot(o rgb) float64   { return c[0]*o[0] + c[1]*o[1] + c[2]*o[2] }
func encoded(c color.RGBA64) rgb {
	return rgb{float64(c.R) / 65535, float64(c.G) / 65535, float64(c.B) / 65535}
}

// luma is the weight of the channels in brightness (ITU-R BT.709).
var luma = rgb{0.2126, 0.7152, 0.0722}

var srgbTable = sync.OnceValue(func() *[65536]float64 {
	var t [65536]float64
	for i := range t {
		v := float64(i) / 65535
		if v <= 0.04045 { // IEC 61966-2-1, 5.2
			t[i] = v / 12.92
		} else {
			t[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return &t
})

var linearTable = sync.OnceValue(func() *[65536]float64 {
	var t [65536]float64
	for i := range t {
		t[i] = float64(i) / 65535
	}
	return &t
})

func (t Tone) table() *[65536]float64 {
	if t == ToneLinear {
		return linearTable()
	}
	return srgbTable()
}

// sampler reads a picture's light between its pixels.
type sampler struct {
	p     *Picture
	table *[65536]float64
}

func (s sampler) pixel(x, y int) rgb {
	x, y = min(max(x, 0), s.p.w-1), min(max(y, 0), s.p.h-1)
	c := s.p.at(x, y)
	return rgb{s.table[c.R], s.table[c.G], s.table[c.B]}
}

// at returns the light at a point, linear between the middles of four pixels.
func (s sampler) at(x, y float64) rgb {
	x, y = x-0.5, y-0.5
	fx, fy := math.Floor(x), math.Floor(y)
	i, j := int(fx), int(fy)
	fx, fy = x-fx, y-fy
	top := s.pixel(i, j).times(1 - fx).add(s.pixel(i+1, j).times(fx))
	low := s.pixel(i, j+1).times(1 - fx).add(s.pixel(i+1, j+1).times(fx))
	return top.times(1 - fy).add(low.times(fy))
}
