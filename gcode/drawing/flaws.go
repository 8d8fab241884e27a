package drawing

import "proofcut/paths/setup"

// flaws returns the defects that may be cut across; the others are drawn as the
// zones that they are.
func (d *Drawing) flaws() []setup.Defect {
	var out []setup.Defect
	for _, f := range d.set.Defects {
		if f.CutAcross {
			out = append(out, f)
		}
	}
	return out
}

// flawStyle is the style of defects, in units of u, where there are any.
func (d *Drawing) flawStyle(u float64) string {
	if len(d.flaws()) == 0 {
		return ""
	}
	return "path.flaw{stroke:#a06a00;stroke-width:" + num(0.12*u) + ";stroke-dasharray:" + num(0.2*u) + " " + num(0.3*u) + "}\n"
}

func (d *Drawing) drawFlaws(p *page) {
	for _, f := range d.flaws() {
		p.path("flaw", regionData(f.Area))
	}
}
