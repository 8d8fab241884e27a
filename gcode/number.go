package gcode

import (
	"math"
	"strconv"
)

// AppendNumber appends v to dst as a program writes numbers: rounded to at most
// the given decimals, no exponent, no negative zero, trailing zeros left out.
// With decimals above 0 the number always has a point and a digit on both sides
// of it ("12.0", "-0.25"), so that no control takes it for a count of its least
// unit; with 0 it is an integer ("600"). NaN and infinities, which no program
// can say, append nothing.
func AppendNumber(dst []byte, v float64, decimals int) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return dst
	}
	decimals = max(decimals, 0)
	n := len(dst)
	dst = strconv.AppendFloat(dst, v, 'f', decimals, 64)
	if decimals > 0 {
		end := len(dst)
		for dst[end-1] == '0' && dst[end-2] != '.' {
			end--
		}
		dst = dst[:end]
	}
	if dst[n] != '-' {
		return dst
	}
	for _, c := range dst[n+1:] {
		if c != '0' && c != '.' {
			return dst
		}
	}
	return append(dst[:n], dst[n+1:]...) // -0.0
}

// appendExact appends the shortest decimal that reads back as v, without an
// exponent. With point it has a decimal point even when v is an integer.
func appendExact(dst []byte, v float64, point bool) []byte {
	if v == math.Trunc(v) && math.Abs(v) < 1e15 {
		dst = strconv.AppendInt(dst, int64(v), 10)
		if point {
			dst = append(dst, ".0"...)
		}
		return dst
	}
	n := len(dst)
	dst = strconv.AppendFloat(dst, v, 'f', -1, 64)
	if point {
		for _, c := range dst[n:] {
			if c == '.' {
				return dst
			}
		}
		dst = append(dst, ".0"...)
	}
	return dst
}
