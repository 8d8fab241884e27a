package post

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// tap writes one hole of a tap as the cycle G84 (NISTIR 6556, section 3.5.16.5,
// from memory): down at feed, the spindle reversed at the bottom, up at the same
// feed. The retract level is where the tool stands.
func (p *printer) tap(from geom.Point3, m paths.Move) {
	top := p.grid(from)
	to := p.grid(m.To)
	f := tapFeed(m.Feed / p.unit)
	p.words('G', 99, 'G', 84, 'X', p.say(to[0]), 'Y', p.say(to[1]), 'Z', p.say(to[2]), 'R', p.say(top[2]), 'F', f)
	p.words('G', 80)
	p.feed = 0
	p.at = [3]int64{to[0], to[1], top[2]}
}

// tapFeed rounds a feed of pitch times speed to seven digits: over the depth of
// any hole that is less than the thread's own play.
func tapFeed(f float64) float64 {
	digits := math.Pow10(6 - int(math.Floor(math.Log10(f))))
	return math.Round(f*digits) / digits
}

// checkTap refuses a tapped hole that is none: down and up again in one line, at
// pitch times speed, on a machine that keeps them in step.
func checkTap(s *setup.Setup, t *paths.Toolpath, i int, from geom.Point3) error {
	m := t.Moves[i]
	switch {
	case !s.Machine.Practice.RigidTapping:
		return errors.New("the machine cannot tap: it keeps spindle and feed in step only where its control has rigid_tapping")
	case t.Tool.Shape != setup.Tap:
		return fmt.Errorf("tool %d is no tap", t.Tool.Number)
	case m.Rapid || m.Turn != geom.Straight || m.To.XY() != from.XY():
		return errors.New("a tap goes straight down and up")
	case math.Abs(m.Feed-t.Tool.Pitch*math.Round(t.Speed)) > tapSlack*m.Feed:
		return fmt.Errorf("the feed is %g mm/min, the pitch of %g mm at %g 1/min makes %g", m.Feed, t.Tool.Pitch, math.Round(t.Speed), t.Tool.Pitch*math.Round(t.Speed))
	case m.To.Z < from.Z && (i+1 >= len(t.Moves) || !t.Moves[i+1].Tap || t.Moves[i+1].To != from):
		return errors.New("a tap comes back to where it went down from")
	case m.To.Z >= from.Z && !t.Moves[i-1].Tap:
		return errors.New("a tap goes down before it comes up")
	}
	return nil
}

// tapSlack is the rounding of a product.
const tapSlack = 1e-9
