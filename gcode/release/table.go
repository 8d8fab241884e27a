package release

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
)

// ErrFilledIn says that a table of probed places has been filled in by hand and
// is not written over.
var ErrFilledIn = errors.New("it is not the empty table that would be written; put it elsewhere first, so that nothing measured is lost")

// writeTable writes the table to fill in, unless another one lies there.
func (p *Probing) writeTable(path string) error {
	old, err := os.ReadFile(path)
	switch {
	case err == nil && bytes.Equal(old, p.Table):
		return nil
	case err == nil:
		return fmt.Errorf("%s: %w", path, ErrFilledIn)
	case !errors.Is(err, os.ErrNotExist):
		return err
	}
	return WriteFile(path, func(w io.Writer) error {
		_, err := w.Write(p.Table)
		return err
	})
}
