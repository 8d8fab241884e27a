package plain

// Subprograms are common practice, no source: M98 P calls the lines from the one
// with that O number, L times, and M99 goes back to the line after the call.
// Only blocks that hold nothing else are read.

func hasCall(b *block) bool { _, ok := b.m[calls]; return ok }

// find notes where subprograms begin.
func (r *reader) find(first, last int) {
	r.starts = map[int]int{}
	for i := first; i < last; i++ {
		r.line = i + 1
		s := r.strip(r.lines[i])
		for k := range len(s) {
			if s[k] != 'O' || k > 0 && s[k-1] >= 'A' && s[k-1] <= 'Z' || k > 0 && s[k-1] == ']' {
				continue
			}
			t := &rest{r, s[k+1:]}
			if t.s == "" || t.s[0] < '0' || t.s[0] > '9' {
				r.open("an O number that is not written out")
			}
			n := r.integer(t.number(), "O number")
			if _, twice := r.starts[n]; twice {
				r.open("O%d stands twice", n)
			}
			r.starts[n] = i
		}
	}
	r.line = 0
}

// jump executes a block with O, M98 or M99.
func (r *reader) jump(b *block, i int) int {
	if len(b.g)+len(b.set) > 0 || len(b.m) > 1 {
		r.open("a call beside other words")
	}
	if b.has("O") {
		switch {
		case len(b.words) > 1 || len(b.m) > 0:
			r.open("O beside other words")
		case r.begun && len(r.calls) == 0:
			r.open("the program runs into a subprogram")
		case r.begun && r.starts[r.calls[len(r.calls)-1].number] != i:
			r.open("a subprogram runs into the next one")
		}
		r.begun = true
		return i + 1
	}
	r.begun = true
	if b.m[calls] == 98 {
		return r.enter(b, i)
	}
	if len(b.words) > 0 {
		r.open("M99 beside other words")
	}
	if len(r.calls) == 0 {
		r.open("M99 without a call")
	}
	c := &r.calls[len(r.calls)-1]
	if c.left--; c.left > 0 {
		return r.starts[c.number]
	}
	i = c.back
	r.calls = r.calls[:len(r.calls)-1]
	return i
}

func (r *reader) enter(b *block, i int) int {
	for c := range b.words {
		if c != 'P' && c != 'L' {
			r.open("M98 beside other words")
		}
	}
	if !b.has("P") {
		r.fail("M98 without P")
	}
	n := r.integer(b.words['P'], "P of M98")
	start, ok := r.starts[n]
	if !ok {
		r.fail("there is no O%d", n)
	}
	times := 1
	if b.has("L") {
		if times = r.integer(b.words['L'], "L of M98"); times < 1 {
			r.open("M98 with L%d", times)
		}
	}
	if r.calls = append(r.calls, call{n, i + 1, times}); len(r.calls) > deepest {
		r.open("calls %d deep", len(r.calls))
	}
	return start
}
