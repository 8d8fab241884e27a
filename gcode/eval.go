package gcode

import (
	"fmt"
	"math"
)

// IntegerTolerance is how far a value may lie from an integer where an integer
// is called for (NISTIR 6556, section 3.3.2.1, from memory).
const IntegerTolerance = 0.0001

// The range of parameter numbers (NISTIR 6556, appendix E).
const (
	FirstParameter = 1
	LastParameter  = 5399
)

// maxInteger bounds Integer: beyond it a float64 no longer tells integers apart.
const maxInteger = 1 << 53

// Integer returns the integer that v stands for, and whether v is within
// IntegerTolerance of one.
func Integer(v float64) (int, bool) {
	n := math.Round(v)
	if math.Abs(v-n) > IntegerTolerance || !(math.Abs(n) <= maxInteger) {
		return 0, false
	}
	return int(n), true
}

// Eval returns the value, looking up parameters with param. Trigonometry is in
// degrees. The error tells the position of the operation that failed: a
// division by zero, an argument out of range, a parameter number that is not an
// integer in FirstParameter..LastParameter, a result too large for a number.
func (v Value) Eval(param func(index int) float64) (float64, error) {
	if v.Expr == nil {
		return v.Num, nil
	}
	x, err := v.Expr.eval(param)
	if err != nil {
		return 0, err
	}
	return x, nil
}

func (e *Expr) fail(format string, args ...any) *Error {
	return &Error{Pos: e.Pos, Msg: fmt.Sprintf(format, args...)}
}

func (e *Expr) eval(param func(int) float64) (float64, *Error) {
	if e.Op == OpNumber {
		return e.Num, nil
	}
	if e.X == nil {
		return 0, e.fail("%s has no operand: write [ ] with a value behind it", e.Op)
	}
	x, err := e.X.eval(param)
	if err != nil {
		return 0, err
	}
	var y float64
	if e.Op.level() > 0 || e.Op == OpAtan {
		if e.Y == nil {
			return 0, e.fail("%s has no second operand: write / and a second [ ]", e.Op)
		}
		if y, err = e.Y.eval(param); err != nil {
			return 0, err
		}
	}
	var r float64
	switch e.Op {
	case OpParameter:
		n, ok := Integer(x)
		if !ok || n < FirstParameter || n > LastParameter {
			return 0, e.fail("parameter number %v is not an integer from %d to %d: correct the number after #",
				x, FirstParameter, LastParameter)
		}
		r = param(n)
	case OpAtan:
		r = degrees(math.Atan2(x, y))
	case OpPower, OpTimes, OpDivide, OpMod, OpPlus, OpMinus, OpOr, OpXor, OpAnd:
		r, err = e.binary(x, y)
	default:
		r, err = e.unary(x)
	}
	if err != nil {
		return 0, err
	}
	if math.IsNaN(r) || math.IsInf(r, 0) {
		return 0, e.fail("the result of %s is too large to be a number: correct its operand", e.Op)
	}
	return r + 0, nil // + 0 turns a negative zero into zero
}

func (e *Expr) binary(x, y float64) (float64, *Error) {
	switch e.Op {
	case OpPower:
		if x < 0 && math.Trunc(y) != y {
			return 0, e.fail("%v ** %v: a negative number has no fractional power", x, y)
		}
		return math.Pow(x, y), nil
	case OpTimes:
		return x * y, nil
	case OpDivide:
		if y == 0 {
			return 0, e.fail("division by zero: correct the divisor")
		}
		return x / y, nil
	case OpMod:
		if y == 0 {
			return 0, e.fail("MOD by zero: correct the divisor")
		}
		r := math.Mod(x, y)
		if r < 0 {
			r += math.Abs(y)
		}
		return r, nil
	case OpPlus:
		return x + y, nil
	case OpMinus:
		return x - y, nil
	case OpOr:
		return truth(x != 0 || y != 0), nil
	case OpXor:
		return truth((x != 0) != (y != 0)), nil
	default:
		return truth(x != 0 && y != 0), nil
	}
}

func (e *Expr) unary(x float64) (float64, *Error) {
	switch e.Op {
	case OpAbs:
		return math.Abs(x), nil
	case OpAcos, OpAsin:
		if x < -1 || x > 1 {
			return 0, e.fail("%s[%v]: the argument must lie from -1 to 1", e.Op, x)
		}
		if e.Op == OpAcos {
			return degrees(math.Acos(x)), nil
		}
		return degrees(math.Asin(x)), nil
	case OpCos:
		return math.Cos(radians(x)), nil
	case OpExp:
		return math.Exp(x), nil
	case OpFix:
		return math.Floor(x), nil
	case OpFup:
		return math.Ceil(x), nil
	case OpLn:
		if x <= 0 {
			return 0, e.fail("LN[%v]: the argument must be above zero", x)
		}
		return math.Log(x), nil
	case OpRound:
		return math.Round(x), nil
	case OpSin:
		return math.Sin(radians(x)), nil
	case OpSqrt:
		if x < 0 {
			return 0, e.fail("SQRT[%v]: the argument must not be negative", x)
		}
		return math.Sqrt(x), nil
	case OpTan:
		return math.Tan(radians(x)), nil
	}
	return 0, e.fail("unknown operation")
}

func truth(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func degrees(a float64) float64 { return a * 180 / math.Pi }
func radians(a float64) float64 { return a * math.Pi / 180 }
