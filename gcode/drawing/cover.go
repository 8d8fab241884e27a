package drawing

import (
	"math"
)

// coverCell is the size of a cell in text heights when hidden moves are looked
// for: less than a line is wide.
const coverCell = 0.05

// coverMost bounds the cells that are looked at; a longer program is drawn with
// its hidden moves, which cost room in the file but show nothing wrong.
const coverMost = 500_000

// visible leaves out moves over which a deeper move runs everywhere: the
// earlier passes of a cut, whatever places they begin and end at. The order
// stays.
func visible(list []move, unit float64) []move {
	cell := coverCell * unit
	total := 0.0
	for _, m := range list {
		total += m.seg().Length()/cell + 2
	}
	if total > coverMost {
		return list
	}
	type key struct{ x, y int32 }
	deepest := make(map[key]float64, int(total))
	each := func(m move, do func(x, y int32) bool) bool {
		s := m.seg()
		n := int(math.Ceil(s.Length()/cell)) + 1
		for i := range n + 1 {
			q := s.At(float64(i) / float64(n))
			if !do(int32(math.Floor(q.X/cell)), int32(math.Floor(q.Y/cell))) {
				return false
			}
		}
		return true
	}
	for _, m := range list {
		each(m, func(x, y int32) bool {
			if z, ok := deepest[key{x, y}]; !ok || m.z < z {
				deepest[key{x, y}] = m.z
			}
			return true
		})
	}
	var out []move
	for _, m := range list {
		under := m.z - 2*resolution
		hidden := !m.upright() && each(m, func(x, y int32) bool {
			for i := range int32(9) { // rounding may carry a line into the next cell
				if z, ok := deepest[key{x - 1 + i%3, y - 1 + i/3}]; ok && z < under {
					return true
				}
			}
			return false
		})
		if !hidden {
			out = append(out, m)
		}
	}
	return out
}
