package gcode

import (
	"bytes"
	"fmt"
	"io"
)

// Limits of programs with subprograms, see Reader.Subprograms. A call may lead
// anywhere, so that such a text is kept in memory.
const (
	MaxSubprogramText = 32 << 20 // bytes
	MaxSubprograms    = 10_000
)

// Place is where in a program a Reader or a Cursor goes on.
type Place struct {
	offset int64 // of a Reader: bytes; of a Cursor: blocks
	line   int
	lf     bool
}

// Subprograms looks through the whole rest of the program and returns where its
// subprograms begin: the places of the blocks with a word O, by its number. The
// reader is afterwards where it was, and Jump may lead it to these places. It
// keeps the text in memory from then on. A text that is too long, a fault in it,
// and a number that is no plain integer or stands twice are an *Error.
func (r *Reader) Subprograms() (map[int]Place, error) {
	if err := r.hold(); err != nil {
		return nil, err
	}
	here, marked, open := r.Place(), r.marked, r.open
	starts, err := subprograms(r.opt.Name, r.Place, r.Next)
	r.Jump(here)
	r.marked, r.open = marked, open
	return starts, err
}

// hold reads the rest of the text into memory.
func (r *Reader) hold() error {
	if r.held {
		return nil
	}
	text := append([]byte(nil), r.buf[r.a:r.z]...)
	if r.rerr == nil {
		rest, err := io.ReadAll(io.LimitReader(r.src, MaxSubprogramText+1))
		if err != nil {
			return fmt.Errorf("%s: reading the program: %w", r.opt.Name, err)
		}
		text = append(text, rest...)
	} else if r.rerr != io.EOF {
		return r.rerr
	}
	if len(text) > MaxSubprogramText {
		return r.fail(1, "the program has subprogram calls and more than %d MiB, which are not kept in memory: write the calls out or split the program", MaxSubprogramText>>20)
	}
	r.src, r.held = bytes.NewReader(text), true
	r.a, r.z, r.read, r.rerr = 0, 0, 0, nil
	return nil
}

// Place returns where Next goes on.
func (r *Reader) Place() Place { return Place{r.read - int64(r.z-r.a), r.line, r.lf} }

// Jump makes Next go on at a place that Place or Subprograms of the same reader
// has returned. Without Subprograms called before it does nothing.
func (r *Reader) Jump(p Place) {
	if !r.held {
		return
	}
	r.line, r.lf, r.done = p.line, p.lf, false
	if start := r.read - int64(r.z); p.offset >= start && p.offset <= r.read {
		r.a = int(p.offset - start) // still in the buffer
		return
	}
	// A bytes.Reader goes anywhere in its text.
	r.src.(*bytes.Reader).Seek(p.offset, io.SeekStart)
	r.a, r.z, r.read, r.rerr = 0, 0, p.offset, nil
}

// Subprograms returns where the subprograms of the program begin, as those of a
// Reader do.
func (c *Cursor) Subprograms() (map[int]Place, error) {
	before := *c
	starts, err := subprograms(c.p.Name, c.Place, c.Next)
	*c = before
	return starts, err
}

// Place returns where Next goes on.
func (c *Cursor) Place() Place { return Place{offset: int64(c.next)} }

// Jump makes Next go on at a place that Place or Subprograms of a cursor of the
// same program has returned.
func (c *Cursor) Jump(p Place) { c.next, c.done = int(p.offset), false }

func subprograms(name string, place func() Place, next func() (*Block, error)) (map[int]Place, error) {
	starts := map[int]Place{}
	for {
		at := place()
		b, err := next()
		if err == io.EOF {
			return starts, nil
		}
		if err != nil {
			return nil, err
		}
		w := b.Word('O')
		if w == nil {
			continue
		}
		fail := func(format string, args ...any) error {
			return &Error{File: name, Pos: w.Pos, Msg: fmt.Sprintf(format, args...)}
		}
		n, ok := Integer(w.Value.Num)
		if !ok || n < 0 || w.Value.Expr != nil {
			return nil, fail("the number of a subprogram is a plain integer, not negative: correct it")
		}
		if _, twice := starts[n]; twice {
			return nil, fail("this subprogram number stands twice in the program: change one")
		}
		if len(starts) == MaxSubprograms {
			return nil, fail("the program has more than %d subprograms: split it", MaxSubprograms)
		}
		starts[n] = at
	}
}
