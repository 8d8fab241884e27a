// Package geom is plane geometry for toolpaths: line and circular-arc segments
// as first-class citizens, open paths, closed contours and regions with holes,
// and what a cutter needs of them.
//
// A Seg is a line or an arc, a Path a chain of them, a Contour a closed chain
// and a Region an area with holes. Shapes come from Circle, Rect, Slot, Polygon
// and the like, from curves (Cubic, Quadratic, EllipticalArc) and from points
// (FitArcs); RegionOf and Resolve make regions of contours.
//
//	Offset, Offsets, OffsetPath        grow, shrink and thicken; arcs stay arcs
//	Union, Intersection, Difference    booleans of regions
//	Clip                               the parts of a path inside and outside
//	NewIndex                           many questions about one region: least
//	                                   distance, inside or outside, closest point
//	MedialAxis                         clearance along the middle, widest disc,
//	                                   corners that a tool cannot enter
//	ParseRegion, ParsePath, String     shapes as text
//
// Signs that decide topology are exact: a float64 filter first, wider numbers
// where it cannot tell. Distances that safety rests on are never reported longer
// than they are. Validate explains what is wrong with a shape and where;
// functions expect valid shapes unless they say otherwise, and none panics.
//
// Lengths are millimetres, angles radians, X right, Y away, counter-clockwise
// positive. Values are plain data: every function returns new values and none
// keeps or changes its arguments, so all of it is safe to call concurrently.
package geom
