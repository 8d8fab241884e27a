package gcode

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// evalX returns the value of the X word of the line, with #n = values[n].
func evalX(t *testing.T, text string, values map[int]float64) (float64, error) {
	t.Helper()
	b, err := NewReader(strings.NewReader(text), Options{}).Next()
	require.NoError(t, err)
	return b.Word('X').Value.Eval(func(n int) float64 { return values[n] })
}

// NISTIR 6556, section 3.3.2 (from memory), and the expression test program of
// the report's software (section not confirmed, values checked by calculation).
func TestExpressions(t *testing.T) {
	values := map[int]float64{1: 3, 2: 1, 3: 2}
	for _, c := range []struct {
		text string
		want float64
	}{
		{"[2.0 / 3 * 1.5 - 5.5 / 11.0]", 0.5},
		{"[1+acos[0]-[#3**[4.0/2]]]", 87},
		{"ATAN[2]/[1+3]", 26.565051},
		{"FIX[2.8]", 2}, {"FIX[-2.8]", -3}, {"FUP[2.8]", 3}, {"FUP[-2.8]", -2},
		{"[#1+2]", 5}, {"#[1+2]", 2}, {"##2", 3},
		{"[1+2]", 3}, {"[1-2]", -1}, {"[1--3]", 4}, {"[2/5]", 0.4}, {"[3.0*5]", 15},
		{"[0 OR 0]", 0}, {"[0 OR 1]", 1}, {"[2 or 2]", 1}, {"[0 AND 1]", 0}, {"[2 and 2]", 1},
		{"[0 XOR 1]", 1}, {"[2 xor 2]", 0}, {"[2 ** 3.0]", 8}, {"[15 MOD 4.0]", 3},
		{"[1+2*3-4/5]", 6.2}, {"sin[30]", 0.5}, {"cos[0.0]", 1}, {"tan[60.0]", 1.7321},
		{"sqrt[3]", 1.7321}, {"atan[1.7321]/[1.0]", 60.0007}, {"asin[1.0]", 90},
		{"acos[0.707107]", 44.99998}, {"abs[-1.23]", 1.23}, {"round[-0.499]", 0},
		{"round[-0.5001]", -1}, {"round[2.444]", 2}, {"round[9.975]", 10}, {"round[-0.5]", -1},
		{"fix[-0.499]", -1}, {"fix[2.444]", 2}, {"fix[9.975]", 9},
		{"fup[-0.499]", 0}, {"fup[2.444]", 3}, {"fup[9.975]", 10},
		{"exp[2.3026]", 10.00015}, {"ln[10.0]", 2.302585}, {"[2**3**2]", 64},
		{"[-7 MOD 4]", 1}, {"[7 MOD -4]", 3}, {"[-2**2]", 4}, {"[2+3*4**2]", 50},
		{"[1 OR 0 AND 0]", 0}, {"atan[0]/[-1]", 180}, {"atan[-1]/[0]", -90}, {"atan[0]/[-0]", 0},
		{"atan[0]/[0*-1]", 0},
	} {
		got, err := evalX(t, "X"+c.text, values)
		require.NoError(t, err, c.text)
		// The published values have five significant digits.
		assert.InDelta(t, c.want, got, 5e-5, c.text)
	}
}

func TestExpressionErrors(t *testing.T) {
	for _, c := range []struct {
		text string
		col  int
		msg  string
	}{
		{"X[1/0]", 4, "division by zero"},
		{"X[1 MOD 0]", 5, "MOD by zero"},
		{"X[1+[-2]**0.5]", 9, "no fractional power"},
		{"X asin[1.1]", 3, "from -1 to 1"}, {"X acos[-1.1]", 3, "from -1 to 1"},
		{"X sqrt[-1]", 3, "not be negative"}, {"X ln[0]", 3, "above zero"}, {"X ln[-1]", 3, "above zero"},
		{"X#0", 2, "1 to 5399"}, {"X#5400", 2, "1 to 5399"}, {"X#-1", 2, "1 to 5399"}, {"X#1.5", 2, "1 to 5399"},
		{"X[10**400]", 5, "too large"}, {"X exp[1000]", 3, "too large"}, {"X[0**-1]", 4, "too large"},
	} {
		_, err := evalX(t, c.text, nil)
		var e *Error
		require.ErrorAs(t, err, &e, c.text)
		assert.Equal(t, c.col, e.Pos.Col, c.text)
		assert.Contains(t, e.Msg, c.msg, c.text)
	}
	_, err := Value{Expr: &Expr{Op: OpAbs}}.Eval(nil)
	assert.ErrorContains(t, err, "no operand")
	_, err = Value{Expr: &Expr{Op: OpPlus, X: &Expr{}}}.Eval(nil)
	assert.ErrorContains(t, err, "no second operand")
	_, err = Value{Expr: &Expr{Op: 99, X: &Expr{}}}.Eval(nil)
	assert.ErrorContains(t, err, "unknown operation")
	assert.Equal(t, "unknown operation", Op(99).String())
}

// NISTIR 6556, section 3.3.2.1 (from memory): within 0.0001 of an integer.
func TestInteger(t *testing.T) {
	for _, c := range []struct {
		v    float64
		n    int
		want bool
	}{{3, 3, true}, {3.00009, 3, true}, {2.99991, 3, true}, {3.0002, 0, false}, {-1, -1, true}, {1e300, 0, false}} {
		n, ok := Integer(c.v)
		assert.Equal(t, c.want, ok, "%v", c.v)
		assert.Equal(t, c.n, n)
	}
}
