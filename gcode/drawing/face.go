package drawing

import (
	"fmt"
	"math"

	"proofcut/gcode/interp"
	"proofcut/paths/setup"
)

// faceStep is how finely depths under a measured face are told apart in mm: the
// rounding of the program and of the face's own heights is a few thousandths.
const faceStep = 0.01

// belowFace takes the height of a feed for as much more as a measured face lies
// under the stock's top, so that the drawing tells depths from the face.
func (d *Drawing) belowFace(ev *interp.Event, list []move) []move {
	face := d.set.Stock.Face
	if face == nil {
		return list
	}
	// Depths count from the fitted surface, which is Worst under this one.
	under := d.set.Stock.Top + face.Worst
	from := ev.From.Z + under - face.Height(ev.From.XY())
	to := ev.To.Z + under - face.Height(ev.To.XY())
	for i := range list {
		m := &list[i]
		m.level = math.Abs(from-to) < faceStep
		if len(list) > 1 { // an arc on edge, in chords
			m.level = false
			m.z += under - face.Height(m.b)
		} else {
			m.z = math.Min(from, to)
		}
		m.z = d.set.Stock.Top - math.Round((d.set.Stock.Top-m.z)/faceStep)*faceStep
	}
	return list
}

// heights says where the stock's face is.
func heights(s setup.Stock) string {
	if s.Face == nil {
		return "top at Z" + num(s.Top)
	}
	under := "flat below"
	if s.Face.Parallel {
		under = "parallel below"
	}
	return fmt.Sprintf("face probed Z%s to Z%s, %s, depths from the face", num(s.Face.Lowest-s.Face.Worst), num(s.Face.Highest-s.Face.Worst), under)
}
