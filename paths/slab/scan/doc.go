// Package scan finds the outline of a piece of stock, holes included, in a
// flatbed scan or a square-on photo.
//
// Decode reads the picture and what it says of its own scale. Find separates the
// piece from the bed it lies on, fits the grey-level edge across the border to a
// small part of a pixel, and returns lines and arcs in millimetres with what they
// leave as residual. The scale comes from the picture, from a stated resolution
// or from a printed square of known size, whose corners also undo rotation and
// perspective. Trace.WriteSVG writes the outline as a drawing that slab.ReadSVG
// reads, Trace.Overlay draws it over the picture for a person to accept.
//
// Lengths are millimetres with X right and Y up, from the lower left corner of
// the box round the piece. Pixels are counted from the upper left corner of the
// picture, X right and Y down; the middle of the first pixel is (0.5, 0.5).
//
// What the picture cannot show stays unknown: a lens that bends straight lines, a
// shadow that looks like the piece, and, with a square, that a face nearer to the
// camera than the square comes out too large by the ratio of the distances. All
// functions are deterministic, keep none of their arguments and are safe to call
// concurrently.
package scan
