package release

import (
	"errors"
	"io"
	"os"
	"path/filepath"
)

// WriteFile puts data into path so that the file appears only complete: written
// beside, synced, renamed. On error nothing is left at either name that was not
// there before.
func WriteFile(path string, write func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".proofcut-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, ignoreMissing(os.Remove(f.Name())))
		}
	}()
	if err = write(f); err != nil {
		f.Close()
		return err
	}
	if err = f.Chmod(0o644); err != nil {
		f.Close()
		return err
	}
	if err = f.Sync(); err != nil {
		f.Close()
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// remove takes a file away; that it is not there is no error.
func remove(path string) error { return ignoreMissing(os.Remove(path)) }

func ignoreMissing(err error) error {
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	return err
}
