package interp

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// NISTIR 6556, section 3.2.1 (from memory).
func TestParameterFile(t *testing.T) {
	values := map[int]float64{1: 2.5, 5161: -10, 5220: 3, 5386: 0.125}
	var b bytes.Buffer
	require.NoError(t, WriteParameters(&b, values))
	text := b.String()
	got, err := ReadParameters("mill.var", strings.NewReader(text))
	require.NoError(t, err)
	for n, v := range values {
		assert.Equal(t, v, got[n], n)
	}
	assert.Len(t, got, 18+1+54+1)
	_, f, err := trace("M2", Options{Parameters: got})
	require.NoError(t, err)
	assert.Equal(t, 1, f.State.System, "M2 selects G54")

	for _, c := range []struct{ name, text, msg string }{
		{"out of order", strings.Replace(text, "5163 0\n", "5160 0\n", 1), "mill.var:6:1: parameter 5160 stands after 5162"},
		{"twice", strings.Replace(text, "5163 0\n", "5162 0\n", 1), "must ascend"},
		{"missing", strings.Replace(text, "5225 0\n", "", 1), "mill.var: parameter 5225 is missing"},
		{"range", strings.Replace(text, "1 2.5\n", "5400 2.5\n", 1), "1 to 5399"},
		{"number", strings.Replace(text, "1 2.5\n", "one 2.5\n", 1), "no integer"},
		{"value", strings.Replace(text, "1 2.5\n", "1 NaN\n", 1), "no number"},
		{"columns", strings.Replace(text, "1 2.5\n", "1\n", 1), "2 columns are needed"},
		{"header", strings.Replace(text, "\n\n", "\n", 1), "must end with one"},
		{"line", strings.Repeat("x", 5000), "longer than 4096"},
	} {
		_, err := ReadParameters("mill.var", strings.NewReader(c.text))
		assert.ErrorContains(t, err, c.msg, c.name)
	}
	broken := errors.New("gone")
	_, err = ReadParameters("mill.var", iotest.ErrReader(broken))
	assert.ErrorIs(t, err, broken)
}

// NISTIR 6556, section 3.2.2 (from memory).
func TestToolFile(t *testing.T) {
	head := "slot number length diameter\n\n"
	got, err := ReadTools("mill.tbl", strings.NewReader(head+"3 12 61.25 3.0 ball cutter\n\n1 7 50 -0.5\n"))
	require.NoError(t, err)
	assert.Equal(t, map[int]Tool{3: {61.25, 3}, 1: {50, -0.5}}, got)
	for _, c := range []struct{ text, msg string }{
		{"1 1 1 1\n1 2 2 2\n", "mill.tbl:4:1: slot 1 stands twice"}, {"-1 1 1 1\n", "negative"}, {"x 1 1 1\n", "no integer"},
		{"1 x 1 1\n", "number of the tool"}, {"1 1 x 1\n", "length offset"}, {"1 1 1 Inf\n", "diameter"}, {"1 1 1\n", "4 columns"},
	} {
		_, err := ReadTools("mill.tbl", strings.NewReader(head+c.text))
		assert.ErrorContains(t, err, c.msg, c.text)
	}
}
