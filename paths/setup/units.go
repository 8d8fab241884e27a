package setup

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Unit is a unit of length for program text and for bare numbers in a job.
type Unit uint8

// The units of length.
const (
	MM Unit = iota
	Inch
)

// MMPerInch is exact (international yard and pound agreement, 1959).
const MMPerInch = 25.4

// MM returns how many millimetres one unit is.
func (u Unit) MM() float64 {
	if u == Inch {
		return MMPerInch
	}
	return 1
}

func (u Unit) String() string {
	if u == Inch {
		return "inch"
	}
	return "mm"
}

// Resolution returns what one digit in the last place of a program word is
// worth in millimetres: 0.001 mm, or 0.0001 in.
func (u Unit) Resolution() float64 {
	if u == Inch {
		return 0.0001 * MMPerInch
	}
	return 0.001
}

// Decimals returns how many decimals a coordinate has in a program.
func (u Unit) Decimals() int {
	if u == Inch {
		return 4
	}
	return 3
}

// ParseUnit reads "mm" or "inch" ("in" is the same).
func ParseUnit(s string) (Unit, error) {
	switch strings.TrimSpace(s) {
	case "mm":
		return MM, nil
	case "inch", "in":
		return Inch, nil
	}
	return MM, fmt.Errorf("unit %q is not known: write mm or inch", s)
}

// maxLength bounds every length that comes from outside: ten metres is far
// beyond any machine that this is for and far below where float64 loses a
// nanometre.
const maxLength = 1e4

// suffix is a unit that may end a quantity and what it is worth in the base unit.
type suffix struct {
	name  string
	worth float64
}

var lengthSuffixes = []suffix{
	{"mm", 1}, {"um", 0.001}, {"thou", MMPerInch / 1000}, {"in", MMPerInch},
}

// ParseLength reads a length such as "3mm", "1/16in", "1 1/2in", "5thou",
// "40um", or a bare number in the unit bare. It returns millimetres.
func ParseLength(s string, bare Unit) (float64, error) {
	v, err := parseQuantity(s, "length", "mm, um, in or thou", bare.MM(), lengthSuffixes)
	if err != nil {
		return 0, err
	}
	if math.Abs(v) > maxLength {
		return 0, fmt.Errorf("length %q is beyond %g m: check its unit", s, maxLength/1000)
	}
	return v, nil
}

// ParseFeed reads a feed such as "300mm/min", "12in/min", or a bare number in
// bare units a minute. It returns mm/min.
func ParseFeed(s string, bare Unit) (float64, error) {
	return parseQuantity(s, "feed", "mm/min or in/min", bare.MM(),
		[]suffix{{"mm/min", 1}, {"in/min", MMPerInch}})
}

// ParseSpeed reads a spindle speed such as "18000rpm", "18000/min" or a bare
// number. It returns turns a minute.
func ParseSpeed(s string) (float64, error) {
	return parseQuantity(s, "spindle speed", "rpm or /min", 1,
		[]suffix{{"rpm", 1}, {"/min", 1}})
}

// ParseAngle reads an angle such as "60deg", "0.5rad" or a bare number of
// degrees. It returns radians.
func ParseAngle(s string) (float64, error) {
	return parseQuantity(s, "angle", "deg or rad", math.Pi/180,
		[]suffix{{"deg", math.Pi / 180}, {"rad", 1}})
}

// ParseTime reads a time such as "2s", "500ms" or a bare number of seconds.
func ParseTime(s string) (float64, error) {
	return parseQuantity(s, "time", "s, ms or min", 1,
		[]suffix{{"ms", 0.001}, {"min", 60}, {"s", 1}})
}

// parseQuantity reads a number with a unit from the list; what says what is
// read, units what may follow, in words for the error text.
func parseQuantity(s, what, units string, bare float64, list []suffix) (float64, error) {
	text := strings.TrimSpace(s)
	if text == "" {
		return 0, fmt.Errorf("the %s is empty: write a number with a unit (%s)", what, units)
	}
	worth := bare
	number := text
	for _, u := range list {
		if rest, ok := strings.CutSuffix(text, u.name); ok {
			worth, number = u.worth, strings.TrimSpace(rest)
			break
		}
	}
	v, err := parseNumber(number)
	if err != nil {
		unit := strings.TrimLeft(number, "+-.0123456789/ ")
		if unit != "" && unit != number {
			return 0, fmt.Errorf("%s %q has the unit %q: use %s", what, s, unit, units)
		}
		return 0, fmt.Errorf("%s %q: %w", what, s, err)
	}
	return v * worth, nil
}

// parseNumber reads a decimal, a fraction "1/16" or a mixed number "1 1/2".
// Exponents, infinities and NaN are not numbers here.
func parseNumber(s string) (float64, error) {
	for _, r := range s {
		if !strings.ContainsRune("+-.0123456789/ ", r) {
			return 0, fmt.Errorf("%q is not a number", s)
		}
	}
	whole, frac, mixed := strings.Cut(s, " ")
	if mixed {
		w, err := strconv.ParseUint(strings.TrimLeft(whole, "+-"), 10, 32)
		if err != nil || !strings.Contains(frac, "/") {
			return 0, fmt.Errorf("%q is not a number", s)
		}
		f, err := parseNumber(strings.TrimSpace(frac))
		if err != nil || f < 0 {
			return 0, fmt.Errorf("%q is not a number", s)
		}
		v := float64(w) + f
		if strings.HasPrefix(whole, "-") {
			v = -v
		}
		return v, nil
	}
	if num, den, ok := strings.Cut(s, "/"); ok {
		a, err1 := strconv.ParseFloat(num, 64)
		b, err2 := strconv.ParseFloat(den, 64)
		if err1 != nil || err2 != nil || b <= 0 {
			return 0, fmt.Errorf("%q is not a fraction", s)
		}
		return a / b, nil
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a number", s)
	}
	return v, nil
}

// ParseAcceleration reads "250mm/s2" or a bare number of mm/s2.
func ParseAcceleration(s string) (float64, error) {
	return parseQuantity(s, "acceleration", "mm/s2 or in/s2", 1,
		[]suffix{{"mm/s2", 1}, {"in/s2", MMPerInch}})
}
