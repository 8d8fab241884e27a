package scan

import "math"

// mask says of every pixel whether it is set.
type mask struct {
	w, h int
	on   []bool
}

func newMask(w, h int) *mask { return &mask{w, h, make([]bool, w*h)} }

// threshold returns the pixels of a plane that are above the limit, after a blur
// over three pixels (weights 1 2 1 in each axis) that takes most of the noise.
func threshold(plane []uint8, w, h int) *mask {
	m := newMask(w, h)
	sum := make([][]int, 3) // of three rows, blurred along X
	blur := func(y int) []int {
		y = min(max(y, 0), h-1)
		row, out := plane[y*w:(y+1)*w], sum[y%3]
		if out == nil {
			out = make([]int, w)
			sum[y%3] = out
		}
		for x, v := range row {
			out[x] = int(row[max(x-1, 0)]) + 2*int(v) + int(row[min(x+1, w-1)])
		}
		return out
	}
	blur(0)
	for y := range h {
		above, at := sum[max(y-1, 0)%3], sum[y%3]
		below := at
		if y+1 < h {
			below = blur(y + 1)
		}
		for x := range w {
			m.on[y*w+x] = above[x]+2*at[x]+below[x] > 16*planeLimit
		}
	}
	return m
}

func (m *mask) clone() *mask {
	c := newMask(m.w, m.h)
	copy(c.on, m.on)
	return c
}

// maxReach bounds the radius of a disc in pixels.
const maxReach = 1000

// grow returns the pixels whose middle is within r pixels of that of one that has
// the given state. What lies beyond the picture's edge counts as it is at the edge.
func (m *mask) grow(state bool, r float64) *mask {
	out := newMask(m.w, m.h)
	reach := min(int(r), maxReach)
	far := reach + 1
	// The half width of a disc of radius r at each distance from its middle.
	half := make([]int, reach+1)
	for d := range half {
		half[d] = int(math.Sqrt(r*r - float64(d*d)))
	}
	// down and up are distances along the column to the nearest pixel of the state.
	up := make([]uint16, m.w*m.h)
	for x := range m.w {
		d := uint16(far)
		for y := m.h - 1; y >= 0; y-- {
			if m.on[y*m.w+x] == state {
				d = 0
			} else if int(d) < far {
				d++
			}
			up[y*m.w+x] = d
		}
	}
	down := make([]int, m.w)
	for x := range down {
		down[x] = far
	}
	for y := range m.h {
		row := out.on[y*m.w : (y+1)*m.w]
		last := -1 // covered up to here
		for x := range m.w {
			if m.on[y*m.w+x] == state {
				down[x] = 0
			} else if down[x] < far {
				down[x]++
			}
			d := min(down[x], int(up[y*m.w+x]))
			if d > reach {
				continue
			}
			for i := max(last+1, x-half[d]); i <= min(m.w-1, x+half[d]); i++ {
				row[i] = true
			}
			// Only what was passed wholly is known to be covered: a later, wider
			// stretch may begin before it.
			if d == 0 {
				last = max(last, min(m.w-1, x+half[0]))
			}
		}
	}
	return out
}

// thin says what was taken away by tidy.
type thin struct {
	x, y   float64 // middle of its box, pixels
	size   float64 // the longer side of the box, pixels
	pixels int
	hair   bool // long; otherwise a speck
	dark   bool // of the bed's tone, over the piece; otherwise of the piece's, over the bed
}

// tidy changes what is of the given state and thinner than 2r pixels to the other
// state: an opening by a disc (J. Serra, 1982), but what it takes from corners is
// given back. A part that the opening removes goes only when it stands alone or
// reaches further than 2r from what stays: a corner of a piece does that only
// when it is sharper than 39 degrees.
func (m *mask) tidy(state bool, r float64) (*mask, []thin) {
	away := m.grow(!state, r) // everything but the eroded part
	opened := away.grow(false, r)
	near := opened.grow(true, 2*r)
	out := m.clone()
	var gone []thin
	seen := newMask(m.w, m.h)
	var stack []int
	for start, v := range m.on {
		if v != state || opened.on[start] || seen.on[start] {
			continue
		}
		// One connected part of what the opening removes.
		stack = append(stack[:0], start)
		seen.on[start] = true
		var part []int
		far, touches := false, false
		for len(stack) > 0 {
			at := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			part = append(part, at)
			far = far || !near.on[at]
			x, y := at%m.w, at/m.w
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					i, j := x+dx, y+dy
					if i < 0 || j < 0 || i >= m.w || j >= m.h {
						continue
					}
					n := j*m.w + i
					if m.on[n] != state {
						continue
					}
					if opened.on[n] {
						touches = true
					} else if !seen.on[n] {
						seen.on[n] = true
						stack = append(stack, n)
					}
				}
			}
		}
		if touches && !far {
			continue
		}
		for _, at := range part {
			out.on[at] = !state
		}
		gone = append(gone, m.describe(part, r, !state))
	}
	return out, gone
}

func (m *mask) describe(part []int, r float64, dark bool) thin {
	x0, y0, x1, y1 := m.w, m.h, 0, 0
	for _, at := range part {
		x, y := at%m.w, at/m.w
		x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
	}
	t := thin{x: float64(x0+x1+1) / 2, y: float64(y0+y1+1) / 2, pixels: len(part), dark: dark}
	t.size = float64(max(x1-x0, y1-y0) + 1)
	t.hair = t.size > 4*r
	return t
}

// loop is a closed border between set and unset pixels, along their sides: the
// set ones lie to its right as seen in the picture (Y down).
type loop struct {
	at    []corner
	hole  bool // the set pixels are outside
	area  float64
	label int  // of the set pixels
	frame bool // it runs along the picture's edge
}

// corner is a corner of pixels: (0, 0) is the upper left one of the picture.
type corner struct{ x, y int }

// labels numbers the connected parts (over sides) of the set pixels, from 1.
func (m *mask) labels() (of []int32, n int) {
	of = make([]int32, len(m.on))
	var stack []int
	for start, v := range m.on {
		if !v || of[start] != 0 {
			continue
		}
		n++
		of[start] = int32(n)
		stack = append(stack[:0], start)
		for len(stack) > 0 {
			at := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			x := at % m.w
			for _, next := range [4]int{at - 1, at + 1, at - m.w, at + m.w} {
				if next < 0 || next >= len(m.on) || next == at-1 && x == 0 || next == at+1 && x == m.w-1 {
					continue
				}
				if m.on[next] && of[next] == 0 {
					of[next] = int32(n)
					stack = append(stack, next)
				}
			}
		}
	}
	return of, n
}

// loops returns all borders, from top to bottom by their first pixel.
func (m *mask) loops() []loop {
	label, _ := m.labels()
	set := func(x, y int) bool { return x >= 0 && y >= 0 && x < m.w && y < m.h && m.on[y*m.w+x] }
	seen := newMask(m.w, m.h) // upper sides that are in a loop
	var out []loop
	for start := range m.on {
		sx, sy := start%m.w, start/m.w
		if !set(sx, sy) || set(sx, sy-1) || seen.on[start] {
			continue
		}
		// Along the upper side of the pixel to the right: the set one is to the right
		// hand, looking along.
		l := loop{label: int(label[start])}
		x, y, dx, dy := sx, sy, 1, 0
		for {
			if dx == 1 {
				if seen.on[y*m.w+x] {
					break
				}
				seen.on[y*m.w+x] = true
			}
			l.at = append(l.at, corner{x, y})
			l.area += float64(dy * x) // Green's theorem: positive round set pixels
			l.frame = l.frame || dy == 0 && (y == 0 || y == m.h) || dx == 0 && (x == 0 || x == m.w)
			x, y = x+dx, y+dy
			// The pixels ahead, to the left hand and to the right.
			ahead := func(side int) bool {
				px, py := x+(dx-1)/2, y+(dy-1)/2 // ahead, for directions along an axis
				if dx != 0 {
					py = y - 1
					if side*dx > 0 {
						py = y
					}
				} else {
					px = x
					if side*dy > 0 {
						px = x - 1
					}
				}
				return set(px, py)
			}
			switch right, left := ahead(1), ahead(-1); {
			case !right: // turn right, round the pixel; diagonal ones are not joined
				dx, dy = -dy, dx
			case left:
				dx, dy = dy, -dx
			}
		}
		l.hole = l.area < 0
		out = append(out, l)
	}
	return out
}
