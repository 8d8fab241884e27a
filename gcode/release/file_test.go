package release

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A file appears complete or not at all, and a failed write leaves the old one.
func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.nc")
	text := func(s string, err error) func(io.Writer) error {
		return func(w io.Writer) error {
			_, werr := io.WriteString(w, s)
			return errors.Join(werr, err)
		}
	}
	require.NoError(t, WriteFile(path, text("G21\n", nil)))
	full := errors.New("disk full")
	require.ErrorIs(t, WriteFile(path, text("G2", full)), full)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "G21\n", string(data))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1, "nothing is left beside the file")

	require.Error(t, WriteFile(filepath.Join(dir, "none", "a.nc"), text("", nil)))
	require.NoError(t, remove(path))
	require.NoError(t, remove(path), "what is not there is gone")
}
