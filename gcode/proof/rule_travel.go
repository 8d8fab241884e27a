package proof

import (
	"proofcut/gcode/interp"
	"proofcut/paths/geom"
)

var ruleTravel = Rule{
	Name:     "travel",
	Severity: Fault,
	Reason:   "With the work where it is clamped an axis would run into its stop, even when every move stays in the envelope round the work.",
	watch:    func() watcher { return &travelWatch{} },
}

type travelWatch struct{ noEnd }

func (w *travelWatch) see(c *checker, e *interp.Event, m *motion) {
	mc := &c.s.Machine
	if m == nil || !mc.HasTravel() || mc.WorkOffset == nil {
		return
	}
	// The axis is where the program says, plus the offset: dz is the tool's.
	o := *mc.WorkOffset
	o.Z += e.State.LengthOffset - c.dz
	work := func(p geom.Point3) geom.Point3 { return geom.Pt3(p.X-o.X, p.Y-o.Y, p.Z-o.Z) }
	limit := geom.Box3{Min: work(mc.Travel.Min), Max: work(mc.Travel.Max)}
	b, ok := m.beyond(limit, c.length.offset)
	if ok {
		off := vec(o)[b.axis]
		c.find(&m.to, "%s goes to %s in machine coordinates, the travel ends at %s: clamp the work elsewhere or move the job",
			axisNames[b.axis], c.mm(b.to+off), c.mm(b.limit+off))
	}
}

var ruleTravelHeight = Rule{
	Name:     "travel-height",
	Severity: Note,
	Reason:   "Under a tool length offset the height in machine coordinates depends on the length in the control's table: without it in the set-up the Z axis is not held against its travel.",
	watch:    func() watcher { return &travelHeightWatch{} },
}

type travelHeightWatch struct {
	noEnd
	said bool
}

func (w *travelHeightWatch) see(c *checker, e *interp.Event, m *motion) {
	mc := &c.s.Machine
	if m == nil || w.said || c.length.offset || !mc.HasTravel() || mc.WorkOffset == nil {
		return
	}
	w.said = true
	c.find(nil, "from here on X and Y are held against the machine's travel, Z is not, because the length of tool %d is not in the set-up: give its length there, or look at the Z axis with it at its lowest and at the clear height", e.State.LengthIndex)
}
