package geom

// Union returns the points that lie in a or b. Errors: see Resolve.
func Union(a, b Region) (Region, error) {
	return combine(a, b, func(a, b bool) bool { return a || b })
}

// Intersection returns the points that lie in a and b. What has no area, such
// as a common edge, is no part of it. Errors: see Resolve.
func Intersection(a, b Region) (Region, error) {
	return combine(a, b, func(a, b bool) bool { return a && b })
}

// Difference returns the points of a that do not lie in b. Errors: see Resolve.
func Difference(a, b Region) (Region, error) {
	return combine(a, b, func(a, b bool) bool { return a && !b })
}

// SymmetricDifference returns the points that lie in a or b and not in both.
// Errors: see Resolve.
func SymmetricDifference(a, b Region) (Region, error) {
	return combine(a, b, func(a, b bool) bool { return a != b })
}

// combine reads both regions by the non-zero rule, which is what their
// contours mean, and also does the least surprising thing with contours that
// overlap.
func combine(a, b Region, inside func(a, b bool) bool) (Region, error) {
	return arrange(a, b, func(w windings) bool {
		return inside(NonZero.encloses(w[0]), NonZero.encloses(w[1]))
	})
}
