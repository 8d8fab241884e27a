package post

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"proofcut/paths"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// headerWidth is the length at which comments are broken: short enough for the
// display of a bench control.
const headerWidth = 70

// cautions stand at the head of every program.
var cautions = []string{
	"CAUTION: this program fits the machine, work, tools and zero named here and no others. The machine's manual, the rules of the place and the judgement of a qualified person go before it.",
	"Wear eye protection. Check that the work is held fast and that clamps and screws are where the set-up says. Check tool number, diameter and stick-out.",
	"Run it first well above the work, with a hand on the stop, and watch the first cut.",
}

// header writes the comments at the head of the program.
func (p *printer) header(h Header, toolpaths []paths.Toolpath) {
	p.text("Job: ", h.Job)
	p.text("Row: ", h.Row)
	unit := "millimetres"
	if p.s.Unit == setup.Inch {
		unit = "inches"
	}
	p.text("Units: ", unit+", absolute coordinates")
	p.text("Program zero: ", h.Zero)
	p.text("Machine: ", p.s.Machine.Name)
	stock := p.s.Stock
	b := stock.Outline.Bounds()
	work := ""
	if !b.Empty() {
		work = fmt.Sprintf("X %s to %s, Y %s to %s, ", p.len(b.Min.X), p.len(b.Max.X), p.len(b.Min.Y), p.len(b.Max.Y))
	}
	work += fmt.Sprintf("top at Z %s, %s thick", p.len(stock.Top), p.len(stock.Thickness))
	if f := stock.Face; f != nil {
		work += fmt.Sprintf(" there at most, face probed from Z %s to Z %s", p.len(f.Lowest-f.Worst), p.len(f.Highest-f.Worst))
	}
	if stock.Material != "" {
		work = stock.Material + ", " + work
	}
	p.text("Work: ", work)
	if stock.Backing.Present {
		p.text("Backing: ", strings.TrimPrefix(stock.Backing.Material+", may be cut "+p.len(stock.Backing.Depth)+" deep", ", "))
	}
	for _, z := range p.s.Zones {
		p.text("Zone: ", fmt.Sprintf("%s, top at Z %s, to be cleared by %s", z.Name, p.len(z.Top), p.len(z.Clearance)))
	}
	var seen []int
	for _, t := range toolpaths {
		if n := t.Tool.Number; !has(seen, n) {
			seen = append(seen, n)
			p.text(fmt.Sprintf("Tool %d: ", n), p.tool1(t.Tool))
		}
	}
	switch {
	case p.s.Machine.ToolChange == setup.NoToolChange:
		p.text("", fmt.Sprintf("Tool %d has to be in the spindle before the program is started.", toolpaths[0].Tool.Number))
	case len(seen) > 1 && !p.s.Machine.LengthOffsets:
		p.text("", "After each tool change set Z zero for the new tool: the program uses no length offsets.")
	}
	for i, t := range toolpaths {
		p.text(fmt.Sprintf("Operation %d: ", i+1), fmt.Sprintf("%s, tool %d, %s 1/min", t.Name, t.Tool.Number, number(math.Round(t.Speed), 0)))
	}
	lo, hi := extent(toolpaths)
	p.text("Tool tip moves in: ", fmt.Sprintf("X %s to %s, Y %s to %s, Z %s to %s",
		p.len(lo.X), p.len(hi.X), p.len(lo.Y), p.len(hi.Y), p.len(lo.Z), p.len(hi.Z)))
	for _, n := range h.Notes {
		p.text("Note: ", n)
	}
	for _, c := range cautions {
		p.text("", c)
	}
}

func has(list []int, n int) bool {
	for _, v := range list {
		if v == n {
			return true
		}
	}
	return false
}

// tool1 describes a tool in a line.
func (p *printer) tool1(t setup.Tool) string {
	kind := map[setup.Shape]string{setup.Flat: "flat end mill", setup.Ball: "ball end mill", setup.Vee: "vee tool", setup.Drill: "drill", setup.Tap: "tap"}[t.Shape]
	out := kind + ", diameter " + p.len(t.Diameter)
	if t.Shape == setup.Vee || t.Shape == setup.Drill {
		out += ", angle " + number(t.Angle*180/math.Pi, 1) + " deg"
	}
	if t.StickOut > 0 {
		out += ", stick-out " + p.len(t.StickOut)
	}
	if t.Name != "" {
		out = t.Name + ", " + out
	}
	return out
}

// extent returns the corners of the space that the tip moves in.
func extent(toolpaths []paths.Toolpath) (geom.Point3, geom.Point3) {
	b := geom.EmptyBox3()
	for _, t := range toolpaths {
		from := t.Moves[0].To
		for _, m := range t.Moves {
			plan := geom.Seg{A: from.XY(), B: m.To.XY(), C: m.C, Turn: m.Turn}.Bounds()
			b = b.Add(plan.Min.At(m.To.Z)).Add(plan.Max.At(m.To.Z))
			from = m.To
		}
	}
	return b.Min, b.Max
}

// len writes a length in the program's unit.
func (p *printer) len(v float64) string { return number(v/p.unit, p.s.Unit.Decimals()+1) }

func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// text writes a labelled remark, broken between words into lines; nothing when
// there is no remark.
func (p *printer) text(label, text string) {
	words := strings.Fields(text)
	if len(words) == 0 {
		return
	}
	line := label
	for i, w := range words {
		if i > 0 && len(line)+1+len(w) > headerWidth {
			p.comment(line)
			line = "  "
		} else if i > 0 {
			line += " "
		}
		line += w
	}
	p.comment(line)
}
