package prooftest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
)

// Kind is a kind of fault that is put into a program's text.
type Kind struct {
	Name   string
	mutate func(r *rand.Rand, p *prog) bool // false: not applicable here
}

// Mutate returns the text with one fault of this kind, and whether the kind
// could be applied and has changed the text.
func (k Kind) Mutate(r *rand.Rand, text string) (string, bool) {
	p := &prog{lines: strings.Split(strings.TrimSuffix(text, "\n"), "\n")}
	if !k.mutate(r, p) {
		return "", false
	}
	out := strings.Join(p.lines, "\n") + "\n"
	return out, out != text
}

// prog is a program as lines.
type prog struct{ lines []string }

// word is a letter with its number in a line.
type word struct {
	line, at, end int
	letter        byte
	number        string
}

func (w word) value() float64 {
	v, err := strconv.ParseFloat(w.number, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// words returns the words with one of the letters, comments left out.
func (p *prog) words(letters string) []word {
	var out []word
	for i, l := range p.lines {
		for k := 0; k < len(l); k++ {
			if l[k] == '(' {
				for k < len(l) && l[k] != ')' {
					k++
				}
				continue
			}
			if l[k] < 'A' || l[k] > 'Z' {
				continue
			}
			e := k + 1
			for e < len(l) && strings.IndexByte("+-.0123456789", l[e]) >= 0 {
				e++
			}
			if strings.IndexByte(letters, l[k]) >= 0 {
				out = append(out, word{i, k, e, l[k], l[k+1 : e]})
			}
			k = e - 1
		}
	}
	return out
}

func pick[T any](r *rand.Rand, list []T) (T, bool) {
	if len(list) == 0 {
		var zero T
		return zero, false
	}
	return list[r.IntN(len(list))], true
}

// set replaces a word.
func (p *prog) set(w word, text string) {
	l := p.lines[w.line]
	p.lines[w.line] = l[:w.at] + text + l[w.end:]
}

// add writes a number with as many decimals as the word has, at least three.
func (p *prog) add(w word, d float64) {
	decimals := max(3, len(w.number)-1-strings.IndexByte(w.number+".", '.'))
	p.set(w, string(w.letter)+strconv.FormatFloat(w.value()+d, 'f', decimals, 64))
}

// unit returns how many program units a millimetre is.
func (p *prog) unit() float64 {
	for _, w := range p.words("G") {
		if w.number == "20" {
			return 1 / 25.4
		}
	}
	return 1
}

// insert puts a line before line i.
func (p *prog) insert(i int, text string) {
	p.lines = append(p.lines[:i], append([]string{text}, p.lines[i:]...)...)
}

// body returns a random line that is not the first or last.
func (p *prog) body(r *rand.Rand) int { return 1 + r.IntN(len(p.lines)-2) }

// Kinds of mutation are made from a few builders.

// shift adds an amount in mm, or up to half as much again, to a random word for
// which ok holds.
func shift(name, letters string, mm float64, ok func(word) bool) Kind {
	return Kind{name, func(r *rand.Rand, p *prog) bool {
		w, found := pick(r, only(p.words(letters), ok))
		if found {
			p.add(w, mm*(1+r.Float64()/2)*p.unit())
		}
		return found
	}}
}

func only(list []word, ok func(word) bool) []word {
	if ok == nil {
		return list
	}
	var out []word
	for _, w := range list {
		if ok(w) {
			out = append(out, w)
		}
	}
	return out
}

func low(w word) bool  { return w.value() < 0 }
func high(w word) bool { return w.value() > 0 }

// change rewrites the number of a random word.
func change(name, letters string, ok func(word) bool, f func(r *rand.Rand, w word) string) Kind {
	return Kind{name, func(r *rand.Rand, p *prog) bool {
		w, found := pick(r, only(p.words(letters), ok))
		if found {
			p.set(w, string(w.letter)+f(r, w))
		}
		return found
	}}
}

// replace exchanges a random occurrence of a whole word.
func replace(name string, pairs ...string) Kind {
	return Kind{name, func(r *rand.Rand, p *prog) bool {
		k := 2 * r.IntN(len(pairs)/2)
		old, text := pairs[k], pairs[k+1]
		w, found := pick(r, only(p.words(old[:1]), func(w word) bool { return w.number == old[1:] }))
		if found {
			p.set(w, text)
		}
		return found
	}}
}

// insertLine puts one of the lines at a random place.
func insertLine(name string, lines ...string) Kind {
	return Kind{name, func(r *rand.Rand, p *prog) bool {
		p.insert(p.body(r), lines[r.IntN(len(lines))])
		return true
	}}
}

func flip(_ *rand.Rand, w word) string {
	if strings.HasPrefix(w.number, "-") {
		return w.number[1:]
	}
	return "-" + w.number
}

func noPoint(_ *rand.Rand, w word) string { return strings.Replace(w.number, ".", "", 1) }

func hasPoint(w word) bool { return strings.Contains(w.number, ".") }

func scale(k float64) func(*rand.Rand, word) string {
	return func(_ *rand.Rand, w word) string { return strconv.FormatFloat(w.value()*k, 'f', 4, 64) }
}

// dropWord takes a random word away.
func dropWord(name, letters string, ok func(word) bool) Kind {
	return Kind{name, func(r *rand.Rand, p *prog) bool {
		w, found := pick(r, only(p.words(letters), ok))
		if found {
			p.set(w, "")
		}
		return found
	}}
}

func is(numbers ...string) func(word) bool {
	return func(w word) bool {
		for _, n := range numbers {
			if w.number == n {
				return true
			}
		}
		return false
	}
}

// digits changes a digit string at random.
func digits(f func(r *rand.Rand, s []byte) []byte) func(*rand.Rand, word) string {
	return func(r *rand.Rand, w word) string { return string(f(r, []byte(w.number))) }
}

// Kinds returns all kinds of fault.
func Kinds() []Kind {
	return append(loadKinds(), []Kind{
		shift("Z deeper by 0.05 mm", "Z", -0.05, low),
		shift("Z deeper by 0.5 mm", "Z", -0.5, low),
		shift("Z higher by 0.1 mm", "Z", 0.1, low),
		shift("retract lowered by 1 mm", "Z", -1, high),
		change("retract lowered to the surface", "Z", high, func(*rand.Rand, word) string { return "0" }),
		change("retract lowered into the stock", "Z", high, func(*rand.Rand, word) string { return "-0.2" }),
		change("sign of Z flipped", "Z", nil, flip),
		change("sign of X flipped", "X", nil, flip),
		change("sign of Y flipped", "Y", nil, flip),
		change("sign of an offset flipped", "IJK", nil, flip),
		change("decimal point of X lost", "X", hasPoint, noPoint),
		change("decimal point of Y lost", "Y", hasPoint, noPoint),
		change("decimal point of Z lost", "Z", hasPoint, noPoint),
		change("decimal point of an offset lost", "IJK", hasPoint, noPoint),
		change("coordinate x 10", "XYZ", nil, scale(10)),
		change("coordinate / 10", "XYZ", nil, scale(0.1)),
		change("a digit changed", "XYZIJK", nil, digits(func(r *rand.Rand, s []byte) []byte {
			i := r.IntN(len(s))
			if s[i] >= '0' && s[i] <= '9' {
				s[i] = '0' + (s[i]-'0'+byte(1+r.IntN(9)))%10
			}
			return s
		})),
		change("a digit dropped", "XYZIJK", nil, digits(func(r *rand.Rand, s []byte) []byte {
			i := r.IntN(len(s))
			return append(s[:i], s[i+1:]...)
		})),
		change("a digit doubled", "XYZIJKF", nil, digits(func(r *rand.Rand, s []byte) []byte {
			i := r.IntN(len(s))
			return append(s[:i+1], s[i:]...)
		})),
		change("two digits swapped", "XYZIJKF", nil, digits(func(r *rand.Rand, s []byte) []byte {
			if i := r.IntN(len(s)); i > 0 {
				s[i], s[i-1] = s[i-1], s[i]
			}
			return s
		})),
		shift("X off by 0.1 mm", "X", 0.1, nil),
		shift("Y off by -0.1 mm", "Y", -0.1, nil),
		shift("X off by 2 mm", "X", 2, nil),
		shift("Y off by -2 mm", "Y", -2, nil),
		shift("centre off by 0.02 mm", "IJK", 0.02, nil),
		shift("centre off by 0.5 mm", "IJK", 0.5, nil),
		{"all X moved", moveAll("X", 0.3)},
		{"all Y moved", moveAll("Y", -0.3)},
		{"all Z moved", moveAll("Z", -0.1)},
		{"X and Y exchanged", func(r *rand.Rand, p *prog) bool {
			w, ok := pick(r, p.words("XY"))
			if ok {
				p.set(w, string('X'+'Y'-w.letter)+w.number)
			}
			return ok
		}},
		{"Y and Z exchanged", func(r *rand.Rand, p *prog) bool {
			w, ok := pick(r, p.words("YZ"))
			if ok {
				p.set(w, string('Y'+'Z'-w.letter)+w.number)
			}
			return ok
		}},
		replace("unit switched", "G21", "G20", "G20", "G21"),
		dropWord("unit lost", "G", is("20", "21")),
		replace("plane switched", "G17", "G18", "G17", "G19", "G18", "G17"),
		insertLine("another plane in between", "G18", "G19"),
		replace("absolute switched to incremental", "G90", "G91"),
		insertLine("incremental in between", "G91"),
		insertLine("inches in between", "G20", "G21"),
		replace("arc direction flipped", "G2", "G3", "G3", "G2"),
		replace("arc became a line", "G2", "G1", "G3", "G1"),
		{"arc that nearly closes put in", nearlyClosed},
		replace("rapid instead of feed", "G1", "G0"),
		replace("feed instead of rapid", "G0", "G1"),
		{"block dropped", func(r *rand.Rand, p *prog) bool {
			i := p.body(r)
			p.lines = append(p.lines[:i], p.lines[i+1:]...)
			return true
		}},
		{"three blocks dropped", func(r *rand.Rand, p *prog) bool {
			i := p.body(r)
			p.lines = append(p.lines[:i], p.lines[min(i+3, len(p.lines)):]...)
			return true
		}},
		{"block doubled", func(r *rand.Rand, p *prog) bool {
			i := p.body(r)
			p.insert(i, p.lines[i])
			return true
		}},
		{"blocks swapped", func(r *rand.Rand, p *prog) bool {
			i := p.body(r)
			p.lines[i], p.lines[i-1] = p.lines[i-1], p.lines[i]
			return true
		}},
		{"block moved elsewhere", func(r *rand.Rand, p *prog) bool {
			i := p.body(r)
			l := p.lines[i]
			p.lines = append(p.lines[:i], p.lines[i+1:]...)
			p.insert(p.body(r), l)
			return true
		}},
		{"program cut short", func(r *rand.Rand, p *prog) bool {
			p.lines = p.lines[:p.body(r)]
			return true
		}},
		dropWord("word lost", "XYZIJKFGMSTHPQR", nil),
		dropWord("X or Y lost", "XY", nil),
		dropWord("Z lost", "Z", nil),
		change("wrong tool", "T", nil, func(r *rand.Rand, w word) string { return strconv.Itoa(1 + r.IntN(5)) }),
		change("wrong length offset", "H", nil, func(r *rand.Rand, w word) string { return strconv.Itoa(r.IntN(6)) }),
		dropWord("length offset lost", "GH", func(w word) bool { return w.letter == 'G' && w.number == "43" }),
		{"length offset block lost", dropLine("G43")},
		insertLine("length offset cancelled", "G49"),
		insertLine("wrong work system", "G55", "G56"),
		insertLine("zero moved", "G92 X0", "G92 Y1", "G92 Z0", "G10 L2 P1 X1 Y1"),
		insertLine("zero moved by a parameter", "#5221=1", "#5222=-1", "#5223=-1", "#[5200+23]=-0.5"),
		replace("zero moved before its system", "G54", "#5221=1\nG54", "G54", "#5223=-1\nG54", "G54", "#1=5223\n#[#1]=-0.5\nG54"),
		insertLine("home in between", "G28", "G30", "G28 Z0"),
		insertLine("machine coordinates", "G53 G0 Z0", "G53 G0 X0 Y0"),
		change("feed x 10", "F", nil, scale(10)),
		change("feed / 10", "F", nil, scale(0.1)),
		dropWord("feed lost", "F", nil),
		dropWord("spindle start lost", "M", is("3")),
		replace("spindle reversed", "M3", "M4"),
		replace("spindle stopped instead of started", "M3", "M5"),
		insertLine("spindle stopped in between", "M5"),
		change("speed x 10", "S", nil, scale(10)),
		change("speed / 10", "S", nil, scale(0.1)),
		dropWord("speed lost", "S", nil),
		{"dwell lost", dropLine("G4")},
		change("dwell shorter", "P", nil, scale(0.1)),
		dropWord("spindle stop lost", "M", is("5")),
		dropWord("coolant stop lost", "M", is("9")),
		dropWord("coolant off", "M", is("7", "8")),
		insertLine("coolant off in between", "M9"),
		insertLine("compensation left on", "G41 D1", "G42 D4", "G41", "G42"),
		insertLine("inverse time", "G93"),
		insertLine("comment opened", "(X"),
		insertLine("unknown words", "G0 E1", "G200", "M88", "G1 G0 X1", "X1 X2"),
		replace("tapping cycle exchanged", "G84", "G81", "G84", "G85", "G84", "G74", "G83", "G84"),
		change("feed a tenth higher", "F", nil, scale(1.1)),
		replace("retract mode switched", "G99", "G98", "G98", "G99"),
		change("retract plane lowered", "R", nil, func(*rand.Rand, word) string { return "-0.5" }),
		change("peck / 10", "Q", nil, scale(0.1)),
	}...)
}

// nearlyClosed puts an arc after a cut whose end is a little beside its start.
func nearlyClosed(r *rand.Rand, p *prog) bool {
	var at []int
	for i, l := range p.lines {
		g := (&prog{lines: []string{l}}).words("XYG")
		if len(g) >= 2 && g[len(g)-2].letter == 'X' && g[len(g)-1].letter == 'Y' {
			at = append(at, i)
		}
	}
	i, ok := pick(r, at)
	if !ok {
		return false
	}
	end := (&prog{lines: []string{p.lines[i]}}).words("XY")
	e := [][2]float64{{0, 4e-4}, {0, -4e-4}, {4e-4, 0}, {-4e-4, 0}}[r.IntN(4)]
	u := p.unit()
	p.insert(i+1, fmt.Sprintf("G%d X%.6f Y%.6f I%.4f J0 F%.1f", 2+r.IntN(2), end[0].value()+e[0]*u, end[1].value()+e[1]*u, (1+2*r.Float64())*u, 100*u))
	p.insert(i+2, "G1 X"+end[0].number+" Y"+end[1].number)
	return true
}

func moveAll(letter string, mm float64) func(*rand.Rand, *prog) bool {
	return func(r *rand.Rand, p *prog) bool {
		d := mm * p.unit() * (0.2 + r.Float64())
		list := p.words(letter)
		for i := len(list) - 1; i >= 0; i-- { // from the end, so that places stay right
			p.add(list[i], d)
		}
		return len(list) > 0
	}
}

func dropLine(with string) func(*rand.Rand, *prog) bool {
	return func(r *rand.Rand, p *prog) bool {
		var at []int
		for i, l := range p.lines {
			for _, w := range strings.Fields(l) {
				if w == with {
					at = append(at, i)
				}
			}
		}
		i, ok := pick(r, at)
		if ok {
			p.lines = append(p.lines[:i], p.lines[i+1:]...)
		}
		return ok
	}
}
