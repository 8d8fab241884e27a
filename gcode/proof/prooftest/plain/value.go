package plain

import (
	"math"
	"strconv"
	"strings"
)

// A value is read and worked out in one go (section 3.3.2): all values of a line
// see the parameters as they were before it.

// whole is how near to an integer a value has to be where one is needed.
const whole = 0.0001

// integer returns the integer that v stands for.
func (r *reader) integer(v float64, what string) int {
	n := math.Round(v)
	if math.Abs(v-n) > whole || math.Abs(n) > 1e9 {
		r.fail("%s is no integer: %v", what, v)
	}
	return int(n)
}

// rest is the part of a line that is not read yet, without white space, in
// capitals.
type rest struct {
	*reader
	s string
}

func (t *rest) take(prefix string) bool {
	if strings.HasPrefix(t.s, prefix) {
		t.s = t.s[len(prefix):]
		return true
	}
	return false
}

func (t *rest) need(mark string) {
	if !t.take(mark) {
		t.fail("%q is missing before %q", mark, t.s)
	}
}

// value reads a real value: a number, a parameter, an expression in brackets or a
// function.
func (t *rest) value() float64 {
	v := t.anyValue()
	if math.IsNaN(v) || math.IsInf(v, 0) {
		t.open("a value that is no number")
	}
	return v
}

func (t *rest) anyValue() float64 {
	switch {
	case t.take("#"):
		return t.parameter(t.index())
	case t.s != "" && t.s[0] == '[':
		return t.brackets()
	case t.s != "" && strings.IndexByte("+-.0123456789", t.s[0]) >= 0:
		return t.number()
	}
	return t.function()
}

func (t *rest) index() int {
	n := t.integer(t.value(), "number of a parameter")
	if n < 1 || n > 5399 {
		t.fail("there is no parameter %d", n)
	}
	return n
}

func (t *rest) number() float64 {
	n, digits, point := 0, 0, false
	if t.s[0] == '+' || t.s[0] == '-' {
		n++
	}
	for ; n < len(t.s); n++ {
		switch c := t.s[n]; {
		case c >= '0' && c <= '9':
			digits++
			continue
		case c == '.' && !point:
			point = true
			continue
		}
		break
	}
	if digits == 0 {
		t.fail("a number without digits")
	}
	v, err := strconv.ParseFloat(t.s[:n], 64)
	if err != nil {
		t.open("number %s", t.s[:n])
	}
	t.s = t.s[n:]
	return v
}

// brackets reads [a op b op c]: three levels of operators, all from left to right.
func (t *rest) brackets() float64 {
	t.need("[")
	v := t.sums()
	t.need("]")
	return v
}

func (t *rest) sums() float64 {
	v := t.products()
	for {
		switch {
		case t.take("+"):
			v += t.products()
		case t.take("-"):
			v -= t.products()
		case t.take("OR"):
			w := t.products()
			v = truth(v != 0 || w != 0)
		case t.take("XOR"):
			w := t.products()
			v = truth((v != 0) != (w != 0))
		case t.take("AND"):
			w := t.products()
			v = truth(v != 0 && w != 0)
		default:
			return v
		}
	}
}

func truth(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func (t *rest) products() float64 {
	v := t.powers()
	for {
		switch {
		case t.s != "" && t.s[0] == '*' && !strings.HasPrefix(t.s, "**"):
			t.need("*")
			v *= t.powers()
		case t.take("/"):
			w := t.powers()
			if w == 0 {
				t.fail("division by zero")
			}
			v /= w
		case t.take("MOD"):
			w := t.powers()
			if w == 0 {
				t.open("MOD 0")
			}
			if v = math.Mod(v, w); v < 0 {
				v += math.Abs(w)
			}
		default:
			return v
		}
	}
}

func (t *rest) powers() float64 {
	v := t.value()
	for t.take("**") {
		w := t.value()
		if v < 0 && w != math.Trunc(w) {
			if math.Abs(w-math.Round(w)) <= whole {
				t.open("a negative base with a power that is nearly an integer")
			}
			t.fail("a negative base with the power %v", w)
		}
		v = math.Pow(v, w)
	}
	return v
}

const degree = math.Pi / 180

func (t *rest) function() float64 {
	if t.take("ATAN") {
		a := t.brackets()
		t.need("/")
		b := t.brackets()
		if a == 0 && b == 0 {
			t.open("ATAN[0]/[0]")
		}
		return math.Atan2(a, b) / degree
	}
	for _, name := range []string{"ABS", "ACOS", "ASIN", "COS", "EXP", "FIX", "FUP", "LN", "ROUND", "SIN", "SQRT", "TAN"} {
		if t.take(name) {
			return t.apply(name, t.brackets())
		}
	}
	t.fail("no value at %q", t.s)
	return 0
}

func (t *rest) apply(name string, v float64) float64 {
	switch name {
	case "ABS":
		return math.Abs(v)
	case "ACOS", "ASIN":
		if v < -1 || v > 1 {
			t.fail("%s of %v", name, v)
		}
		if name == "ACOS" {
			return math.Acos(v) / degree
		}
		return math.Asin(v) / degree
	case "COS":
		return math.Cos(v * degree)
	case "EXP":
		return math.Exp(v)
	case "FIX":
		return math.Floor(v)
	case "FUP":
		return math.Ceil(v)
	case "LN":
		if v <= 0 {
			t.fail("LN of %v", v)
		}
		return math.Log(v)
	case "ROUND":
		return math.Round(v) // halves away from zero
	case "SIN":
		return math.Sin(v * degree)
	case "SQRT":
		if v < 0 {
			t.fail("SQRT of %v", v)
		}
		return math.Sqrt(v)
	}
	return math.Tan(v * degree)
}

// positions reports whether a parameter holds a length, whose unit is open while
// inches are in force.
func positions(n int) bool { return n >= 5061 && n <= 5066 || n >= 5161 && n <= 5386 && n != 5220 }

func (r *reader) parameter(n int) float64 {
	if r.inch && positions(n) && r.par[n] != 0 {
		r.open("unit of parameter %d", n)
	}
	if r.unclear[n] {
		r.open("parameter %d while it is not known what is in force", n)
	}
	return r.par[n]
}
