// Package yield shows a person what a slab gives: it plans, writes and proves a
// job again for other cutters, webs, allowances and disc sizes, one of them changed
// at a time, and lists parts, waste, kerf, cut length, time and money.
//
// No figure is an estimate of its own: parts come from the nesting, kerf and time
// from the proof of the very program that would be cut, the cut length from its
// text. A row whose program is not proven says so and why.
package yield
