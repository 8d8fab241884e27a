package job

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
)

// Limits on tables that a job names: far beyond what is measured or engraved
// by hand, little enough to be read at once.
const (
	maxTableBytes = 8 << 20
	maxTableRows  = 20000
	maxCell       = 200
)

// table is a CSV file (RFC 4180) with a header row.
type table struct {
	file   string
	header []string
	rows   [][]string
	lines  []int // where each row starts
}

// readTable reads the file that node n names, relative to the job file.
func (r *reader) readTable(n ast.Node, what string) *table {
	name, ok := r.scalar(n, what)
	if !ok {
		return nil
	}
	path := name
	if !filepath.IsAbs(path) {
		path = filepath.Join(r.dir, name)
	}
	data, err := readLimited(path, maxTableBytes)
	if err != nil {
		r.fail(n, "%s: %s", what, reason(name, err))
		return nil
	}
	t, err := parseTable(name, data)
	if err != nil {
		var list ErrorList
		var one *Error
		switch {
		case errors.As(err, &list):
			r.errs = append(r.errs, list...)
		case errors.As(err, &one):
			r.errs = append(r.errs, one)
		}
		return nil
	}
	return t
}

// readLimited reads a whole file of at most limit bytes.
func readLimited(path string, limit int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, errors.New("it is a folder")
	}
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("it has more than %d bytes", limit)
	}
	return data, nil
}

// reason says why a file cannot be read without repeating its whole path.
func reason(name string, err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Sprintf("there is no file %q beside the job", name)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Sprintf("no permission to read %q", name)
	}
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return fmt.Sprintf("cannot read %q: %v", name, err)
}

// parseTable reads CSV text. Every row has as many cells as the header.
func parseTable(file string, data []byte) (*table, error) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")) // byte order mark
	if !utf8.Valid(data) {
		return nil, &Error{File: file, Msg: "the table is not UTF-8 text; save it as CSV, UTF-8"}
	}
	c := csv.NewReader(bytes.NewReader(data))
	c.Comment = '#'
	c.TrimLeadingSpace = true
	c.FieldsPerRecord = -1
	t := &table{file: file}
	for {
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				return nil, &Error{File: file, Line: pe.Line, Col: pe.Column, Msg: pe.Err.Error()}
			}
			return nil, &Error{File: file, Msg: err.Error()}
		}
		line, _ := c.FieldPos(0)
		for i, cell := range row {
			row[i] = strings.TrimSpace(cell)
			if len(cell) > maxCell {
				l, col := c.FieldPos(i)
				return nil, &Error{File: file, Line: l, Col: col, Msg: fmt.Sprintf("the cell has %d bytes; at most %d are read", len(cell), maxCell)}
			}
		}
		if t.header == nil {
			t.header = row
			continue
		}
		if len(row) != len(t.header) {
			return nil, &Error{File: file, Line: line, Col: 1, Msg: fmt.Sprintf("the row has %d cells, the header has %d", len(row), len(t.header))}
		}
		if len(t.rows) == maxTableRows {
			return nil, &Error{File: file, Line: line, Col: 1, Msg: fmt.Sprintf("the table has more than %d rows", maxTableRows)}
		}
		t.rows = append(t.rows, row)
		t.lines = append(t.lines, line)
	}
	if t.header == nil {
		return nil, &Error{File: file, Msg: "the table is empty; its first row names the columns"}
	}
	seen := map[string]bool{}
	for i, h := range t.header {
		if h == "" || seen[h] {
			return nil, &Error{File: file, Line: 1, Col: 1, Msg: fmt.Sprintf("column %d has the name %q, which is empty or used twice", i+1, h)}
		}
		seen[h] = true
	}
	if len(t.rows) == 0 {
		return nil, &Error{File: file, Msg: "the table has a header but no row"}
	}
	return t, nil
}

// column returns the index of a column, or -1.
func (t *table) column(name string) int {
	for i, h := range t.header {
		if h == name {
			return i
		}
	}
	return -1
}
