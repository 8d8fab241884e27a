// Package fits gives the limits of sizes and fits in the terms of ISO 286-1: a
// bore and a fit such as H7/p6 become the limits of the disc that goes into it,
// and what the lathe has to take off the disc as cut.
//
// It knows the tolerance classes whose figures it has: grades 5 to 11 of the
// letters d e f g h js k m n p r s and their holes, for nominal sizes above 0 up
// to 500 mm. Everything else is an error and never a guess. How each figure is
// backed stands in data/README.md, and Confirmed of a Limits says it.
package fits
