package drawing

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// safety is the line that every drawing carries.
const safety = "Check zero, tool, stick-out and clamping against this sheet. Wear eye protection, keep hands clear."

// blockWidth is the least width of the title block in text heights.
const blockWidth = 58

// block draws the title block with legend and scale bar below the drawing, and
// widens the field to the whole sheet.
func (d *Drawing) block(p *page, drawn geom.Box, legend []entry) {
	u := p.unit
	row := 1.55 * u
	margin := 1.5 * u
	width := math.Max(drawn.Size().X, blockWidth*u)
	left := drawn.Center().X - width/2
	// Two columns: what is stated, and what the lines mean.
	split := left + width*0.62
	rows := wrapped(d.statements(), split-left-7.6*u, u)
	keys := d.keys(legend)
	n := max(len(rows), len(keys)+3)
	top := drawn.Min.Y - u
	bottom := top - float64(n)*row - 0.6*u
	p.frame(geom.Box{Min: geom.Pt(left, bottom-1.2*row), Max: geom.Pt(left+width, top)})
	p.line("thin", geom.Pt(split, top), geom.Pt(split, bottom))
	p.line("thin", geom.Pt(left, bottom), geom.Pt(left+width, bottom))

	y := top
	for _, r := range rows {
		y -= row
		p.text("bold", geom.Pt(left+0.6*u, y), u, "start", r.name, false)
		class := "plain"
		if r.bold {
			class = "bold"
		}
		p.text(class, geom.Pt(left+7*u, y), u, "start", r.text, false)
	}
	y = top
	for _, k := range keys {
		y -= row
		p.sample(k, geom.Box{Min: geom.Pt(split+0.6*u, y-0.1*u), Max: geom.Pt(split+4.6*u, y+0.9*u)})
		p.text("plain", geom.Pt(split+5.4*u, y), u, "start", k.text, false)
	}
	p.scaleBar(geom.Pt(split+0.8*u, bottom+1.1*u), left+width-split-4*u)
	size := math.Min(u, (width-u)/widthOf(safety, boldWidth))
	p.text("bold", geom.Pt(left+width/2, bottom-0.8*row), size, "middle", safety, false)

	p.field = geom.Box{
		Min: geom.Pt(math.Min(drawn.Min.X, left)-margin, bottom-1.2*row-margin),
		Max: geom.Pt(math.Max(drawn.Max.X, left+width)+margin, drawn.Max.Y+margin),
	}
}

func (p *page) frame(b geom.Box) {
	p.line("part", b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y), b.Min)
}

// boldWidth is how much wider bold letters are.
const boldWidth = 1.15

// wrapRows is into how many rows a long statement is wrapped; the rest is cut.
const wrapRows = 3

// wrapped escapes the statements and parts those that are wider than a row.
func wrapped(rows []statement, width, unit float64) []statement {
	var out []statement
	for _, r := range rows {
		size := unit
		if r.bold {
			size *= boldWidth
		}
		line, n := "", 0
		flush := func() {
			out = append(out, statement{r.name, line, r.bold})
			r.name, line = "", ""
			n++
		}
		for _, word := range strings.Fields(strings.ToValidUTF8(r.text, "?")) {
			if line != "" && widthOf(line+" "+word, size) > width {
				flush()
			}
			if n == wrapRows {
				break
			}
			if line != "" {
				line += " "
			}
			for _, c := range word { // a word wider than a row is parted too
				if widthOf(line+string(c), size) > width {
					if flush(); n == wrapRows {
						break
					}
				}
				line += string(c)
			}
			if n == wrapRows {
				break
			}
		}
		if n == wrapRows {
			out[len(out)-1].text += "…"
		} else {
			flush()
		}
	}
	for i := range out {
		out[i].text = escape(out[i].text, math.MaxInt)
	}
	return out
}

// statement is a row of the title block.
type statement struct {
	name, text string
	bold       bool
}

// statements lists what the title block says; the texts are not yet escaped.
func (d *Drawing) statements() []statement {
	s := d.set
	verdict := "NOT PROVEN: do not run this program"
	if d.title.Proven {
		verdict = "PROVEN against this set-up"
	}
	rows := []statement{
		{"Job", d.title.Job, true},
		{"Program", d.title.Program, false},
		{"Proof", verdict, true},
		{"Units", fmt.Sprintf("all dimensions in mm, program in %s, 1:1 when printed at 100 %%", s.Unit), false},
	}
	if !s.Stock.Outline.Bounds().Empty() {
		size := s.Stock.Outline.Bounds().Size()
		rows = append(rows, statement{"Stock", fmt.Sprintf("%s %s x %s x %s, %s",
			s.Stock.Material, num(size.X), num(size.Y), num(s.Stock.Thickness), heights(s.Stock)), false})
	}
	if b := s.Stock.Backing; b.Present {
		text := b.Material + ", not to be cut"
		if b.Depth > 0 {
			text = fmt.Sprintf("%s, may be cut %s deep", b.Material, num(b.Depth))
		}
		rows = append(rows, statement{"Backing", text, false})
	}
	if n := len(s.Parts); n > 0 {
		text := fmt.Sprintf("%d", n)
		if a, b, i, ok := d.nearestEdge(); ok {
			text += fmt.Sprintf(", least distance to the edge %s (%s)", num(a.Dist(b)), s.Parts[i].Name)
		}
		rows = append(rows, statement{"Parts", text, false})
	}
	for i, number := range d.tools {
		name := ""
		if i == 0 {
			name = "Tools"
		}
		rows = append(rows, statement{name, d.toolText(number), false})
	}
	for i, note := range d.title.Notes {
		name := ""
		if i == 0 {
			name = "Notes"
		}
		rows = append(rows, statement{name, note, false})
	}
	return rows
}

func (d *Drawing) toolText(number int) string {
	t, ok := d.set.Tool(number)
	if !ok {
		return fmt.Sprintf("T%d is not in the set-up", number)
	}
	shape := [...]string{"flat", "ball", "vee", "drill", "tap"}[t.Shape%5]
	text := fmt.Sprintf("T%d %s: %s ⌀%s", t.Number, t.Name, shape, strconv.FormatFloat(math.Round(t.Diameter*1e4)/1e4, 'f', -1, 64))
	if t.Shape == setup.Vee {
		text += fmt.Sprintf(", %s°", num(t.Angle*180/math.Pi))
	}
	return text + fmt.Sprintf(", stick-out %s", num(t.StickOut))
}

// entry is a line of the legend.
type entry struct{ class, text string }

// keys completes the legend: only what is drawn is explained.
func (d *Drawing) keys(legend []entry) []entry {
	out := legend
	if len(d.rapids.list) > 0 {
		out = append(out, entry{"rapid", "rapid"})
	}
	if len(d.set.Parts) > 0 {
		out = append(out, entry{"part", "part"})
	}
	if len(d.set.Zones) > 0 {
		out = append(out, entry{"zone", "zone: keep out"}, entry{"clear", "clearance of a zone"})
	}
	if len(d.flaws()) > 0 {
		out = append(out, entry{"flaw", "defect: no part there"})
	}
	if d.moved {
		out = append(out, entry{"start", "start"}, entry{"end", "end"})
	}
	return out
}

// sample draws a legend's sample into a box.
func (p *page) sample(k entry, b geom.Box) {
	mid := b.Center()
	switch k.class {
	case "flaw":
		p.path("flaw", "M"+xy(b.Min)+"H"+num(b.Max.X)+"V"+num(-b.Max.Y)+"H"+num(b.Min.X)+"Z")
	case "zone":
		p.path("zone", "M"+xy(b.Min)+"H"+num(b.Max.X)+"V"+num(-b.Max.Y)+"H"+num(b.Min.X)+"Z")
	case "hole":
		p.hole(mid, 0.35*p.unit)
	case "kerf":
		p.element("path", "kerf", fmt.Sprintf(`d="M%s %s" stroke-width="%s"`, xy(geom.Pt(b.Min.X, mid.Y)), xy(geom.Pt(b.Max.X, mid.Y)), num(0.8*p.unit)))
	case "start":
		p.circle("thin", mid, 0.45*p.unit)
		p.circle("dot", mid, 0.15*p.unit)
	case "end":
		r := 0.45 * p.unit
		p.element("rect", "thin", fmt.Sprintf(`x="%s" y="%s" width="%s" height="%s"`, num(mid.X-r), num(-mid.Y-r), num(2*r), num(2*r)))
	default:
		p.line(k.class, geom.Pt(b.Min.X, mid.Y), geom.Pt(b.Max.X, mid.Y))
	}
}

// scaleBar draws a bar of a round length, half of it filled, that a person can
// hold a rule to.
func (p *page) scaleBar(at geom.Point, most float64) {
	length := math.Pow(10, math.Floor(math.Log10(most)))
	for _, k := range []float64{5, 2} {
		if k*length <= most {
			length *= k
			break
		}
	}
	u := p.unit
	rect := func(class string, x0, x1 float64) {
		p.element("rect", class, fmt.Sprintf(`x="%s" y="%s" width="%s" height="%s"`,
			num(x0), num(-at.Y-0.4*u), num(x1-x0), num(0.4*u)))
	}
	rect("dot", at.X, at.X+length/2)
	rect("thin", at.X, at.X+length)
	p.text("plain", at.Add(geom.Pt(0, 0.7*u)), 0.9*u, "middle", "0", false)
	p.text("plain", at.Add(geom.Pt(length, 0.7*u)), 0.9*u, "middle", num(length)+" mm", false)
}
