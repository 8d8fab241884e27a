package slab

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"proofcut/paths/geom"
	"proofcut/paths/setup"
)

// Limits on tables of points: far beyond what is measured by hand or probed in a
// day.
const (
	maxTableBytes  = 4 << 20
	maxTablePoints = 20_000
)

// TableError says what is wrong with a table, and where.
type TableError struct {
	Line, Col int // from 1; 0 when the whole table is meant
	Msg       string
}

// Error returns "line 3, column 5: ...", or the message alone.
func (e *TableError) Error() string {
	if e.Line == 0 {
		return e.Msg
	}
	return fmt.Sprintf("line %d, column %d: %s", e.Line, e.Col, e.Msg)
}

// ReadPoints reads a table of points measured round an edge: CSV (RFC 4180) whose
// first row names the columns, among them x and y, in the unit given. Lines that
// begin with # are left out, and columns with other names. The points are in mm.
//
// Errors are a *TableError: no UTF-8 text, over 4 MiB or 20 000 rows, no column x
// or y, one that stands twice, a row that is too short or too long, a cell that is
// not a plain decimal number, a coordinate beyond 10 m, no row.
func ReadPoints(r io.Reader, unit setup.Unit) ([]geom.Point, error) {
	rows, err := readColumns(r, unit, "x", "y")
	if err != nil {
		return nil, err
	}
	out := make([]geom.Point, len(rows))
	for i, v := range rows {
		out[i] = geom.Pt(v[0], v[1])
	}
	return out, nil
}

// ReadProbe reads a table of probed points: like ReadPoints, with the columns x, y
// and z.
func ReadProbe(r io.Reader, unit setup.Unit) ([]geom.Point3, error) {
	rows, err := readColumns(r, unit, "x", "y", "z")
	if err != nil {
		return nil, err
	}
	out := make([]geom.Point3, len(rows))
	for i, v := range rows {
		out[i] = geom.Pt3(v[0], v[1], v[2])
	}
	return out, nil
}

// readColumns returns the numbers of the columns, in mm, a row each.
func readColumns(r io.Reader, unit setup.Unit, names ...string) ([][]float64, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxTableBytes+1))
	if err != nil {
		return nil, err
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")) // byte order mark
	switch {
	case len(data) > maxTableBytes:
		return nil, &TableError{Msg: fmt.Sprintf("the table has more than %d bytes", maxTableBytes)}
	case !utf8.Valid(data):
		return nil, &TableError{Msg: "the table is not UTF-8 text: save it as CSV, UTF-8"}
	}
	c := csv.NewReader(bytes.NewReader(data))
	c.Comment = '#'
	c.TrimLeadingSpace = true
	var places []int
	var out [][]float64
	for {
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var e *csv.ParseError
			if errors.As(err, &e) {
				return nil, &TableError{e.Line, e.Column, e.Err.Error()}
			}
			return nil, err
		}
		if places == nil {
			if places, err = findColumns(row, names); err != nil {
				return nil, err
			}
			continue
		}
		if len(out) == maxTablePoints {
			line, col := c.FieldPos(0)
			return nil, &TableError{line, col, fmt.Sprintf("more than %d rows", maxTablePoints)}
		}
		v := make([]float64, len(names))
		for i, p := range places {
			if v[i], err = decimal(strings.TrimSpace(row[p])); err == nil {
				if v[i] *= unit.MM(); math.Abs(v[i]) > maxExtent {
					err = fmt.Errorf("%q is beyond %g m: check the unit", row[p], maxExtent/1000)
				}
			}
			if err != nil {
				line, col := c.FieldPos(p)
				return nil, &TableError{line, col, names[i] + ": " + err.Error()}
			}
		}
		out = append(out, v)
	}
	if len(out) == 0 {
		return nil, &TableError{Msg: "the table has no row of numbers under the names of its columns"}
	}
	return out, nil
}

// findColumns returns where the columns stand.
func findColumns(header, names []string) ([]int, error) {
	places := make([]int, len(names))
	for i, name := range names {
		is := func(h string) bool { return strings.EqualFold(strings.TrimSpace(h), name) }
		places[i] = slices.IndexFunc(header, is)
		if places[i] < 0 {
			return nil, &TableError{Msg: fmt.Sprintf("there is no column %s: the first row names the columns (%s)", name, strings.Join(names, ","))}
		}
		if slices.IndexFunc(header[places[i]+1:], is) >= 0 {
			return nil, &TableError{Msg: fmt.Sprintf("the column %s stands twice", name)}
		}
	}
	return places, nil
}

// decimal reads a plain decimal number: no exponent, no hexadecimal, no NaN.
func decimal(s string) (float64, error) {
	const longest = 40 // digits, in messages and in sense
	if s == "" {
		return 0, errors.New("the cell is empty")
	}
	if len(s) > longest || strings.Trim(s, "+-.0123456789") != "" || strings.ContainsAny(s, "eEpPxX_") {
		return 0, fmt.Errorf("%.40q is not a number", s)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0, fmt.Errorf("%.40q is not a number", s)
	}
	return v, nil
}
