package fits

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Class is a tolerance class: a fundamental deviation and a grade, such as H7 of
// a hole or p6 of a shaft.
type Class struct {
	Letter string // lower case
	Hole   bool
	Grade  int
}

func (c Class) String() string {
	if c.Hole {
		return strings.ToUpper(c.Letter) + strconv.Itoa(c.Grade)
	}
	return c.Letter + strconv.Itoa(c.Grade)
}

// The grades that the tables have for a class.
const (
	minGrade = 5
	maxGrade = 11
)

// letters are the fundamental deviations that the tables have, "js" besides.
const letters = "defghkmnprs"

// ParseClass reads a tolerance class: capitals name a hole, small letters a shaft.
func ParseClass(s string) (Class, error) {
	t := strings.TrimSpace(s)
	i := strings.IndexAny(t, "0123456789")
	if i <= 0 || len(t) > 8 {
		return Class{}, fmt.Errorf("%q is not a tolerance class such as H7 or p6", s)
	}
	letter, digits := t[:i], t[i:]
	grade, err := strconv.Atoi(digits)
	if err != nil {
		return Class{}, fmt.Errorf("%q is not a tolerance class such as H7 or p6", s)
	}
	c := Class{Letter: strings.ToLower(letter), Grade: grade}
	switch letter {
	case c.Letter:
	case strings.ToUpper(letter):
		c.Hole = true
	default:
		return Class{}, fmt.Errorf("%q mixes capitals (a hole) and small letters (a shaft)", s)
	}
	if c.Letter != "js" && (len(c.Letter) != 1 || !strings.Contains(letters, c.Letter)) {
		return Class{}, fmt.Errorf("no figures for the deviation %q: the tables have %s and js", letter, strings.Join(strings.Split(letters, ""), " "))
	}
	if grade < minGrade || grade > maxGrade {
		return Class{}, fmt.Errorf("no figures for grade %d: the tables have %d to %d", grade, minGrade, maxGrade)
	}
	return c, nil
}

// Limits are the two permitted limits of a size, mm.
type Limits struct {
	Nominal  float64
	Class    Class
	Min, Max float64

	// Confirmed says that the figures were read in a source; otherwise they are
	// from memory, held against the standard's formulas.
	Confirmed bool
}

// Width returns the tolerance, mm.
func (l Limits) Width() float64 { return l.Max - l.Min }

// Middle returns the size in the middle of the tolerance, mm.
func (l Limits) Middle() float64 { return l.Min + (l.Max-l.Min)/2 }

// confirmedLetters are the deviations read in a source, to 50 mm.
const confirmedLetters = "ghknps"

// Limits returns the limits of a nominal size, mm. The error says which figure the
// tables lack.
func (c Class) Limits(nominal float64) (Limits, error) {
	if !(nominal > 0 && nominal <= MaxSize) {
		return Limits{}, fmt.Errorf("nominal size %g mm: the tables reach from above 0 to %d mm", nominal, MaxSize)
	}
	lo, hi, err := c.deviations(nominal)
	if err != nil {
		return Limits{}, err
	}
	l := Limits{Nominal: nominal, Class: c, Min: nominal + lo/1000, Max: nominal + hi/1000}
	l.Confirmed = nominal <= confirmedTo && (c.Letter == "js" || strings.Contains(confirmedLetters, c.Letter))
	if c.Hole && c.Letter != "h" && c.Letter != "js" {
		l.Confirmed = false // the rule from shafts to holes is from memory
	}
	return l, nil
}

// deviations returns the lower and upper deviation in um.
func (c Class) deviations(size float64) (lo, hi float64, err error) {
	it, ok := tolerance(size, c.Grade)
	if !ok {
		return 0, 0, fmt.Errorf("no figures for grade %d", c.Grade)
	}
	if c.Letter == "js" {
		return -it / 2, it / 2, nil
	}
	near, ok := deviations.of(size).um[c.Letter]
	if !ok {
		return 0, 0, fmt.Errorf("no figures for the deviation %q", c.Letter)
	}
	if c.Letter == "k" && c.Grade > 7 {
		near = 0 // ISO 286-1: k has its deviation in grades 4 to 7 only
	}
	if !c.Hole {
		if near < 0 || c.Letter == "h" {
			return near - it, near, nil
		}
		return near, near + it, nil
	}
	if c.Letter <= "h" {
		return -near, -near + it, nil
	}
	return c.tightHole(size, near, it)
}

// tightHole returns the deviations of the holes K to S: the mirror of the shaft's
// deviation, moved by the difference to the next finer grade where the standard
// has it so that H7/p6 and P7/h6 give the same fit (special rule of ISO 286-1,
// from memory).
func (c Class) tightHole(size, near, it float64) (lo, hi float64, err error) {
	special := size > 3 && (strings.Contains("kmn", c.Letter) && c.Grade <= 8 || strings.Contains("prs", c.Letter) && c.Grade <= 7)
	upper := -near
	switch {
	case special:
		// The shaft's own deviation of k holds in grades 4 to 7 and is the one meant.
		near = deviations.of(size).um[c.Letter]
		finer, ok := tolerance(size, c.Grade-1)
		if !ok {
			return 0, 0, fmt.Errorf("no figures for grade %d", c.Grade-1)
		}
		upper = -near + (it - finer)
	case strings.Contains("kmn", c.Letter) && c.Grade > 8:
		if c.Letter != "n" || size <= 3 {
			return 0, 0, fmt.Errorf("no figures for %v at %g mm", c, size)
		}
		upper = 0 // N above grade 8 ends at the zero line
	}
	return upper - it, math.Round(upper*1000) / 1000, nil
}
