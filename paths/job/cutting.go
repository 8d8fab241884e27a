package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"proofcut/paths/cutdata"
	"proofcut/paths/setup"
)

// edge reads what a tool's edges are of and how true they run.
func (r *reader) edge(m *mapping, t *setup.Tool) {
	t.Substrate = map[string]setup.Substrate{
		"carbide": setup.Carbide, "coated carbide": setup.CoatedCarbide, "high-speed steel": setup.HighSpeedSteel,
	}[m.choice("material", "unknown", "carbide", "coated carbide", "high-speed steel", "unknown")]
	t.Helix = m.atLeast("helix", m.quantity("helix", "", ptr(0.0), setup.ParseAngle), 0)
	t.Runout = m.atLeast("runout", m.lengthOr("runout", 0), 0)
}

// drive reads what turns and holds the spindle.
func (r *reader) drive(m *mapping) setup.Drive {
	return setup.Drive{
		Power:     m.above("power", m.quantity("power", "", ptr(0.0), setup.ParsePower), 0),
		Torque:    m.above("torque", m.quantity("torque", "", ptr(0.0), setup.ParseTorque), 0),
		Stiffness: m.above("stiffness", m.quantity("stiffness", "", ptr(0.0), setup.ParseStiffness), 0),
	}
}

// material reads a description of a material that the cutting data know, such as
// 'yellow brass', or a group that says what it is like.
func (m *mapping) material(example string) (string, setup.Like) {
	n, ok := m.need("material", example)
	if !ok {
		return "", setup.Like{}
	}
	var name string
	var like setup.Like
	switch n.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		g := m.r.mapping(n, m.what+": material")
		before := len(m.r.errs)
		name = g.text("name", "offcut of unknown bronze")
		if n, ok := g.get("like"); ok {
			like.Names = m.r.words(n, g.what+": like")
		}
		like.Hardness = g.above("hardness", g.quantity("hardness", "", ptr(0.0), parseBrinell), 0)
		g.done()
		if !g.has("like") && !g.has("hardness") {
			m.r.fail(n, "%s lacks what it cuts like; write 'like: brass', or 'hardness: 180' for a metal that nothing else is known of", g.what)
		}
		if len(m.r.errs) > before {
			return name, like
		}
	default:
		before := len(m.r.errs)
		if name = m.text("material", example); len(m.r.errs) > before {
			return name, like
		}
	}
	if _, err := cutdata.Describe(name, like); err != nil {
		m.r.fail(n, "%s: material: %v; or say what it is like: 'material: {name: %s, like: brass}', with 'hardness: 180' (Brinell) when it is known", m.what, err, strconv.Quote(name))
	}
	return name, like
}

// words reads one name or a list of names.
func (r *reader) words(n node, what string) []string {
	list := []ast.Node{n}
	if _, ok := n.(*ast.SequenceNode); ok {
		list, _ = r.sequence(n, what)
		if len(list) == 0 {
			r.fail(n, "%s is empty; write for example [copper, nickel silver]", what)
		}
	}
	var out []string
	for _, e := range list {
		if s, ok := r.scalar(e, what); ok {
			out = append(out, s)
		}
	}
	return out
}

// parseBrinell reads "180HB" or a bare number.
func parseBrinell(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(s, "HB")), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a Brinell hardness such as 180HB", s)
	}
	return v, nil
}
