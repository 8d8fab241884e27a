package gcode

import "testing"

// BenchmarkAppendBlock measures writing a block as a post does.
func BenchmarkAppendBlock(b *testing.B) {
	block := Block{Words: []Word{
		{Letter: 'G', Value: Number(1)}, {Letter: 'X', Value: Number(12.345)},
		{Letter: 'Y', Value: Number(-3.25)}, {Letter: 'Z', Value: Number(-0.2)}, {Letter: 'F', Value: Number(600)},
	}}
	var line []byte
	b.ReportAllocs()
	for b.Loop() {
		var err error
		if line, err = AppendBlock(line[:0], &block); err != nil {
			b.Fatal(err)
		}
	}
}
