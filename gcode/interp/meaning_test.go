package interp

import (
	"bytes"
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode"
	"proofcut/paths/geom"
)

// programOf returns a program of blocks that mostly can be executed one after
// the other, of all parts of the language.
func programOf(t *rapid.T) string {
	num := func() string {
		return string(gcode.AppendNumber(nil, rapid.Float64Range(-40, 40).Draw(t, "number"), rapid.IntRange(0, 4).Draw(t, "decimals")))
	}
	pick := func(s ...string) string { return rapid.SampledFrom(s).Draw(t, "word") }
	some := func(format string) string {
		if rapid.Bool().Draw(t, "some") {
			return fmt.Sprintf(format, num())
		}
		return ""
	}
	var b strings.Builder
	b.WriteString("F300 S1000 M3\n")
	for range rapid.IntRange(1, 25).Draw(t, "blocks") {
		switch rapid.IntRange(0, 15).Draw(t, "block") {
		case 0:
			b.WriteString(pick("G17", "G18", "G19", "G20", "G21", "G90", "G91", "G98", "G99", "G61", "G64"))
		case 1:
			b.WriteString(pick("M3", "M4", "M5", "M7", "M8", "M9", "M48", "M49", "M0", "M1", "T2 M6", "T3", "(MSG, hello)", "G4 P0.25"))
		case 2:
			b.WriteString(pick("G54", "G55", "G59.3", "G43 H3", "G49", "G28", "G92.1", "G92.2", "G92.3", "G80", "G30"))
		case 3:
			fmt.Fprintf(&b, "G92 X%s %s %s", num(), some("Y%s"), some("Z%s"))
		case 4:
			fmt.Fprintf(&b, "G10 L2 P%d X%s %s %s", rapid.IntRange(1, 9).Draw(t, "system"), num(), some("Y%s"), some("A%s"))
		case 5, 6:
			fmt.Fprintf(&b, "%s X%s Y%s R%s Z%s", pick("G2", "G3"), num(), num(), pick("100", "-90", "85.5"), num())
		case 7:
			fmt.Fprintf(&b, "%s X%s Z-60 R-50 %s", pick("G81", "G82 P0.5", "G83 Q3.25", "G85", "G86 P1", "G89 P0"), num(), pick("", "L2"))
		case 8:
			fmt.Fprintf(&b, "%s %s X%s", pick("G41 D1", "G42 D1", "G40"), pick("G0", "G1"), num())
		case 9:
			fmt.Fprintf(&b, "#%d=[%s*%s]", rapid.IntRange(1, 5).Draw(t, "parameter"), num(), num())
		case 10:
			fmt.Fprintf(&b, "G1 X[#%d+%s] Y#2 #1=%s", rapid.IntRange(1, 5).Draw(t, "parameter"), num(), num())
		case 11:
			fmt.Fprintf(&b, "G53 G0 X%s Z%s", num(), num())
		case 12:
			fmt.Fprintf(&b, "G93 G1 X%s F%s", num(), pick("2", "0.5"))
			b.WriteString("\nG94 F200")
		default:
			fmt.Fprintf(&b, "%s X%s %s %s %s", pick("G0", "G1", "G1 F250"), num(), some("Y%s"), some("Z%s"), some("B%s"))
		}
		b.WriteByte('\n')
	}
	b.WriteString("M2\n")
	return b.String()
}

var meaningOptions = Options{Tools: vectorTools, Start: geom.Pt3(0, 0, 5), OptionalStop: true,
	Parameters: map[int]float64{5241: 12, 5242: -7, 5381: 3, 5161: 100, 5163: 50}}

// record runs the program and returns all it does, states included.
func record(src Source) string {
	var b strings.Builder
	f, err := Run(src, meaningOptions, func(e *Event) error {
		c := *e
		c.State, c.Pos = nil, gcode.Pos{}
		fmt.Fprintf(&b, "%+v %+v\n", c, *e.State)
		return nil
	})
	f.Parameters = nil
	fmt.Fprintf(&b, "%+v %v", f, err == nil)
	return b.String()
}

// Formatting a program, and changing the order of the words of its blocks, leaves
// all that it does as it was, to the bit.
func TestFormatAndOrderKeepTheMeaning(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := programOf(t)
		p, err := gcode.Parse("", strings.NewReader(text), gcode.Options{})
		require.NoError(t, err)
		want := record(p.Source())

		var out bytes.Buffer
		require.NoError(t, gcode.Format(&out, p))
		require.Equal(t, want, record(gcode.NewReader(&out, gcode.Options{})), text)

		rng := rand.New(rand.NewSource(rapid.Int64().Draw(t, "order")))
		for i := range p.Blocks {
			w := p.Blocks[i].Words
			rng.Shuffle(len(w), func(i, j int) { w[i], w[j] = w[j], w[i] })
		}
		require.Equal(t, want, record(p.Source()), text)
	})
}

// A program in inches moves as the same one in millimetres.
func TestInchesAndMillimetresAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var mm, inch strings.Builder
		mm.WriteString("G21\nF300\n")
		inch.WriteString("G20\nF[300/25.4]\n")
		for range rapid.IntRange(1, 10).Draw(t, "blocks") {
			x := float64(rapid.IntRange(-30000, 30000).Draw(t, "x")) / 1000
			y := float64(rapid.IntRange(-30000, 30000).Draw(t, "y")) / 1000
			form := rapid.SampledFrom([]string{"G0 X# Y#", "G1 X# Y#", "G2 X# Y# R$", "G3 X# Y# R$", "G91 G1 X# Z#\nG90",
				"G81 X# Y# Z-$ R%", "G92 X#\nG0 Y#", "G10 L2 P1 X#\nG0 Y#", "G83 X# Y# Z-$ R% Q%", "G80"}).Draw(t, "form")
			for _, s := range []struct {
				b    *strings.Builder
				unit float64
			}{{&mm, 1}, {&inch, mmPerInch}} {
				line := strings.Replace(form, "#", fmt.Sprintf("%.12f", x/s.unit), 1)
				line = strings.Replace(line, "#", fmt.Sprintf("%.12f", y/s.unit), 1)
				line = strings.ReplaceAll(line, "$", fmt.Sprintf("%.12f", 90/s.unit))
				line = strings.ReplaceAll(line, "%", fmt.Sprintf("%.12f", 20/s.unit))
				s.b.WriteString(line + "\n")
			}
		}
		a, fa, ea := trace(mm.String()+"M2\n", Options{})
		b, fb, eb := trace(inch.String()+"M2\n", Options{})
		require.Equal(t, ea == nil, eb == nil, "%v %v", ea, eb)
		// Traverses of a cycle are left out where the tool is there already, which
		// the rounding of inches may hide.
		require.Equal(t, cuts(a), cuts(b))
		require.InDelta(t, 0, fa.Position.Dist(fb.Position), 1e-8)
		require.InDelta(t, fa.State.FeedRate, fb.State.FeedRate, 1e-8)
	})
}

// cuts counts the moves at feed rate.
func cuts(trace []string) int {
	n := 0
	for _, s := range trace {
		if s[0] == 'F' || s[0] == 'A' {
			n++
		}
	}
	return n
}
