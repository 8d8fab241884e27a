package paths

import (
	"errors"
	"math"
	"slices"

	"proofcut/paths/geom"
)

// Bridges are holding tabs: stretches of a profile over which the tool rises
// and leaves material that keeps the part in the stock.
type Bridges struct {
	Count  int     // spaced evenly round each contour, as far from its corners as they get; 0: none
	Width  float64 // mm along the cut that stay at full height
	Height float64 // mm above the cut's bottom

	// Angle is the slope of the rise and the descent beside a bridge; 0 is
	// straight up and down, which needs a tool that cuts over its centre.
	Angle float64
}

// run returns the length of a slope beside a bridge.
func (b Bridges) run() float64 {
	if b.Angle == 0 {
		return 0
	}
	return b.Height / math.Tan(b.Angle)
}

func (b Bridges) validate(o Op) error {
	switch {
	case b.Count == 0:
		return nil
	case b.Count < 0 || b.Count > maxBridges:
		return o.errorf("the number of bridges has to lie between 0 and %d, it is %d", maxBridges, b.Count)
	case !(b.Width > 0) || !finite(b.Width):
		return o.errorf("a bridge's width has to be positive, it is %g mm", b.Width)
	case !(b.Height > 0 && b.Height < o.Top-o.Bottom):
		return o.errorf("a bridge's height has to be more than nothing and less than the cut's depth of %.3f mm, it is %g mm", o.Top-o.Bottom, b.Height)
	case b.Angle == 0 && !o.Tool.CentreCuts:
		return o.errorf("tool %d does not cut over its centre: the bridges need a slope (angle) for it to come down beside them", o.Tool.Number)
	case b.Angle > maxSideRamp && !o.Tool.CentreCuts:
		return o.errorf("tool %d does not cut over its centre: the slope beside a bridge can be %.3g degrees at most, it is %.3g degrees", o.Tool.Number, maxSideRamp*180/math.Pi, b.Angle*180/math.Pi)
	case b.Angle != 0 && !(b.Angle > 0 && b.Angle < math.Pi/2):
		return o.errorf("the slope beside a bridge has to lie between 0 and 90 degrees, it is %.3g degrees", b.Angle*180/math.Pi)
	}
	return nil
}

// maxBridges bounds the bridges of a contour: more means a mistaken number.
const maxBridges = 1000

// bridge is one bridge on a path: the tool is up from a to b, and core is what
// stays under it, the band across the cut over the bridge's width.
type bridge struct {
	a, b float64
	core geom.Region
}

// place returns where on the rail i the bridges go. Each lies whole, slopes and
// all, between 0 and the rail's length, and no other stretch of any rail comes
// so near to it that the tool would thin it.
func (b Bridges) place(o Op, rails []profileRail, i int) ([]bridge, error) {
	if b.Count == 0 {
		return nil, nil
	}
	r, closed := rails[i].rail, rails[i].closed
	length := r.length()
	whole := b.Width + o.Tool.Diameter + 2*cutTol + 2*b.run()
	pitch := length / float64(b.Count)
	if whole >= pitch {
		return nil, o.errorf("%d bridges of %g mm need %.3f mm each with the tool and its slopes, and the cut gives %.3f mm each: make them fewer, smaller or steeper",
			b.Count, b.Width, whole, pitch)
	}
	corners := cornersOf(r, closed, o.Tool.Diameter)
	type try struct{ shift, room float64 }
	tries := make([]try, bridgeTries)
	for n := range tries {
		// From the middle outward, so that of equal places the middle one wins.
		k := (n + 1) / 2
		if n%2 == 1 {
			k = -k
		}
		t := try{pitch/2 + (pitch-whole)*float64(k)/bridgeTries, math.Inf(1)}
		for m := range b.Count {
			c := t.shift + float64(m)*pitch
			for _, at := range corners {
				d := math.Abs(c - at)
				if closed {
					d = math.Min(d, length-d)
				}
				t.room = math.Min(t.room, d-whole/2)
			}
		}
		tries[n] = t
	}
	slices.SortStableFunc(tries, func(a, b try) int {
		switch {
		case a.room > b.room+geom.Tol:
			return -1
		case b.room > a.room+geom.Tol:
			return 1
		}
		return 0
	})
	err := errNoRoom
	for _, t := range tries {
		var out []bridge
		if out, err = b.row(o, rails, i, t.shift, pitch); err == nil {
			return out, nil
		}
	}
	return nil, o.errorf("%d bridges of %g mm do not fit on the cut near x %.3f y %.3f: %w; make them fewer, smaller or steeper", b.Count, b.Width, r.point(0).X, r.point(0).Y, err)
}

// bridgeTries is how many places of the first bridge within its share of the
// path are compared.
const bridgeTries = 256

var (
	errNoRoom  = errors.New("the cut is too short or turns too much beside one")
	errThinned = errors.New("another stretch of the cut would run into one")
)

// row makes the bridges of a rail with the first one's middle at shift.
func (b Bridges) row(o Op, rails []profileRail, i int, shift, pitch float64) ([]bridge, error) {
	out := make([]bridge, b.Count)
	end := 0.0
	for n := range out {
		var err error
		if out[n], err = b.at(o, rails[i].rail, shift+float64(n)*pitch); err != nil {
			return nil, err
		}
		if out[n].a-b.run() < end-geom.Tol {
			return nil, errNoRoom
		}
		end = out[n].b + b.run()
		if b.thinned(o, rails, i, out[n]) {
			return nil, errThinned
		}
	}
	return out, nil
}

// thinned reports whether a tool that runs along the rails, but for the
// bridge's own stretch of rail i, would cut into the bridge.
func (b Bridges) thinned(o Op, rails []profileRail, i int, on bridge) bool {
	core := geom.NewIndex(on.core)
	for j, r := range rails {
		lines := []geom.Path{r.path}
		if i == j {
			lines = []geom.Path{r.part(0, on.a), r.part(on.b, r.length())}
		}
		for _, l := range lines {
			for _, g := range l {
				if !core.Clear(g, o.Tool.Diameter/2) {
					return true
				}
			}
		}
	}
	return false
}

// at makes the bridge with its middle at length s.
func (b Bridges) at(o Op, r rail, s float64) (bridge, error) {
	core, err := band(r, s-b.Width/2, s+b.Width/2, o.Tool.Diameter/2)
	if err != nil {
		return bridge{}, err
	}
	on, ok := b.round(o, r, s, core)
	if !ok {
		return bridge{}, errNoRoom
	}
	return on, nil
}

// round returns the stretch round length s over which the tool has to be up so
// that it nowhere thins the core. It is longer than bridge and tool together
// where the path turns. It fails when the path is too short.
func (b Bridges) round(o Op, r rail, s float64, core geom.Region) (bridge, bool) {
	rad := o.Tool.Diameter / 2
	ok := true
	clear := func(from, step float64) float64 {
		for range clearTries {
			if from < 0 || from > r.length() {
				break
			}
			short := rad + cutTol - core.Distance(r.point(from))
			if short <= geom.Tol {
				return from
			}
			from += step * math.Max(short, cutTol)
		}
		ok = false
		return from
	}
	on := bridge{clear(s-b.Width/2-rad-cutTol, -1), clear(s+b.Width/2+rad+cutTol, 1), core}
	return on, ok && on.a >= b.run() && on.b <= r.length()-b.run()
}

// clearTries bounds the steps away from a bridge; each step is what is missing.
const clearTries = 1000

// cornerAngle is the change of direction from which a joint counts as a corner.
const cornerAngle = 5 * math.Pi / 180

// cornersOf returns the lengths at which a path changes direction sharply: at a
// joint, or round an arc no larger than tight, as offsets have about corners.
func cornersOf(r rail, closed bool, tight float64) []float64 {
	var out []float64
	n := len(r.path)
	for i, g := range r.path {
		if g.IsArc() && g.Radius() <= tight {
			out = append(out, (r.at[i]+r.at[i+1])/2)
		}
		if i == 0 && !closed {
			continue
		}
		in, to := r.path[(i+n-1)%n].Tangent(1), g.Tangent(0)
		if math.Abs(math.Atan2(in.Cross(to), in.Dot(to))) > cornerAngle {
			out = append(out, r.at[i])
		}
	}
	return out
}

// ridges returns the bridges as ridges for a path that is run several times
// in a row, round and round when closed and else there and back.
func (b Bridges) ridges(on []bridge, length, total, bottom float64, closed bool) []ridge {
	var out []ridge
	for lap := 0; len(on) > 0 && float64(lap)*length < total; lap++ {
		from := float64(lap) * length
		for i := range on {
			s := on[i]
			if !closed && lap%2 == 1 {
				s = on[len(on)-1-i]
				s.a, s.b = length-s.b, length-s.a
			}
			out = append(out, ridge{from + s.a, from + s.b, bottom + b.Height, b.run()})
		}
	}
	return out
}

// band returns the points within rad of the path between lengths a and b, with
// straight ends across the path.
func band(r rail, a, b, rad float64) (geom.Region, error) {
	n := max(2, int(math.Ceil((b-a)/rad*bandSteps)))
	var left, right []geom.Point
	for i := range n + 1 {
		s := a + (b-a)*float64(i)/float64(n)
		p, side := r.point(s), r.tangent(s).Left().Mul(rad)
		left, right = append(left, p.Add(side)), append(right, p.Sub(side))
	}
	slices.Reverse(left)
	return geom.Resolve([]geom.Contour{geom.Polygon(append(right, left...)...)}, geom.NonZero)
}

// bandSteps is how many chords stand for a tool radius of a bridge's length.
const bandSteps = 8
