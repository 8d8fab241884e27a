package gcode

import (
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// repeat is a text of a pattern over and over, made while it is read.
type repeat struct {
	pattern string
	left    int // bytes
	at      int
}

func (r *repeat) Read(p []byte) (int, error) {
	if r.left == 0 {
		return 0, io.EOF
	}
	n := 0
	for n < len(p) && r.left > 0 {
		k := copy(p[n:], r.pattern[r.at:])
		k = min(k, r.left)
		n += k
		r.left -= k
		r.at = (r.at + k) % len(r.pattern)
	}
	return n, nil
}

// allocated returns the bytes that f allocates.
func allocated(f func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// Hostile texts are refused in bounded memory.
func TestHostileTexts(t *testing.T) {
	const size = 100 << 20
	for _, c := range []struct {
		name, pattern string
		size          int
		o             Options
		msg           string
	}{
		{"a line of 100 MiB", "X", size, Options{}, "longer than 256"},
		{"a comment of 100 MiB", "(", size, Options{}, "longer than 256"},
		{"white space of 100 MiB", " ", size, Options{}, "longer than 256"},
		{"a line of 100 MiB in the longest lines", "G1 X1 ", size, Options{MaxLine: 1 << 30}, "longer than 65536"},
		{"a million brackets", "[", 1_000_000, Options{}, "longer than 256"},
		{"as many brackets as fit", "X" + strings.Repeat("[", 65535), 65536, Options{MaxLine: HighestMaxLine}, "nested deeper than 256"},
		{"as many parameters as fit", "X" + strings.Repeat("#", 65535), 65536, Options{MaxLine: HighestMaxLine}, "nested deeper than 256"},
		{"as many functions as fit", "X" + strings.Repeat("LN[", 21845), 65536, Options{MaxLine: HighestMaxLine}, "nested deeper than 256"},
		{"as many digits as fit", "X" + strings.Repeat("9", 65535), 65536, Options{MaxLine: HighestMaxLine}, "too large"},
	} {
		t.Run(c.name, func(t *testing.T) {
			pattern := strings.Repeat(c.pattern, max(1, 1<<12/len(c.pattern))) // long copies are fast
			used := allocated(func() {
				r := NewReader(&repeat{pattern: pattern, left: c.size}, c.o)
				_, err := r.Next()
				require.ErrorContains(t, err, c.msg)
				_, err = r.Next()
				require.Equal(t, io.EOF, err)
			})
			assert.Less(t, used, uint64(4<<20))
		})
	}
}

// A chain of operators does not nest and a long one is read and evaluated.
func TestLongChain(t *testing.T) {
	text := "X[1" + strings.Repeat("+1", 30000) + "]"
	b, err := NewReader(strings.NewReader(text), Options{MaxLine: HighestMaxLine}).Next()
	require.NoError(t, err)
	v, err := b.Words[0].Value.Eval(nil)
	require.NoError(t, err)
	assert.Equal(t, 30001.0, v)
}

// Reading takes the same memory whatever the length of the program.
func TestReaderMemoryIsConstant(t *testing.T) {
	read := func(size int) uint64 {
		return allocated(func() {
			r := NewReader(&repeat{pattern: "N10 G1 X12.345 Y-3.25\nG2 X[1+2*#3] I5 #4=7\n", left: size}, Options{})
			for {
				if _, err := r.Next(); err == io.EOF {
					return
				}
			}
		})
	}
	small, large := read(44*100), read(44*100_000)
	assert.Less(t, large, small+64<<10)
}
