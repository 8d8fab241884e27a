//go:build unix

package interp

import (
	"bytes"
	"fmt"
	"io"
	"math/rand"
	"strconv"
	"syscall"
	"testing"
	"time"

	"proofcut/gcode"
)

// engraving returns an engraving program of n blocks: short lines and arcs with
// three decimals, a few feeds and retracts, as a post writes them.
func engraving(n int) []byte {
	rng := rand.New(rand.NewSource(1))
	var b bytes.Buffer
	b.WriteString("G21 G90 G17 G94 G40 G49 G80 G54\nT1 M6\nS18000 M3\nG0 Z5.0\n")
	x, y := 10.0, 10.0
	for i := range n {
		x += rng.Float64() - 0.5
		y += rng.Float64() - 0.5
		switch {
		case i%100 == 0:
			fmt.Fprintf(&b, "G0 Z2.0\nG0 X%.3f Y%.3f\nG1 Z-0.15 F120\nF400\n", x, y)
		case i%10 == 0:
			fmt.Fprintf(&b, "G2 X%.3f Y%.3f R%.3f\nG1\n", x, y, 2+rng.Float64())
		default:
			fmt.Fprintf(&b, "G1 X%.3f Y%.3f Z%.3f\n", x, y, -rng.Float64()*0.2)
		}
	}
	b.WriteString("G0 Z5.0\nM5\nM2\n")
	return bytes.ReplaceAll(b.Bytes(), []byte("G1\n"), nil)
}

// scanNumbers is what the interpreter is measured against: it looks at every
// byte and calls strconv.ParseFloat on every number.
func scanNumbers(text string) (sum float64) {
	for i := 0; i < len(text); i++ {
		c := text[i]
		if c != '-' && c != '.' && (c < '0' || c > '9') {
			continue
		}
		j := i + 1
		for j < len(text) && (text[j] == '.' || text[j] >= '0' && text[j] <= '9') {
			j++
		}
		v, err := strconv.ParseFloat(text[i:j], 64)
		if err != nil {
			panic(err)
		}
		sum += v
		i = j
	}
	return sum
}

func runText(b *testing.B, text []byte) (events int) {
	_, err := Run(gcode.NewReader(bytes.NewReader(text), gcode.Options{}), Options{}, func(*Event) error {
		events++
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	return events
}

// cpuTime returns the CPU time that the process has used.
func cpuTime(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkRun measures parsing and interpreting an engraving program of 100 000
// blocks, and reports the CPU time over that of scanNumbers in the same run.
func BenchmarkRun(b *testing.B) {
	text := engraving(100_000)
	blocks := bytes.Count(text, []byte("\n"))
	plain := string(text)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	var ours, scan time.Duration
	for b.Loop() {
		start := cpuTime(b)
		runText(b, text)
		ours += cpuTime(b) - start
		b.StopTimer()
		start = cpuTime(b)
		scanNumbers(plain)
		scan += cpuTime(b) - start
		b.StartTimer()
	}
	b.ReportMetric(float64(ours)/float64(scan), "ratio")
	b.ReportMetric(float64(ours.Nanoseconds())/float64(b.N)/float64(blocks), "ns/block")
}

// BenchmarkRead measures the reader alone.
func BenchmarkRead(b *testing.B) {
	text := engraving(100_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		r := gcode.NewReader(bytes.NewReader(text), gcode.Options{})
		for {
			if _, err := r.Next(); err == io.EOF {
				break
			}
		}
	}
}
