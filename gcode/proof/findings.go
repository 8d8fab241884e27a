package proof

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// mm writes a length for a finding: thousandths, or finer where it is smaller.
func (c *checker) mm(v float64) string {
	d := 3
	if a := math.Abs(v); a > 0 && a < 0.01 {
		d = 5
	}
	s := strconv.FormatFloat(v, 'f', d, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return s + " mm"
}

// find reports a finding of the active rule at the present block.
func (c *checker) find(at *geom.Point3, format string, args ...any) {
	var v *Vec
	if at != nil {
		p := vec(*at)
		v = &p
	}
	c.findAt(v, format, args...)
}

func (c *checker) findAt(at *Vec, format string, args ...any) {
	if at == nil && c.placed != [3]bool{} {
		v := Vec(c.at)
		at = &v
	}
	c.add(Finding{Block: c.event.Block, Line: c.event.Pos.Line, Col: c.event.Pos.Col, Position: at}, format, args)
}

// findEnd reports a finding about what the whole program leaves. A program that
// was not read to its end is not proven anyway, and what it would have done is
// not known.
func (c *checker) findEnd(block, line int, at *geom.Point3, format string, args ...any) {
	if !c.ended {
		return
	}
	f := Finding{Block: block, Line: line}
	if at != nil {
		p := vec(*at)
		f.Position = &p
	}
	c.add(f, format, args)
}

func (c *checker) add(f Finding, format string, args []any) {
	r := &c.rules[c.active]
	c.counts[c.active]++
	if r.Severity == Fault {
		c.faults = true
	}
	if c.counts[c.active] > maxFindings {
		return
	}
	f.Severity, f.Rule, f.Text = r.Severity, r.Name, fmt.Sprintf(format, args...)
	c.rec.Findings = append(c.rec.Findings, f)
}

// language turns an error of the text into findings; it reports whether it was
// one.
func (c *checker) language(err error, g *guard) bool {
	c.active = 0
	var hit *gcode.Error
	if errors.As(err, &hit) && hit == g.hit {
		for i, r := range c.rules {
			if r.Name == g.rule {
				c.active = i
			}
		}
	}
	found := false
	report := func(e *gcode.Error) {
		found = true
		c.add(Finding{Block: e.Pos.Line, Line: e.Pos.Line, Col: e.Pos.Col}, "%s", []any{e.Msg})
	}
	var list gcode.ErrorList
	var one *gcode.Error
	switch {
	case errors.As(err, &list):
		for _, e := range list {
			report(e)
		}
	case errors.As(err, &one):
		report(one)
	}
	return found
}
