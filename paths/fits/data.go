package fits

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
)

//go:embed data/grades.csv data/deviations.csv
var files embed.FS

// MaxSize is the largest nominal size that the tables reach, mm.
const MaxSize = 500

// confirmedTo is the nominal size, mm, up to which tables were read in a source;
// above it they are from memory, held against the published formulas.
const confirmedTo = 50

// row is a range of sizes, over up to and including to, with its figures in um.
type row struct {
	over, to float64
	um       map[string]float64
}

// table is a list of rows in rising order, without gaps.
type table []row

// of returns the row of a nominal size; a boundary size belongs to the lower row.
func (t table) of(size float64) row {
	for _, r := range t {
		if size <= r.to {
			return r
		}
	}
	return row{}
}

var (
	grades     = mustTable("data/grades.csv")
	deviations = mustTable("data/deviations.csv")
)

// mustTable reads an embedded table; a test reads the same files, so that it
// cannot fail where it is used.
func mustTable(name string) table {
	f, err := files.Open(name)
	if err != nil {
		panic(err)
	}
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("%s: %v", name, err))
	}
	var t table
	for _, rec := range records[1:] {
		r := row{um: map[string]float64{}}
		for i, field := range rec {
			v, err := strconv.ParseFloat(field, 64)
			if err != nil {
				panic(fmt.Sprintf("%s: %v", name, err))
			}
			switch i {
			case 0:
				r.over = v
			case 1:
				r.to = v
			default:
				r.um[strings.ToLower(records[0][i])] = v
			}
		}
		t = append(t, r)
	}
	return t
}

// tolerance returns the standard tolerance of a grade in um.
func tolerance(size float64, grade int) (float64, bool) {
	v, ok := grades.of(size).um["it"+strconv.Itoa(grade)]
	return v, ok
}
