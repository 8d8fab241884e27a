package job

import (
	"bytes"
	"errors"
	"path/filepath"

	"proofcut/paths/geom"
	"proofcut/paths/slab"
)

// maxDrawingBytes bounds a drawing that a job names, as slab.ReadSVG does.
const maxDrawingBytes = 16 << 20

// outlined reads the outline of the stock, holes included: a drawing, or a shape
// without holes.
func (m *mapping) outlined() geom.Region {
	n, ok := m.get("drawing")
	if !ok {
		if s, ok := m.shape(); ok {
			return geom.RegionOf(s.Contour)
		}
		return nil
	}
	for _, k := range shapeKeys {
		if other, twice := m.get(k); twice {
			m.r.fail(other, "%s has two shapes, drawing and %s; give one", m.what, k)
			return nil
		}
	}
	return m.r.drawing(n, m.what+": drawing")
}

// drawing reads the one piece that a drawing in Scalable Vector Graphics shows.
func (r *reader) drawing(n node, what string) geom.Region {
	m := r.mapping(n, what)
	if m == nil {
		return nil
	}
	defer m.done()
	var o slab.SVGOptions
	if m.has("unit") { // of a drawing that does not say how large it is
		o.UserUnit = m.positive("unit", "1mm")
	} else {
		m.get("unit") // named in the hint
	}
	file, ok := m.need("file", "slab.svg")
	if !ok {
		return nil
	}
	name, ok := r.scalar(file, what+": file")
	if !ok {
		return nil
	}
	path := name
	if !filepath.IsAbs(path) {
		path = filepath.Join(r.dir, name)
	}
	data, err := readLimited(path, maxDrawingBytes)
	if err != nil {
		r.fail(file, "%s: %s", what, reason(name, err))
		return nil
	}
	shapes, err := slab.ReadSVG(bytes.NewReader(data), o)
	var piece geom.Region
	if err == nil {
		piece, err = slab.Piece(shapes)
	}
	if err != nil {
		var e *slab.SVGError
		if errors.As(err, &e) {
			r.errs = append(r.errs, &Error{File: name, Line: e.Line, Col: 1, Msg: e.Msg})
		} else {
			r.fail(file, "%s: %q: %v", what, name, err)
		}
		return nil
	}
	return piece
}
