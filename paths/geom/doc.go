// Package geom is plane geometry for toolpaths: line and circular-arc segments
// as first-class citizens, open paths, closed contours and regions with holes,
// and what a cutter needs of them.
//
// # Shapes
//
// A [Seg] is a line or an arc, a [Path] a chain of them, a [Contour] a closed
// chain and a [Region] an area with holes. [Circle], [Rect], [Slot], [Polygon]
// and [RegularPolygon] make contours, [Polyline] paths; [Cubic], [Quadratic] and
// [EllipticalArc] make chains of arcs of curves, [FitArcs] of points, and
// [Flatten] makes points of either. [RegionOf] makes a region of contours that
// do not cross, [Resolve] one of any. All have String, and [ParsePath] and
// [ParseRegion] read it. Validate says what is wrong with a shape and where.
//
// Paths, contours and regions have, where it applies, Bounds, Length, Area,
// Centroid, Distance and Closest (of a point), Reverse and Transform by
// a [Similarity], which keeps arcs. [Region.Contains] and [Contour.Winding] tell
// where a point lies.
//
// # Operations
//
//	Offset, Offsets, OffsetPath        grow, shrink and thicken; arcs stay arcs
//	Union, Intersection, Difference,   booleans of regions
//	SymmetricDifference
//	Clip                               the parts of a path inside and outside
//	NewIndex, NewPathIndex             many questions about one shape: how near a
//	                                   disc comes that moves along a segment, what
//	                                   is nearest, inside or outside
//	MedialAxis                         clearance along the middle, widest disc,
//	                                   corners that a tool cannot enter, offsets
//
// # What to rely on
//
// Signs that decide topology are exact: a float64 filter first, wider numbers
// where it cannot tell. Distances that safety rests on are never reported longer
// than they are. Functions expect valid shapes unless they say otherwise, and
// none panics.
//
// Lengths are millimetres, angles radians, X right, Y away, counter-clockwise
// positive. Values are plain data: every function returns new values and none
// keeps or changes its arguments, so all of it is safe to call concurrently.
package geom
