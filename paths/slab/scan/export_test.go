package scan

import "bytes"

// SizeOf returns what a file's header says of its size.
func SizeOf(data []byte) (w, h int, ok bool) {
	defer func() {
		if recover() != nil {
			ok = false
		}
	}()
	f, ok := formatOf(data)
	if !ok {
		return 0, 0, false
	}
	c, err := f.config(bytes.NewReader(data))
	return c.Width, c.Height, err == nil
}
