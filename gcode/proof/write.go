package proof

import (
	"encoding/json"
	"io"
)

// WriteJSON writes the record as indented JSON with a closing end of line.
func (r *Record) WriteJSON(w io.Writer) error {
	data, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		return err
	}
	_, err = w.Write(append(data, '\n'))
	return err
}
