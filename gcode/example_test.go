package gcode_test

import (
	"fmt"
	"io"
	"os"
	"strings"

	"proofcut/gcode"
)

// A reader goes through a program of any length in constant memory.
func ExampleReader() {
	text := "(finger button 3)\nG21 G90\nG1 X[2*6.5] Y0 F300\nM2\n"
	r := gcode.NewReader(strings.NewReader(text), gcode.Options{Name: "button.nc"})
	words := 0
	for {
		b, err := r.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			fmt.Println(err)
			return
		}
		words += len(b.Words)
	}
	fmt.Println(words, "words")
	// Output: 7 words
}

// Parse names all faults of a program, each with its place and what to do.
func ExampleParse() {
	_, err := gcode.Parse("tag.nc", strings.NewReader("G21 G90\nG1 X1.5.2 F300\nG0 Z5 (clear\nM2\n"), gcode.Options{})
	fmt.Println(err)
	// Output:
	// tag.nc:2:8: a number without a letter before it: one point and one sign at most may stand in a number
	// tag.nc:3:7: the comment is not closed: it must end with ) on the same line
}

// Format brings a program into one settled form.
func ExampleFormat() {
	p, err := gcode.Parse("tag.nc", strings.NewReader("n010g01x +1. 50y-.25f0300(edge)\nx[[2*[#3+1]]-4]\nm30\n"), gcode.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := gcode.Format(os.Stdout, p); err != nil {
		fmt.Println(err)
	}
	// Output:
	// N10 G1 X1.5 Y-0.25 F300 (edge)
	// X[2*[#3+1]-4]
	// M30
}

// Numbers of a program have no exponent and no negative zero.
func ExampleAppendNumber() {
	for _, v := range []float64{12, -0.25, 1.0 / 3, -0.0001, 1e-7} {
		fmt.Println(string(gcode.AppendNumber([]byte("X"), v, 3)))
	}
	// Output:
	// X12.0
	// X-0.25
	// X0.333
	// X0.0
	// X0.0
}

// No text gets out of its comment.
func ExampleCommentText() {
	fmt.Println("(" + gcode.CommentText("Søren) G0 Z-50 (") + ")")
	fmt.Println("(" + gcode.CommentText("MSG, press start") + ")")
	// Output:
	// (S_ren] G0 Z-50 [)
	// (MSG. press start)
}

// Expressions are evaluated with the parameters that the caller keeps.
func ExampleValue_Eval() {
	r := gcode.NewReader(strings.NewReader("G1 X[#1 + 10*sin[30]]"), gcode.Options{})
	b, err := r.Next()
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := b.Word('X').Value.Eval(func(n int) float64 { return 100 })
	fmt.Printf("%.3f %v\n", v, err)
	// Output: 105.000 <nil>
}
