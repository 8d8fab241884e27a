package job

import (
	"proofcut/paths/setup"
)

// kinematics reads what bounds the machine's rates at corners and along its axes.
func (r *reader) kinematics(m *mapping, v *setup.Machine) {
	if n, ok := m.get("axes"); ok {
		if axes := r.mapping(n, "machine: axes"); axes != nil {
			for i, name := range []string{"x", "y", "z"} {
				n, ok := axes.need(name, "{rate: 3000mm/min, acceleration: 300mm/s2}")
				if !ok {
					continue
				}
				a := r.mapping(n, "machine: axes: "+name)
				if a == nil {
					continue
				}
				v.Axes[i].Rate = a.above("rate", a.quantity("rate", "", ptr(0.0), r.parseFeed), 0)
				v.Axes[i].Accel = a.above("acceleration", a.quantity("acceleration", "", ptr(0.0), setup.ParseAcceleration), 0)
				v.Axes[i].CornerStep = a.above("corner_step", a.quantity("corner_step", "", ptr(0.0), r.parseFeed), 0)
				a.done()
			}
			axes.done()
			before := len(r.errs)
			count := func(key string, value func(setup.Axis) float64) int {
				k := 0
				for _, a := range v.Axes {
					if value(a) > 0 {
						k++
					}
				}
				if k != 0 && k != len(v.Axes) && len(r.errs) == before && (key != "acceleration" || !m.has(key)) {
					r.fail(n, "machine: axes: %s is given for some axes only; give it for x, y and z", key)
				}
				return k
			}
			count("corner_step", func(a setup.Axis) float64 { return a.CornerStep })
			count("acceleration", func(a setup.Axis) float64 { return a.Accel })
		}
	}
	v.CornerDeviation = m.above("corner_deviation", m.lengthOr("corner_deviation", 0), 0)
	v.LookAhead = m.whole("look_ahead", "64", ptr(0), 1, setup.MaxLookAhead)
}

// practice reads what the control knows beyond the published language.
func (r *reader) practice(n node) setup.Practice {
	m := r.mapping(n, "machine: control")
	if m == nil {
		return setup.Practice{}
	}
	defer m.done()
	return setup.Practice{
		SemicolonComments: m.yes("semicolon_comments", false),
		RigidTapping:      m.yes("rigid_tapping", false),
		HighSpeedPeck:     m.yes("high_speed_peck", false),
		Subprograms:       m.yes("subprograms", false),
		DwellMilliseconds: m.choice("dwell", "seconds", "seconds", "milliseconds") == "milliseconds",
	}
}

// toolLength reads what the control's tool table holds for a tool.
func (r *reader) toolLength(m *mapping, j *Job) *float64 {
	n, ok := m.get("length")
	if !ok {
		return nil
	}
	v := m.length("length", "62.4mm")
	if !j.Machine.LengthOffsets {
		r.fail(n, "%s: length is of use where the control keeps a tool table only; write 'length_offsets: true' in the machine", m.what)
	}
	return &v
}
