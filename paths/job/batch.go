package job

import (
	"fmt"
	"strings"
)

// Batch makes one program of every row of a table.
type Batch struct {
	Program string // template of the program's name, such as "tag-{number}"
	table   *table
}

// Row is one row of a batch: its cells by column name. The nil Row is that of
// a job without a batch.
type Row map[string]string

// Rows returns the rows in the order of the table.
func (b *Batch) Rows() []Row {
	rows := make([]Row, len(b.table.rows))
	for i, cells := range b.table.rows {
		rows[i] = Row{}
		for k, h := range b.table.header {
			rows[i][h] = cells[k]
		}
	}
	return rows
}

// check refuses a name template with unknown columns and rows whose programs
// would get the same name.
func (b *Batch) check() *Error {
	first := map[string]int{}
	for i, row := range b.Rows() {
		name, err := fill(b.Program, row)
		if err != nil {
			return &Error{File: b.table.file, Line: 1, Col: 1, Msg: fmt.Sprintf("program: %v", err)}
		}
		file := FileName(name)
		key := strings.ToLower(file) // some file systems fold case
		if at, ok := first[key]; ok {
			return &Error{File: b.table.file, Line: b.table.lines[i], Col: 1,
				Msg: fmt.Sprintf("the program %q is already that of line %d; make the names differ", file, at)}
		}
		first[key] = b.table.lines[i]
	}
	return nil
}

// fill replaces every {column} of a template by the row's cell. A brace is
// written twice to stand for itself.
func fill(template string, row Row) (string, error) {
	var out strings.Builder
	for i := 0; i < len(template); i++ {
		c := template[i]
		switch {
		case c != '{' && c != '}':
			out.WriteByte(c)
		case i+1 < len(template) && template[i+1] == c:
			out.WriteByte(c)
			i++
		case c == '}':
			return "", fmt.Errorf("%q has a } without a {", template)
		default:
			end := strings.IndexByte(template[i:], '}')
			if end < 0 {
				return "", fmt.Errorf("%q has a { that is not closed", template)
			}
			name := template[i+1 : i+end]
			cell, ok := row[name]
			if !ok {
				if row == nil {
					return "", fmt.Errorf("%q uses the column %q, but the job has no batch", template, name)
				}
				return "", fmt.Errorf("%q uses the column %q, which the table lacks", template, name)
			}
			out.WriteString(cell)
			i += end
		}
	}
	return out.String(), nil
}

// maxFileName keeps a program's name well under what file systems and the
// directories of controls hold.
const maxFileName = 60

// FileName makes a name safe for a file: ASCII letters, digits, '-' and '_'
// stay, every run of anything else becomes one '-'.
func FileName(name string) string {
	var out strings.Builder
	gap := false
	for _, c := range name {
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '_', c == '-':
			if gap && out.Len() > 0 {
				out.WriteByte('-')
			}
			gap = false
			out.WriteRune(c)
		default:
			gap = true
		}
	}
	s := out.String()
	if len(s) > maxFileName {
		s = s[:maxFileName]
	}
	s = strings.Trim(s, "-")
	if s == "" {
		return "program"
	}
	return s
}
