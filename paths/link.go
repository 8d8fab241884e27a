package paths

import (
	"fmt"
	"math"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Link joins the cuts of plans into toolpaths, one for each plan, in the order
// given. Between cuts the tool rises only as far as it must: to the stock's top
// and the approach, and higher where tool, shank or holder would come nearer to
// a zone than its clearance on the straight way. Where no height will do it
// goes round the zones. Rapids run in free air only; the last stretch down to a
// cut is fed. Each toolpath starts with a rapid at ClearZ and ends at ClearZ.
//
// Link also holds every cut against zones and envelope, whatever the strategy
// made sure of. The error is a *ZoneError where a zone is in the way.
func Link(s *setup.Setup, plans ...Plan) ([]Toolpath, error) {
	var out []Toolpath
	var last *geom.Point3
	for _, p := range plans {
		if len(p.Cuts) == 0 {
			return nil, p.errorf("there is nothing to cut")
		}
		l, err := newLinker(s, p)
		if err != nil {
			return nil, err
		}
		if err := l.plan(last); err != nil {
			return nil, err
		}
		if err := l.envelope(); err != nil {
			return nil, err
		}
		end := l.at
		last = &end
		out = append(out, l.path)
	}
	return out, nil
}

// linker follows the tool through one plan.
type linker struct {
	s     *setup.Setup
	p     Plan
	zones []keepOut
	at    geom.Point3
	path  Toolpath
}

func newLinker(s *setup.Setup, p Plan) (*linker, error) {
	if !finite(s.ClearZ, s.Approach, s.Stock.Top) || s.Approach <= 0 {
		return nil, p.errorf("clear height and approach have to be ordinary numbers and the approach positive")
	}
	if s.ClearZ < s.Stock.Top+s.Approach-geom.Tol {
		return nil, p.errorf("the clear height %.3f mm is not the approach of %.3f mm above the stock's top %.3f mm", s.ClearZ, s.Approach, s.Stock.Top)
	}
	zones, err := newKeepOuts(s, p.Tool)
	if err != nil {
		return nil, p.errorf("%w", err)
	}
	return &linker{s: s, p: p, zones: zones, path: Toolpath{Name: p.Name, Tool: p.Tool, Speed: p.Speed, Coolant: p.Coolant}}, nil
}

func (l *linker) plan(last *geom.Point3) error {
	for i, c := range l.p.Cuts {
		if err := l.check(c); err != nil {
			return err
		}
		if i == 0 {
			over := c.Start.XY().At(l.s.ClearZ)
			if last == nil {
				l.at = over
				l.path.Moves = append(l.path.Moves, Move{Rapid: true, To: over})
			} else {
				l.at = *last
				if err := l.across(over, l.s.ClearZ); err != nil {
					return err
				}
			}
			if len(l.path.Moves) == 0 {
				l.path.Moves = append(l.path.Moves, Move{Rapid: true, To: over})
			}
		} else if err := l.across(c.Start, l.s.Stock.Top+l.s.Approach); err != nil {
			return err
		}
		l.enter(c)
		l.path.Moves = append(l.path.Moves, c.Moves...)
		l.at = c.End()
	}
	l.rapid(l.at.XY().At(l.s.ClearZ))
	return nil
}

// check holds a cut against the zones.
func (l *linker) check(c Cut) error {
	if !c.Start.Finite() {
		return l.p.errorf("a cut starts at no ordinary place")
	}
	from := c.Start
	if k := blocker(l.zones, geom.Line(from.XY(), from.XY()), from.Z); k != nil {
		return l.p.zoneError(*k, from.XY(), "a cut starts too near to it")
	}
	for _, m := range c.Moves {
		if !m.To.Finite() || !m.Rapid && !(m.Feed > 0) {
			return l.p.errorf("a cut goes to no ordinary place or has no feed, near x %.3f y %.3f", from.X, from.Y)
		}
		if k := blocker(l.zones, segOf(from, m), lowest(from, m)); k != nil {
			return l.p.zoneError(*k, m.To.XY(), "a cut comes too near to it")
		}
		from = m.To
	}
	return nil
}

// enter takes the tool from above down to a cut's start.
func (l *linker) enter(c Cut) {
	if l.at.XY().Dist(c.Start.XY()) > geom.Tol || l.at.Z > c.Start.Z+l.s.Approach+geom.Tol {
		l.rapid(c.Start.XY().At(c.Start.Z + l.s.Approach))
	}
	plunges := len(c.Moves) > 0 && c.Moves[0].To.XY() == c.Start.XY() && c.Moves[0].Turn == geom.Straight &&
		c.Moves[0].To.Z < c.Start.Z && c.Moves[0].Feed == l.p.Plunge
	if math.Abs(l.at.Z-c.Start.Z) > geom.Tol && !(plunges && l.at.Z > c.Start.Z) {
		feed := l.p.Plunge
		if c.Start.Z > l.at.Z {
			feed = l.p.Feed
		}
		l.path.Moves = append(l.path.Moves, Move{To: c.Start, Feed: feed})
	}
	l.at = c.Start
}

func (l *linker) rapid(to geom.Point3) {
	if l.at.Dist(to) <= geom.Tol {
		return
	}
	l.path.Moves = append(l.path.Moves, Move{Rapid: true, To: to})
	l.at = to
}

// across takes the tool over the place of b, at the least height that will do
// and no lower than least.
func (l *linker) across(b geom.Point3, least float64) error {
	from, to := l.at.XY(), b.XY()
	if from.Dist(to) <= geom.Tol {
		return nil
	}
	way, height, k := l.lowestWay(from, to, least)
	if height > l.s.ClearZ {
		// Over the top it does not go at ClearZ: try round at that height,
		// and over the top higher up only when there is no way round.
		if round := l.detour(from, to); round != nil {
			way, height = round, l.s.ClearZ
		} else if top := l.ceiling(); height > top {
			return &ZoneError{Operation: l.p.label(), Zone: k.zone.Name, At: to, Distance: math.NaN(), Needed: math.NaN(),
				Text: fmt.Sprintf("the tool cannot get from x %.3f y %.3f to x %.3f y %.3f: it would have to rise to %.3f mm, the limit is %.3f mm, and there is no way round",
					from.X, from.Y, to.X, to.Y, height, top)}
		}
	}
	l.rapid(from.At(math.Max(height, math.Min(l.at.Z, l.s.ClearZ))))
	for _, q := range way {
		l.rapid(q.At(l.at.Z))
	}
	return nil
}

// ceiling returns the greatest height of the tip.
func (l *linker) ceiling() float64 {
	if e := l.s.Machine.Envelope; e.Min != e.Max && !e.Empty() {
		return e.Max.Z
	}
	return l.s.ClearZ
}

// lowestWay returns the straight way between two places, its least height and
// the zone that makes it so. Where rapids are not straight the way is two moves
// along one axis each, which are.
func (l *linker) lowestWay(from, to geom.Point, least float64) ([]geom.Point, float64, *keepOut) {
	ways := [][]geom.Point{{to}}
	if l.s.Machine.DogLegRapids && math.Abs(from.X-to.X) > geom.Tol && math.Abs(from.Y-to.Y) > geom.Tol {
		ways = [][]geom.Point{{geom.Pt(to.X, from.Y), to}, {geom.Pt(from.X, to.Y), to}}
	}
	var best []geom.Point
	var by *keepOut
	height := math.Inf(1)
	for _, w := range ways {
		h, k := least, (*keepOut)(nil)
		a := from
		for _, b := range w {
			for i := range l.zones {
				// The margin covers the comparison when the height is asked
				// for again.
				if t := l.zones[i].tip(l.zones[i].index.Distance(geom.Line(a, b))) + zoneMargin; t > h {
					h, k = t, &l.zones[i]
				}
			}
			a = b
		}
		if h < height {
			best, height, by = w, h, k
		}
	}
	return best, height, by
}

// envelope refuses a toolpath that leaves the machine's envelope.
func (l *linker) envelope() error {
	e := l.s.Machine.Envelope
	if e.Min == e.Max || e.Empty() {
		return l.p.errorf("the machine's envelope is not given")
	}
	from := l.path.Moves[0].To
	for _, m := range l.path.Moves {
		b := segOf(from, m).Bounds()
		lo, hi := b.Min.At(lowest(from, m)), b.Max.At(math.Max(from.Z, m.To.Z))
		if !e.Contains(lo) || !e.Contains(hi) {
			return l.p.errorf("the tool would leave the machine's envelope (x %g to %g, y %g to %g, z %g to %g mm) near x %.3f y %.3f z %.3f",
				e.Min.X, e.Max.X, e.Min.Y, e.Max.Y, e.Min.Z, e.Max.Z, m.To.X, m.To.Y, m.To.Z)
		}
		from = m.To
	}
	return nil
}
