package job

import (
	"fmt"
	"sort"
	"strings"
)

// Error is one thing wrong with a job document or a table that it names.
type Error struct {
	File      string
	Line, Col int // from 1; 0 when the whole file is meant
	Msg       string
}

func (e *Error) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: %s", e.File, e.Msg)
	}
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Col, e.Msg)
}

// ErrorList is all that is wrong, in the order of the document.
type ErrorList []*Error

func (l ErrorList) Error() string {
	lines := make([]string, len(l))
	for i, e := range l {
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// Err returns the list sorted by place, or nil when it is empty.
func (l ErrorList) Err() error {
	if len(l) == 0 {
		return nil
	}
	sort.SliceStable(l, func(i, j int) bool {
		a, b := l[i], l[j]
		if a.File != b.File {
			return false
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Col < b.Col
	})
	return l
}

// nearest returns the option most like s, or "" when none is near enough to be
// a slip of the keyboard (at most a third of its letters differ).
func nearest(s string, options []string) string {
	best, least := "", 1<<30
	for _, o := range options {
		if d := editDistance(s, o); d < least {
			best, least = o, d
		}
	}
	if least <= 1 || 3*least <= len(s) {
		return best
	}
	return ""
}

// editDistance counts the insertions, deletions and replacements that turn a
// into b (V. I. Levenshtein, 1966).
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := diagonal
			if a[i-1] != b[j-1] {
				cost++
			}
			diagonal = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
