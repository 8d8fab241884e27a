package gcode

import (
	"errors"
	"fmt"
	"io"
)

// Parse reads the whole text r into a Program called name. Reading goes on after
// a fault, so that the ErrorList names all of them up to MaxErrors; the program
// then holds the blocks without fault. What follows a block that surely ends the
// program (M2 or M30 written out, without block delete) becomes the Tail, unless
// the options allow subprograms, which may stand there.
//
// The error is an ErrorList, or the error of r.
func Parse(name string, r io.Reader, o Options) (*Program, error) {
	o.Name = name
	return NewReader(r, o).Program()
}

// Program reads what is left of the text, as Parse does.
func (r *Reader) Program() (*Program, error) {
	most := r.opt.MaxBlocks
	if most <= 0 {
		most = DefaultMaxBlocks
	}
	p := &Program{Name: r.opt.Name}
	var keep keeper
	var errs ErrorList
	for {
		b, err := r.Next()
		if err == io.EOF {
			return p, errs.Err()
		}
		if err != nil {
			var e *Error
			if !errors.As(err, &e) {
				return p, errors.Join(errs.Err(), err)
			}
			errs = append(errs, e)
			if len(errs) == MaxErrors {
				return p, append(errs, r.fail(1, "too many errors: the rest of the text was not read"))
			}
			continue
		}
		if len(p.Blocks) == most {
			return p, append(errs, r.fail(1, "the text has more than %d blocks: read it as a stream", most))
		}
		p.Blocks = append(p.Blocks, keep.block(b))
		if !r.opt.Subprograms && b.endsProgram() {
			if p.Tail, err = r.tail(); err != nil {
				var e *Error
				if !errors.As(err, &e) {
					return p, errors.Join(errs.Err(), err)
				}
				errs = append(errs, e)
			}
			return p, errs.Err()
		}
	}
}

// endsProgram reports whether the block holds M2 or M30 for certain.
func (b *Block) endsProgram() bool {
	if b.Delete {
		return false
	}
	for _, w := range b.Words {
		if w.Letter == 'M' && w.Value.Expr == nil {
			if n, ok := Integer(w.Value.Num); ok && (n == 2 || n == 30) {
				return true
			}
		}
	}
	return false
}

// tail returns the rest of the text and checks that an open program is closed in it.
func (r *Reader) tail() (string, error) {
	if r.lf && (r.a < r.z || r.fill() == nil) {
		if r.buf[r.a] == '\n' {
			r.a++
		}
		r.lf = false
	}
	rest := append([]byte(nil), r.buf[r.a:r.z]...)
	r.a = r.z
	for r.fill() == nil {
		rest = append(rest, r.buf[r.a:r.z]...)
		r.a = r.z
	}
	if r.rerr != io.EOF {
		return string(rest), r.rerr
	}
	if !r.open {
		r.done = true
		return string(rest), nil
	}
	// Look through the tail with a reader of its own that counts on.
	in := &Reader{opt: r.opt, buf: rest, z: len(rest), rerr: io.EOF, cr: true, line: r.line, open: true}
	err := in.Finish()
	r.done = true
	return string(rest), err
}

// keeper copies blocks into storage of their own, many to an allocation.
type keeper struct {
	raw   []byte
	words []Word
}

const keeperChunk = 4096

func (k *keeper) block(b *Block) Block {
	c := *b
	if len(b.raw) > cap(k.raw)-len(k.raw) {
		k.raw = make([]byte, 0, max(16*keeperChunk, len(b.raw)))
	}
	n := len(k.raw)
	k.raw = append(k.raw, b.raw...)
	c.raw = k.raw[n:len(k.raw):len(k.raw)]
	c.Words, c.Settings, c.Comments = nil, nil, nil
	if len(b.Words) > 0 {
		if len(b.Words) > cap(k.words)-len(k.words) {
			k.words = make([]Word, 0, max(keeperChunk, len(b.Words)))
		}
		n := len(k.words)
		k.words = append(k.words, b.Words...)
		c.Words = k.words[n:len(k.words):len(k.words)]
		for i := range c.Words {
			c.Words[i].Value.Expr = c.Words[i].Value.Expr.clone()
		}
	}
	if len(b.Settings) > 0 {
		c.Settings = append([]Setting(nil), b.Settings...)
		for i := range c.Settings {
			s := &c.Settings[i]
			s.Index.Expr, s.Value.Expr = s.Index.Expr.clone(), s.Value.Expr.clone()
		}
	}
	if len(b.Comments) > 0 {
		c.Comments = append([]Comment(nil), b.Comments...)
	}
	return c
}

func (e *Expr) clone() *Expr {
	if e == nil {
		return nil
	}
	c := *e
	c.X, c.Y = e.X.clone(), e.Y.clone()
	return &c
}

// Source returns a cursor at the first block of the program.
func (p *Program) Source() *Cursor { return &Cursor{p: p} }

// Cursor steps through a Program as a Reader does through a text.
type Cursor struct {
	p      *Program
	next   int
	marked bool
	open   bool
	done   bool
}

// Name returns the name of the program.
func (c *Cursor) Name() string { return c.p.Name }

// Program returns the program that the cursor steps through.
func (c *Cursor) Program() *Program { return c.p }

// Next returns the next block, io.EOF at the end of the program.
func (c *Cursor) Next() (*Block, error) {
	if c.done {
		return nil, io.EOF
	}
	if c.next >= len(c.p.Blocks) {
		c.done = true
		return nil, c.unclosed()
	}
	b := &c.p.Blocks[c.next]
	c.next++
	if b.Percent {
		if c.marked && !c.open {
			return nil, &Error{File: c.p.Name, Pos: b.Pos,
				Msg: "% closes a program that no % has opened: put a % line first or remove this one"}
		}
		c.done = c.open
		c.open = true
	}
	c.marked = c.marked || !b.Empty()
	return b, nil
}

// unclosed returns io.EOF, or an *Error when a % has opened the program and none
// closes it.
func (c *Cursor) unclosed() error {
	if c.open {
		last := c.p.Blocks[len(c.p.Blocks)-1].Pos
		return &Error{File: c.p.Name, Pos: last,
			Msg: "the text ends without the % that closes the program: add a % line at the end"}
	}
	return io.EOF
}

// Finish passes over the rest of the program. Parse has looked for the closing %
// in the tail already, so it only looks among the blocks when there is no tail.
func (c *Cursor) Finish() error {
	if c.open && !c.done && c.p.Tail == "" {
		for _, b := range c.p.Blocks[c.next:] {
			if b.Percent {
				c.done = true
				return nil
			}
		}
		c.done = true
		return c.unclosed()
	}
	c.done = true
	return nil
}

// String names the program and its size.
func (p *Program) String() string { return fmt.Sprintf("%s (%d blocks)", p.Name, len(p.Blocks)) }
