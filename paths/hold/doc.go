// Package hold chooses where the screws go that hold a slab down on its backing
// plate: the places that cost the fewest parts, of all places that the plate can
// take, that do the slab no harm and that hold all of it.
//
// A screw holds down what lies near the straight line to the next screw. A set
// of places holds a slab when no point of the slab lies farther than Reach from
// the nearest line between two screws, nor farther than Overhang outside the
// convex hull of them all. Both are measured on the slab's true outline, with a
// bound that is never too low.
//
// What is to be made of the slab is behind the interface Parts; Discs is the one
// for equal discs. Lengths are millimetres, X right, Y away. The search is
// deterministic: its effort is counted in work, its randomness comes from the
// seed, and only a cancelled context cuts it short.
package hold
