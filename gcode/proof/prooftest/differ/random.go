package differ

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"proofcut/gcode"
	"proofcut/gcode/interp"
)

// Random returns a program that both readers go through for the most part: block
// by block one is drawn and kept when the interpreter runs it and keep, which is
// asked about every program on the way, does not mind.
func Random(rng *rand.Rand, blocks int, o interp.Options, keep func(text string) bool) string {
	d := drawer{Rand: rng, inch: o.Inch}
	text := ""
	for range blocks {
		block := d.block()
		try := text + block + "\n"
		ok := keep(try + "M2\n")
		// The interpreter's position makes arcs close.
		next := d
		_, err := interp.Run(gcode.NewReader(strings.NewReader(try+"M2\n"), o.ReadOptions("program")), o, func(e *interp.Event) error {
			s := e.State
			next.inch, next.relative, next.plane = s.Inch, s.Relative, s.Plane
			for i, v := range [3]float64{e.To.X, e.To.Y, e.To.Z} {
				next.at[i] = v - s.Offset[i]
			}
			return nil
		})
		if ok && err == nil {
			text, d = try, next
		}
	}
	return text + "M2\n"
}

type drawer struct {
	*rand.Rand
	at       [3]float64 // program coordinates, mm
	inch     bool
	relative bool
	plane    interp.Plane
}

func (d *drawer) one(list ...string) string { return list[d.IntN(len(list))] }

func (d *drawer) maybe(p float64, s string) string {
	if d.Float64() < p {
		return s
	}
	return ""
}

// number writes a length in the program's unit, given in mm.
func (d *drawer) number(mm float64) string {
	if d.inch {
		return fmt.Sprintf("%.5f", mm/25.4)
	}
	return fmt.Sprintf("%.4f", mm)
}

func (d *drawer) length() string {
	v := d.number(40*d.Float64() - 20)
	switch d.IntN(12) {
	case 0:
		return fmt.Sprintf("[%s+%s*2]", v, d.number(d.Float64()))
	case 1:
		return fmt.Sprintf("#%d", 1+d.IntN(6))
	case 2:
		return "[" + v + "*" + d.one("SIN[30]", "COS[60]", "SQRT[2]", "ABS[-1.5]", "[7 MOD 4]", "[-7 MOD 4]", "2**-1", "ATAN[1]/[-2]/50",
			"ROUND[-0.5]", "FIX[-1.8]", "FUP[-1.8]", "LN[3]", "EXP[-1]", "TAN[20]", "ACOS[0.3]/60", "ASIN[0.3]/60", "[1 OR 0]", "[3 XOR 0]", "[2 AND 1]") + "]"
	}
	return v
}

func (d *drawer) axes() string {
	s := ""
	for s == "" {
		for _, a := range "XYZ" {
			s += d.maybe(0.5, string(a)+d.length()+" ")
		}
		s += d.maybe(0.05, d.one("A", "B", "C")+fmt.Sprint(d.IntN(90))+" ")
	}
	return s
}

// arc draws a circle, full or not, that ends where the path meets it.
func (d *drawer) arc() string {
	i, j := 0, 1
	names := "XYIJZ"
	switch d.plane {
	case interp.ZX:
		i, j, names = 2, 0, "ZXKIY"
	case interp.YZ:
		i, j, names = 1, 2, "YZJKX"
	}
	r, a, sweep := 0.5+10*d.Float64(), 2*math.Pi*d.Float64(), 2*math.Pi*d.Float64()
	if d.IntN(6) == 0 {
		sweep = 0
	}
	u, v := r*math.Cos(a), r*math.Sin(a)
	p, q := u-r*math.Cos(a+sweep), v-r*math.Sin(a+sweep)
	if !d.relative {
		p, q = p+d.at[i], q+d.at[j]
	}
	code := d.one("G2", "G3")
	helix := d.maybe(0.3, names[4:]+d.length()+" ")
	f := d.maybe(0.2, d.feed())
	ends := fmt.Sprintf("%c%s %c%s ", names[0], d.number(p), names[1], d.number(q))
	if d.IntN(3) == 0 && sweep > 0.1 {
		if d.IntN(2) == 0 {
			r = -r
		}
		return code + " " + ends + helix + "R" + d.number(r*(1+1e-3*d.Float64())) + " " + f
	}
	return code + " " + ends + helix + fmt.Sprintf("%c%s %c%s ", names[2], d.number(u), names[3], d.number(v)) + f
}

func (d *drawer) feed() string { return fmt.Sprintf("F%d ", 1+d.IntN(300)) }

func (d *drawer) cycle() string {
	code := d.one("G81", "G82", "G83", "G84", "G74", "G85", "G86", "G87", "G89")
	z := -3 - 10*d.Float64()
	r := 10 * d.Float64()
	if d.relative {
		z = -10 * d.Float64()
	}
	drill, plane := "Z", [2]string{"X", "Y"}
	switch d.plane {
	case interp.ZX:
		drill, plane = "Y", [2]string{"Z", "X"}
	case interp.YZ:
		drill, plane = "X", [2]string{"Y", "Z"}
	}
	s := d.maybe(0.8, d.one("G98 ", "G99 ")) + d.maybe(0.8, code+" ")
	s += d.maybe(0.7, plane[0]+d.length()+" ") + d.maybe(0.7, plane[1]+d.length()+" ")
	s += d.maybe(0.8, drill+d.number(z)+" ") + d.maybe(0.8, "R"+d.number(r)+" ")
	s += d.maybe(0.2, fmt.Sprintf("L%d ", 1+d.IntN(3)))
	switch code {
	case "G82", "G86", "G89":
		s += d.maybe(0.9, "P0.5 ")
	case "G83":
		s += d.maybe(0.9, "Q"+d.number(0.1+4*d.Float64())+" ")
	case "G87":
		k := z + 1
		if d.relative {
			k = 1
		}
		s += "I" + d.number(1) + " J" + d.number(-0.5) + " K" + d.number(k) + " "
	}
	return s
}

func (d *drawer) block() string {
	switch d.IntN(24) {
	case 0:
		return d.one("G90", "G91", "G20", "G21", "G17", "G18", "G19", "G94", "G93", "G98", "G99", "G80", "G61", "G64")
	case 1:
		return d.one("G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3")
	case 2:
		return fmt.Sprintf("G10 L2 P%d %s", 1+d.IntN(9), d.axes())
	case 3:
		return "G92 " + d.axes()
	case 4:
		return d.one("G92.1", "G92.2", "G92.3")
	case 5:
		return fmt.Sprintf("G43 H%d", d.IntN(4))
	case 6:
		return d.one("G49", "G43 H1 "+d.axes())
	case 7:
		return "G53 " + d.one("G0 ", "G1 ", "") + d.axes()
	case 8:
		return d.one("G28 ", "G30 ") + d.maybe(0.5, d.axes())
	case 9:
		return fmt.Sprintf("T%d", 1+d.IntN(4)) + d.maybe(0.8, " M6") + d.maybe(0.3, " M3 S500")
	case 10:
		return d.one("M3 S500", "M4 S300", "M5", "M3", "M7", "M8", "M9", "M0", "M48", "S0", "S900") + d.maybe(0.3, " G4 P0.25")
	case 11:
		return fmt.Sprintf("#%d=%s #%d=%s", 1+d.IntN(6), d.length(), 1+d.IntN(6), d.length())
	case 12:
		return d.one("G41 ", "G42 ", "G40 ") + d.maybe(0.7, fmt.Sprintf("D%d ", d.IntN(5))) + d.maybe(0.3, "G1 "+d.axes())
	case 13:
		return fmt.Sprintf("#%d=%s", 5161+d.IntN(24), d.length())
	case 14:
		return "G38.2 " + d.axes()
	case 15, 16, 17:
		return d.arc()
	case 18, 19, 20:
		return d.cycle()
	}
	return d.maybe(0.5, d.one("G0 ", "G1 ")) + d.axes() + d.maybe(0.3, d.feed()) + d.maybe(0.05, d.one("M3", "M9", "(note)", "#2=3"))
}
