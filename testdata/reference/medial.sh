#!/usr/bin/env bash
# Makes paths/geom/testdata/voronoi_boost.txt again, the vertices that
# Boost.Polygon finds for the polygons of voronoi_boost_test.go, and compares it
# with the stored one.
#
#   bash testdata/reference/medial.sh [-update]
#
# Needs g++ and libboost-dev.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
root=$(cd "$here/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

g++ -O2 -DNDEBUG -o "$work/boost_voronoi" "$here/boost_voronoi.cpp"
(cd "$root" && PROOFCUT_BOOST_INPUT=$work/cases.txt go test -count=1 -run '^TestWriteBoostInput$' ./paths/geom/ >&2)
"$work/boost_voronoi" <"$work/cases.txt" >"$work/vertices.txt"
stored=$root/paths/geom/testdata/voronoi_boost.txt
if [ "${1:-}" = -update ]; then
	cp "$work/vertices.txt" "$stored"
else
	diff -u "$stored" "$work/vertices.txt" >&2
	echo "voronoi_boost.txt is as Boost.Polygon makes it" >&2
fi
