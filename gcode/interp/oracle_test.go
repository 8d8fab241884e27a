package interp

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"proofcut/gcode"
)

// A slow and simple second machine checks the coordinates. It keeps the place of
// the machine, not of the program, and goes by the one published rule (NISTIR
// 6556, section 3.2.2, from memory): machine = programmed + G92 offset + origin of
// the system, + length offset on Z.
type simpleMachine struct {
	at       [3]float64 // machine coordinates, mm
	origin   [10][3]float64
	g92      [3]float64
	kept     [3]float64 // parameters 5211-5213
	length   float64
	system   int
	scale    float64
	relative bool
}

func (m *simpleMachine) programmed(i int) float64 {
	p := m.at[i] - m.g92[i] - m.origin[m.system][i]
	if i == 2 {
		p -= m.length
	}
	return p
}

func (m *simpleMachine) move(axis int, v float64) {
	p := v * m.scale
	if m.relative {
		p += m.programmed(axis)
	}
	m.at[axis] += p - m.programmed(axis)
}

func TestCoordinatesAgreeWithSimpleMachine(t *testing.T) {
	tools := map[int]Tool{1: {Length: 40.5}, 2: {Length: -3.25}}
	rapid.Check(t, func(t *rapid.T) {
		m := &simpleMachine{system: 1, scale: 1}
		var b strings.Builder
		var want [][3]float64
		number := func() float64 { return float64(rapid.IntRange(-50000, 50000).Draw(t, "number")) / 1000 }
		for range rapid.IntRange(1, 40).Draw(t, "blocks") {
			axis := rapid.IntRange(0, 2).Draw(t, "axis")
			letter := "XYZ"[axis]
			v := number()
			switch rapid.IntRange(0, 11).Draw(t, "block") {
			case 0:
				m.scale = mmPerInch
				b.WriteString("G20\n")
			case 1:
				m.scale = 1
				b.WriteString("G21\n")
			case 2:
				m.relative = !m.relative
				fmt.Fprintf(&b, "G%d\n", map[bool]int{true: 91, false: 90}[m.relative])
			case 3:
				m.system = rapid.IntRange(1, 9).Draw(t, "system")
				b.WriteString([]string{"G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"}[m.system-1] + "\n")
			case 4:
				s := rapid.IntRange(1, 9).Draw(t, "set system")
				m.origin[s][axis] = v * m.scale
				fmt.Fprintf(&b, "G10 L2 P%d %c%v\n", s, letter, v)
			case 5:
				m.g92[axis] += m.programmed(axis) - v*m.scale
				m.kept = m.g92
				fmt.Fprintf(&b, "G92 %c%v\n", letter, v)
			case 6:
				switch rapid.IntRange(1, 3).Draw(t, "variant") {
				case 1:
					m.g92, m.kept = [3]float64{}, [3]float64{}
					b.WriteString("G92.1\n")
				case 2:
					m.g92 = [3]float64{}
					b.WriteString("G92.2\n")
				default:
					m.g92 = m.kept
					b.WriteString("G92.3\n")
				}
			case 7:
				h := rapid.IntRange(0, 2).Draw(t, "H")
				m.length = tools[h].Length
				fmt.Fprintf(&b, "G43 H%d\n", h)
			case 8:
				m.length = 0
				b.WriteString("G49\n")
			case 9:
				if !m.relative {
					m.at[axis] = v * m.scale
					fmt.Fprintf(&b, "G53 G0 %c%v\n", letter, v)
					want = append(want, m.at)
				}
			default:
				m.move(axis, v)
				fmt.Fprintf(&b, "G0 %c%v\n", letter, v)
				want = append(want, m.at)
			}
		}
		b.WriteString("M2\n")
		var got [][3]float64
		_, err := Run(gcode.NewReader(strings.NewReader(b.String()), gcode.Options{}), Options{Tools: tools}, func(e *Event) error {
			if e.Kind == Traverse {
				p, s := xyz(e.To), e.State
				got = append(got, [3]float64{p[0] + s.Origin[0], p[1] + s.Origin[1], p[2] + s.Origin[2] + s.LengthOffset})
			}
			return nil
		})
		require.NoError(t, err, b.String())
		require.Len(t, got, len(want))
		for i := range want {
			for k := range 3 {
				require.InDelta(t, want[i][k], got[i][k], 1e-6, "move %d of\n%s", i, b.String())
			}
		}
	})
}
