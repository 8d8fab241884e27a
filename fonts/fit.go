package fonts

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// Margins are the widths of the border that stays free, in millimetres.
type Margins struct{ Left, Right, Bottom, Top float64 }

// Even returns the same margin on every side.
func Even(m float64) Margins { return Margins{m, m, m, m} }

// FitOptions are the choices of Fit.
type FitOptions struct {
	Options
	Margins Margins

	// CutWidth is the width that the tool cuts. The cut, not just the path of
	// its middle, stays inside the margins: half of it is kept free on every
	// side. 0 for outlines.
	CutWidth float64

	// MinHeight and MaxHeight bound the cap height in mm. Without a MinHeight
	// (0) any size that can be set is allowed, without a MaxHeight the room is
	// the limit.
	MinHeight, MaxHeight float64

	// OnCapitals centres the band between the first baseline's capitals and
	// the last baseline, so that a row of pieces with different names looks
	// even; otherwise what is drawn is centred. Either way all of it stays
	// inside.
	OnCapitals bool
}

// fitRounding is by how much, relatively, a size is reduced so that rounding
// never carries a text over its margin.
const fitRounding = 1e-9

// Fit sets a text as large as the rectangle allows and centres it there; the
// cap height is in the result. The error of a text that would become smaller
// than MinHeight names both heights.
func Fit(face Face, text string, box geom.Box, o FitOptions) (*Text, error) {
	room, err := o.room(box)
	if err != nil {
		return nil, err
	}
	centre := room.Center()
	half := room.Size().Mul(0.5)

	// Everything grows in proportion to the size, but for the tolerance of
	// curves: the second round takes that out.
	size := 1.0
	trial := o.Options
	trial.Tolerance = math.Min(trial.Tolerance, size)
	var t *Text
	for range 3 {
		if t, err = Layout(face, text, size, trial); err != nil {
			return nil, err
		}
		up, side := o.extent(t)
		k := math.Inf(1)
		if side > 0 {
			k = math.Min(k, half.X/side)
		}
		if up > 0 {
			k = math.Min(k, half.Y/up)
		}
		if math.IsInf(k, 1) {
			k = maxSize / size // a single dot
		}
		next := size * k * (1 - fitRounding)
		if o.MaxHeight > 0 {
			next = math.Min(next, o.MaxHeight)
		}
		next = math.Min(next, maxSize)
		if floor := math.Max(o.MinHeight, minSize); next < floor*(1-10*fitRounding) { // a room of just that height will do
			return nil, fmt.Errorf("the text fits %.4g x %.4g mm only with capitals of %.3f mm: at least %.3f mm are asked for",
				room.Size().X, room.Size().Y, math.Floor(next*1000)/1000, floor)
		}
		if next == size || k >= 1 && k <= 1+2*fitRounding {
			break
		}
		size = next
		trial.Tolerance = math.Min(o.Options.Tolerance, size)
	}
	if t, err = Layout(face, text, size, trial); err != nil {
		return nil, err
	}
	return t.Transform(geom.Translate(centre.Sub(o.middle(t)))), nil
}

// room returns the rectangle in which the path may lie.
func (o FitOptions) room(box geom.Box) (geom.Box, error) {
	m := o.Margins
	for _, v := range []float64{m.Left, m.Right, m.Bottom, m.Top, o.CutWidth, o.MinHeight, o.MaxHeight} {
		if !(v >= 0 && v <= 1e4) {
			return geom.Box{}, fmt.Errorf("margins, width of cut and heights have to be from 0 to 10000 mm, not %g", v)
		}
	}
	if o.MaxHeight > 0 && o.MinHeight > o.MaxHeight {
		return geom.Box{}, fmt.Errorf("the least height %.3f mm is above the greatest, %.3f mm", o.MinHeight, o.MaxHeight)
	}
	if !box.Min.Finite() || !box.Max.Finite() {
		return geom.Box{}, fmt.Errorf("the rectangle for the text is not finite")
	}
	room := geom.Box{
		Min: box.Min.Add(geom.Pt(m.Left, m.Bottom)),
		Max: box.Max.Sub(geom.Pt(m.Right, m.Top)),
	}.Grow(-o.CutWidth / 2)
	if size := room.Size(); !(size.X > 0 && size.Y > 0) {
		return geom.Box{}, fmt.Errorf("margins and width of cut leave no room for the text: %.3f x %.3f mm of %.3f x %.3f mm",
			size.X, size.Y, box.Size().X, box.Size().Y)
	}
	return room, nil
}

// middle returns the point of a text that goes to the middle of the room.
func (o FitOptions) middle(t *Text) geom.Point {
	m := t.Bounds.Center()
	if o.OnCapitals {
		m.Y = (t.Lines[0].Origin.Y + t.CapHeight + t.Lines[len(t.Lines)-1].Origin.Y) / 2
	}
	return m
}

// extent returns how far the text reaches from its middle, up or down and to
// the side.
func (o FitOptions) extent(t *Text) (up, side float64) {
	m := o.middle(t)
	up = math.Max(t.Bounds.Max.Y-m.Y, m.Y-t.Bounds.Min.Y)
	return up, t.Bounds.Size().X / 2
}
