// Package nest places parts on a piece of stock: as many discs as fit between
// screws, cracks and edges, with what a cutter needs between them, and a proven
// bound on how many could.
//
// Lengths are millimetres, X right, Y away, angles radians. A layout never
// comes from a prediction: every distance that it reports was measured, and
// Problem.Check measures all of them again with package geom alone.
//
// The search is deterministic. Its effort is counted in work done, not in time
// passed, and its randomness comes from the seed, so the same problem gives the
// same layout on every machine; only a cancelled context can cut it short.
// Functions may be called concurrently.
package nest
