// Package geom is plane geometry for toolpaths: line and circular-arc segments
// as first-class citizens, open paths, closed contours and regions with holes,
// and what a cutter needs of them: offset, boolean operations, medial axis,
// arc fitting and exact least distance.
//
// Lengths are millimetres, angles radians, X right, Y away, counter-clockwise
// positive. Values are plain data: every function returns new values and none
// keeps or changes its arguments, so all of it is safe to call concurrently.
package geom
