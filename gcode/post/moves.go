package post

import (
	"math"

	"proofcut/paths"
	"proofcut/paths/geom"
)

// heightGuard is the part of a step by which a height may be rounded down: it
// keeps a height that is meant to be on a step from going up a whole one.
const heightGuard = 1e-3

// steps returns a coordinate in mm as a count of steps, heights rounded up.
func (p *printer) steps(v float64, height bool) int64 {
	if height {
		return int64(math.Ceil(v/p.res - heightGuard))
	}
	return int64(math.Round(v / p.res))
}

// say returns a count of steps as the number that stands in the program.
func (p *printer) say(steps int64) float64 {
	// Division by a power of ten gives the nearest float64, whose shortest
	// decimal is the one meant.
	return float64(steps) / math.Pow10(p.s.Unit.Decimals())
}

func (p *printer) grid(v geom.Point3) [3]int64 {
	return [3]int64{p.steps(v.X, false), p.steps(v.Y, false), p.steps(v.Z, true)}
}

// mm returns a written place in millimetres.
func (p *printer) mm(steps [3]int64) geom.Point {
	return geom.Pt(float64(steps[0])*p.res, float64(steps[1])*p.res)
}

func (p *printer) moves(t *paths.Toolpath) error {
	from := t.Moves[0].To
	for i, m := range t.Moves {
		switch {
		case m.Tap && from.Z > m.To.Z:
			p.tap(from, m)
		case m.Tap: // the cycle comes up by itself
		case m.Rapid:
			p.rapid(m.To)
		case m.Turn == geom.Straight:
			p.straight(m.To, m.Feed)
		default:
			p.arc(from, m, splits)
		}
		if m.Dwell > 0 {
			p.dwell(math.Ceil(m.Dwell*100) / 100)
		}
		from = t.Moves[i].To
	}
	return p.err
}

// rapid moves along the plane and the tool axis in turn, up first and down last.
func (p *printer) rapid(v geom.Point3) {
	to := p.grid(v)
	if to[2] > p.at[2] {
		p.axes(0, 0, [3]int64{p.at[0], p.at[1], to[2]}, false)
	}
	p.axes(0, 0, [3]int64{to[0], to[1], p.at[2]}, !p.known)
	p.known = true
	p.axes(0, 0, to, false)
}

func (p *printer) straight(v geom.Point3, feed float64) {
	p.axes(1, feed, p.grid(v), false)
}

// axes writes a straight move with the axes that change, or nothing when none
// does. With all it writes X and Y even so.
func (p *printer) axes(g int, feed float64, to [3]int64, all bool) {
	if to == p.at && !all {
		return
	}
	p.mode(g)
	for i, letter := range [3]byte{'X', 'Y', 'Z'} {
		if to[i] != p.at[i] || all && i < 2 {
			p.word(letter, p.say(to[i]))
		}
	}
	p.rate(g, feed)
	p.flush()
	p.at = to
}

// rate adds the feed word when it is not in force.
func (p *printer) rate(g int, feed float64) {
	if g == 0 {
		return
	}
	f := feed / p.unit
	// Four digits or so, rounded down: never faster than asked.
	digits := math.Pow10(max(0, 3-int(math.Floor(math.Log10(f)))))
	f = math.Floor(f*digits*(1+rateGuard)) / digits
	if f != p.feed {
		p.word('F', f)
		p.feed = f
	}
}

// rateGuard keeps the rounding of a quotient from taking a digit off a feed.
const rateGuard = 1e-9
