package interp

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"proofcut/gcode"
)

// table reads the lines behind the header of a parameter or tool file: the
// header ends at the first blank line (NISTIR 6556, section 3.2, from memory).
// Each must have the columns; what follows them is a comment.
func table(name string, r io.Reader, columns int, row func(fields []string) *gcode.Error) error {
	const maxLine = 4096
	in := bufio.NewScanner(r)
	in.Buffer(nil, maxLine)
	line := 0
	fault := func(format string, args ...any) error {
		return &gcode.Error{File: name, Pos: gcode.Pos{Line: max(line, 1), Col: 1}, Msg: fmt.Sprintf(format, args...)}
	}
	header := true
	for in.Scan() {
		line++
		fields := strings.Fields(in.Text())
		if header {
			header = len(fields) > 0
			continue
		}
		if len(fields) == 0 {
			continue
		}
		if len(fields) < columns {
			return fault("%d columns are needed, here are %d", columns, len(fields))
		}
		if err := row(fields); err != nil {
			err.File, err.Pos = name, gcode.Pos{Line: line, Col: 1}
			return err
		}
	}
	if err := in.Err(); err == bufio.ErrTooLong {
		line++
		return fault("the line is longer than %d characters", maxLine)
	} else if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if header {
		return fault("there is no blank line: the header must end with one")
	}
	return nil
}

func column(s, what string) (float64, *gcode.Error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, &gcode.Error{Msg: fmt.Sprintf("%q is no number: here stands the %s", s, what)}
	}
	return v, nil
}

func index(s, what string) (int, *gcode.Error) {
	n, err := strconv.Atoi(s)
	if err != nil {
		return 0, &gcode.Error{Msg: fmt.Sprintf("%q is no integer: here stands the %s", s, what)}
	}
	return n, nil
}

// requiredParameters are those that a parameter file must have.
func requiredParameters() []int {
	var n []int
	for _, first := range []int{parameterG28, parameterG30, parameterG92} {
		for i := range 6 {
			n = append(n, first+i)
		}
	}
	n = append(n, parameterSystem)
	for s := 1; s <= 9; s++ {
		for i := range 6 {
			n = append(n, systemParameter(s)+i)
		}
	}
	return n
}

// ReadParameters reads a parameter file, called name in errors: a header up to a
// blank line, then a number and a value a line, the numbers ascending. Lengths
// are millimetres. A number out of order, or one of the origins, homes and
// offsets missing, is an error.
func ReadParameters(name string, r io.Reader) (map[int]float64, error) {
	values := map[int]float64{}
	last := 0
	err := table(name, r, 2, func(f []string) *gcode.Error {
		n, err := index(f[0], "number of the parameter")
		if err != nil {
			return err
		}
		if n < gcode.FirstParameter || n > gcode.LastParameter {
			return &gcode.Error{Msg: fmt.Sprintf("parameter number %d does not lie from %d to %d", n, gcode.FirstParameter, gcode.LastParameter)}
		}
		if n <= last {
			return &gcode.Error{Msg: fmt.Sprintf("parameter %d stands after %d: the numbers must ascend", n, last)}
		}
		last = n
		values[n], err = column(f[1], "value of the parameter")
		return err
	})
	if err != nil {
		return nil, err
	}
	for _, n := range requiredParameters() {
		if _, ok := values[n]; !ok {
			return nil, &gcode.Error{File: name, Msg: fmt.Sprintf("parameter %d is missing: the file must hold all homes, offsets and origins", n)}
		}
	}
	return values, nil
}

// WriteParameters writes the values as ReadParameters reads them, those that a
// file must have included.
func WriteParameters(w io.Writer, values map[int]float64) error {
	all := map[int]float64{}
	for _, n := range requiredParameters() {
		all[n] = 0
	}
	all[parameterSystem] = 1
	for n, v := range values {
		all[n] = v
	}
	numbers := make([]int, 0, len(all))
	for n := range all {
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	out := bufio.NewWriter(w)
	fmt.Fprintf(out, "Parameter Value (mm, degrees)\n\n")
	for _, n := range numbers {
		fmt.Fprintf(out, "%d %s\n", n, strconv.FormatFloat(all[n], 'f', -1, 64))
	}
	return out.Flush()
}

// ReadTools reads a tool file, called name in errors: a header up to a blank
// line, then slot, tool number, length offset and diameter a line, and a comment
// if wanted. Lengths are millimetres; the order is free. A slot that stands twice
// is an error.
func ReadTools(name string, r io.Reader) (map[int]Tool, error) {
	tools := map[int]Tool{}
	err := table(name, r, 4, func(f []string) *gcode.Error {
		slot, err := index(f[0], "slot")
		if err != nil {
			return err
		}
		if slot < 0 {
			return &gcode.Error{Msg: fmt.Sprintf("slot %d is negative", slot)}
		}
		if _, twice := tools[slot]; twice {
			return &gcode.Error{Msg: fmt.Sprintf("slot %d stands twice", slot)}
		}
		if _, err = index(f[1], "number of the tool"); err != nil {
			return err
		}
		var t Tool
		if t.Length, err = column(f[2], "length offset"); err != nil {
			return err
		}
		if t.Diameter, err = column(f[3], "diameter"); err != nil {
			return err
		}
		tools[slot] = t
		return nil
	})
	if err != nil {
		return nil, err
	}
	return tools, nil
}
