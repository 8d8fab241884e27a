package post

import (
	"errors"
	"fmt"
	"math"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// maxCoordinate bounds what is written, in mm: far beyond any machine that the
// language is used on, and far inside what counts exactly in steps.
const maxCoordinate = 1e6

// check refuses what the machine cannot do and toolpaths that are no toolpaths.
func check(s *setup.Setup, toolpaths []paths.Toolpath) error {
	switch {
	case s == nil:
		return errors.New("no set-up given")
	case len(toolpaths) == 0:
		return errors.New("there is no toolpath to write")
	case math.IsNaN(s.ClearZ) || math.Abs(s.ClearZ) > maxCoordinate:
		return fmt.Errorf("the clear height %g mm is no height", s.ClearZ)
	case !(s.Machine.SpinUp >= 0 && s.Machine.SpinUp < maxDwell):
		return fmt.Errorf("the spindle's run-up time of %g s has to be between 0 and %d s", s.Machine.SpinUp, maxDwell)
	case s.Machine.ToolChange > setup.AutoToolChange:
		return errors.New("the machine's tool change is of no known kind")
	}
	for i := range toolpaths {
		t := &toolpaths[i]
		if err := checkTool(s, t); err != nil {
			return fmt.Errorf("%s: %w", t.Name, err)
		}
		if s.Machine.ToolChange == setup.NoToolChange && t.Tool.Number != toolpaths[0].Tool.Number {
			return fmt.Errorf("%s: the program needs tools %d and %d and the machine has no tool change: make a program for each tool",
				t.Name, toolpaths[0].Tool.Number, t.Tool.Number)
		}
		if err := checkMoves(s, t); err != nil {
			return fmt.Errorf("%s: %w", t.Name, err)
		}
	}
	return nil
}

// maxDwell bounds a wait in seconds: longer means a mistaken unit.
const maxDwell = 3600

func checkTool(s *setup.Setup, t *paths.Toolpath) error {
	m := s.Machine
	switch {
	case t.Tool.Number < 1 || t.Tool.Number > 99999:
		return fmt.Errorf("the tool number %d does not lie from 1 to 99999", t.Tool.Number)
	case !(t.Speed > 0) || math.Round(t.Speed) < m.SpindleMin || math.Round(t.Speed) > m.SpindleMax:
		return fmt.Errorf("the spindle speed %g 1/min is not between the machine's %g and %g", t.Speed, m.SpindleMin, m.SpindleMax)
	case t.Coolant == setup.Mist && !m.Mist:
		return errors.New("the machine has no mist coolant")
	case t.Coolant == setup.Flood && !m.Flood:
		return errors.New("the machine has no flood coolant")
	case t.Coolant > setup.Flood:
		return errors.New("the coolant is of no known kind")
	}
	return nil
}

func checkMoves(s *setup.Setup, t *paths.Toolpath) error {
	if len(t.Moves) == 0 {
		return errors.New("the toolpath has no move")
	}
	first, last := t.Moves[0], t.Moves[len(t.Moves)-1]
	switch {
	case !first.Rapid || math.Abs(first.To.Z-s.ClearZ) > geom.Tol:
		return errors.New("the toolpath does not start with a rapid at the clear height")
	case math.Abs(last.To.Z-s.ClearZ) > geom.Tol:
		return errors.New("the toolpath does not end at the clear height")
	}
	from := first.To
	for i, m := range t.Moves {
		switch {
		case !m.To.Finite() || math.Abs(m.To.X) > maxCoordinate || math.Abs(m.To.Y) > maxCoordinate || math.Abs(m.To.Z) > maxCoordinate:
			return fmt.Errorf("move %d goes to no ordinary place", i+1)
		case !(m.Dwell >= 0 && m.Dwell < maxDwell):
			return fmt.Errorf("move %d waits for %g s, the limits are 0 and %d s", i+1, m.Dwell, maxDwell)
		case m.Rapid && m.Turn != geom.Straight:
			return fmt.Errorf("move %d is a rapid along an arc", i+1)
		case !m.Rapid && !(m.Feed > 0 && m.Feed <= s.Machine.FeedMax+geom.Tol):
			return fmt.Errorf("move %d has a feed of %g mm/min, the machine's limit is %g", i+1, m.Feed, s.Machine.FeedMax)
		case !m.Rapid && s.Machine.PlungeMax > 0 && sinking(from, m) > s.Machine.PlungeMax*(1+sinkSlack):
			return fmt.Errorf("move %d goes down at %g mm/min, the machine's limit is %g", i+1, sinking(from, m), s.Machine.PlungeMax)
		}
		if m.Tap {
			if err := checkTap(s, t, i, from); err != nil {
				return fmt.Errorf("move %d: %w", i+1, err)
			}
		}
		if m.Turn != geom.Straight {
			r0, r1 := from.XY().Dist(m.C), m.To.XY().Dist(m.C)
			if !m.C.Finite() || math.Abs(r0-r1) > s.Unit.Resolution()/4 || r0 == 0 || r0 > maxCoordinate {
				return fmt.Errorf("move %d is no arc: its ends lie %g and %g mm from its centre", i+1, r0, r1)
			}
		}
		from = m.To
	}
	return nil
}

// sinkSlack lets a rate at the limit be the limit.
const sinkSlack = 1e-6

// sinking returns the rate at which a move goes down, mm/min.
func sinking(from geom.Point3, m paths.Move) float64 {
	down := from.Z - m.To.Z
	if down <= 0 {
		return 0
	}
	plan := geom.Seg{A: from.XY(), B: m.To.XY(), C: m.C, Turn: m.Turn}.Length()
	return m.Feed * down / math.Hypot(plan, down)
}
