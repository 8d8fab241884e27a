// Package slab is about getting to know a piece of stock: its outline from
// points measured round the edge (Outline) or from a drawing (ReadSVG), where it
// lies on the machine (Register), and the height of its face from probed points
// (FitPlane, FitMesh).
//
// Lengths are millimetres, angles radians, X right, Y away, Z up,
// counter-clockwise positive. Files in other units are converted as they are
// read. Everything read from outside is limited in size and refused when a
// number is not finite.
//
// Points are named in messages by their place in the list, counted from 1, as a
// person counts rows. All functions are deterministic, keep none of their
// arguments and are safe to call concurrently. The package cuts nothing and
// does not look at pictures.
package slab
