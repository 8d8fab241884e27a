package setup

import (
	"errors"
	"fmt"

	"proofcut/paths/geom"
)

// Probing is what a program that probes the face of the stock is proven against.
// The stylus is the set-up's only tool, a ball as wide as the tip.
type Probing struct {
	// Points are the places to touch, in their order.
	Points []geom.Point

	// Within is how far the face may lie above or below the stock's top: no
	// move but a probing one goes lower than so much above it, and no probing
	// move deeper than so much below it.
	Within float64

	Feed float64 // greatest rate of a probing move, mm/min
	Edge float64 // least distance of the tip from the edge of the stock and its holes, mm

	// Log is how each touched place leaves the control, and First the number of
	// the first parameter where it does so by parameters: X, Y and Z of point i
	// (from 0) are kept in First+3i and the two after it.
	Log   ProbeLog
	First int
}

// ProbeLog is how touched places leave the control. The published language has
// no word that writes to a file or to a screen.
type ProbeLog uint8

// The ways in which touched places leave the control.
const (
	LogParameters ProbeLog = iota // kept in parameters, read off at the control afterwards
	LogStop                       // the program stops (M0) at each touch, its place is read off the display
)

// The parameters that a program may use freely: the published table reserves
// those from 5161 on and names none below (NISTIR 6556, section 3.2.1, from
// memory). Those from 5061 on hold the touched place.
const (
	FirstFreeParameter = 1
	LastFreeParameter  = 5000
)

// Validate explains what is wrong with a probing.
func (p *Probing) Validate() error {
	switch {
	case !finite(p.Within, p.Feed, p.Edge):
		return errors.New("a dimension of the probing is not a number")
	case p.Within <= 0 || p.Feed <= 0 || p.Edge < 0:
		return errors.New("the probing needs a feed and a range of the face of more than 0, and an edge of 0 or more")
	case len(p.Points) == 0:
		return errors.New("there is no place to probe")
	case p.Log > LogStop:
		return errors.New("the probing's way of keeping what it touched is of no known kind")
	}
	for i, q := range p.Points {
		if !q.Finite() {
			return fmt.Errorf("place %d to probe is not finite", i+1)
		}
	}
	if last := p.First + 3*len(p.Points) - 1; p.Log == LogParameters && (p.First < FirstFreeParameter || last > LastFreeParameter) {
		return fmt.Errorf("%d places would be kept in the parameters %d to %d, free are %d to %d", len(p.Points), p.First, last, FirstFreeParameter, LastFreeParameter)
	}
	return nil
}
