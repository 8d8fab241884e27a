package gcode

import (
	"bytes"
	"fmt"
	"io"
)

// Limits of the text, see Options.
const (
	DefaultMaxLine   = 256       // NISTIR 6556, section 3.3 (from memory)
	HighestMaxLine   = 1 << 16   // the largest line length that Options may ask for
	DefaultMaxBlocks = 4_000_000 // of a Program in memory: about half a gibibyte
	MaxDepth         = 256       // of brackets and # in an expression
	MaxErrors        = 100       // that Parse lists before it gives up
)

// bufferSize of a Reader: large enough that refills cost nothing, small enough
// for the cache.
const bufferSize = 1 << 16

// Options says how a text is read. The zero value is the published language.
type Options struct {
	Name      string // of the program, for errors
	MaxLine   int    // characters in a line; 0: DefaultMaxLine, at most HighestMaxLine
	MaxBlocks int    // blocks that Parse keeps in memory; 0: DefaultMaxBlocks

	// Common practice beyond the published language.
	Semicolon   bool // a semicolon begins a comment that ends with the line
	Subprograms bool // words with the letter O, which name subprograms
}

// Reader reads a program block by block in constant memory.
type Reader struct {
	src  io.Reader
	opt  Options
	buf  []byte
	a, z int   // buf[a:z] is not read yet
	rerr error // what src returned last
	read int64 // bytes that src has given
	held bool  // src holds the text in memory, see Subprograms
	cr   bool  // buf may hold a carriage return
	lf   bool  // the line before ended with a carriage return: skip a line feed

	line   int
	marked bool // the first block that is not blank was read
	open   bool // it was a %
	done   bool
	block  Block
	exprs  []Expr // storage of the block's expressions
}

// NewReader returns a Reader of the text r.
func NewReader(r io.Reader, o Options) *Reader {
	if o.MaxLine <= 0 {
		o.MaxLine = DefaultMaxLine
	}
	o.MaxLine = min(o.MaxLine, HighestMaxLine)
	return &Reader{src: r, opt: o, buf: make([]byte, max(bufferSize, 2*o.MaxLine))}
}

// Name returns the name of the program.
func (r *Reader) Name() string { return r.opt.Name }

// Next returns the next block, blank lines included. The block and all that it
// holds is good until the next call. At the end of the text, or after the
// closing %, the error is io.EOF. A fault in the text is an *Error; Next may be
// called again after it and goes on with the next line.
func (r *Reader) Next() (*Block, error) {
	if r.done {
		return nil, io.EOF
	}
	text, err := r.readLine()
	if err != nil {
		if e, ok := err.(*Error); ok {
			r.marked = true
			return nil, e
		}
		r.done = true
		if err == io.EOF && r.open {
			return nil, r.unclosed()
		}
		return nil, err
	}
	b := &r.block
	if e := r.parseLine(text, b); e != nil {
		r.marked = true
		e.File = r.opt.Name
		return nil, e
	}
	if b.Percent {
		switch {
		case !r.marked:
			r.open = true
		case r.open:
			r.done = true
		default:
			r.marked = true
			return nil, r.fail(b.Pos.Col, "%% closes a program that no %% has opened: put a %% line first or remove this one")
		}
	}
	r.marked = r.marked || !b.Empty()
	return b, nil
}

// Finish reads the rest of the program without looking at its blocks. If a % has
// opened the program and none closes it the error is an *Error. Call it when the
// program has ended by M2 or M30.
func (r *Reader) Finish() error {
	for !r.done {
		text, err := r.readLine()
		if _, long := err.(*Error); long {
			continue
		}
		if err != nil {
			r.done = true
			switch {
			case err != io.EOF:
				return err
			case r.open:
				return r.unclosed()
			}
			return nil
		}
		r.done = r.open && isPercent(text, skipSpace(text, 0))
	}
	return nil
}

// Rest reads what is left of the text, beyond the closing % too, and returns the
// first line of it that holds more than white space, comments and that %, 0 when
// there is none. Errors: as for Finish.
func (r *Reader) Rest() (line int, err error) {
	open := r.open && !r.done
	for {
		text, err := r.readLine()
		if _, long := err.(*Error); err != nil && !long {
			r.done = true
			switch {
			case err != io.EOF:
				return line, err
			case open:
				return line, r.unclosed()
			}
			return line, nil
		}
		i := skipRemarks(text)
		switch {
		case err == nil && i == len(text):
		case err == nil && open && isPercent(text, i):
			open = false
		case line == 0:
			line = r.line
		}
	}
}

// isPercent reports whether nothing but a % stands in a line from place i on.
func isPercent(text []byte, i int) bool {
	return i < len(text) && text[i] == '%' && skipSpace(text, i+1) == len(text)
}

// skipRemarks returns the place of the first byte of a line that is neither white
// space nor in a comment.
func skipRemarks(text []byte) int {
	for i := 0; ; {
		i = skipSpace(text, i)
		if i == len(text) {
			return i
		}
		end := -1
		switch text[i] {
		case ';':
			return len(text)
		case '(':
			end = bytes.IndexByte(text[i:], ')')
		}
		if end < 0 {
			return i
		}
		i += end + 1
	}
}

func (r *Reader) unclosed() *Error {
	return r.fail(1, "the text ends without the %% that closes the program: add a %% line at the end")
}

func (r *Reader) fail(col int, format string, args ...any) *Error {
	e := errorAt(max(r.line, 1), col, format, args...)
	e.File = r.opt.Name
	return e
}

// readLine returns the next line without its end. A line that is too long is
// read over and an *Error.
func (r *Reader) readLine() ([]byte, error) {
	if r.lf {
		if r.a == r.z && r.fill() != nil {
			return nil, r.rerr
		}
		if r.buf[r.a] == '\n' {
			r.a++
		}
		r.lf = false
	}
	seen := 0 // bytes after a that hold no end of line
	long := false
	for {
		i := r.endOfLine(seen)
		if i >= 0 {
			text := r.buf[r.a : r.a+i]
			r.lf = r.buf[r.a+i] == '\r'
			r.a += i + 1
			r.line++
			if long || len(text) > r.opt.MaxLine {
				return nil, r.tooLong()
			}
			return text, nil
		}
		if r.z-r.a > r.opt.MaxLine {
			long = true
			r.a = r.z
		}
		seen = r.z - r.a
		if err := r.fill(); err != nil {
			if err != io.EOF {
				return nil, err
			}
			text := r.buf[r.a:r.z]
			r.a = r.z
			if long {
				r.line++
				return nil, r.tooLong()
			}
			if len(text) == 0 {
				return nil, io.EOF
			}
			r.line++
			return text, nil
		}
	}
}

func (r *Reader) tooLong() *Error {
	return r.fail(r.opt.MaxLine+1, "the line is longer than %d characters: split it", r.opt.MaxLine)
}

// endOfLine returns where in buf[a:z], after the first seen bytes, the line
// ends, or -1.
func (r *Reader) endOfLine(seen int) int {
	text := r.buf[r.a+seen : r.z]
	i := bytes.IndexByte(text, '\n')
	if r.cr {
		if i >= 0 {
			text = text[:i]
		}
		if j := bytes.IndexByte(text, '\r'); j >= 0 {
			i = j
		}
	}
	if i < 0 {
		return -1
	}
	return seen + i
}

// fill reads more text behind buf[a:z].
func (r *Reader) fill() error {
	if r.rerr != nil {
		return r.rerr
	}
	if r.a > 0 {
		copy(r.buf, r.buf[r.a:r.z])
		r.z -= r.a
		r.a = 0
	}
	const patience = 100 // reads that may bring nothing
	for range patience {
		n, err := r.src.Read(r.buf[r.z:])
		if n < 0 || n > len(r.buf)-r.z {
			r.rerr = fmt.Errorf("%s: the source of the text is broken: it read %d bytes", r.opt.Name, n)
			return r.rerr
		}
		r.z += n
		r.read += int64(n)
		r.cr = bytes.IndexByte(r.buf[:r.z], '\r') >= 0
		if err != nil && err != io.EOF {
			err = fmt.Errorf("%s: reading the program: %w", r.opt.Name, err)
		}
		r.rerr = err
		if n > 0 {
			return nil
		}
		if err != nil {
			return err
		}
	}
	r.rerr = fmt.Errorf("%s: reading the program: %w", r.opt.Name, io.ErrNoProgress)
	return r.rerr
}
