#!/usr/bin/env bash
# Measures what the project claims and prints one JSON object a line.
#
#   bash testdata/reference/figures.sh [GROUP...]
#
# Without arguments it runs every group. A group is a function figures_NAME,
# below or in another file NAME.sh here; it runs at the top of the repository,
# installs what it needs (Debian packages), builds its drivers under $work and
# prints its lines. Everything but the figures goes to standard error. The sizes of the geometry group can be kept small for a quick
# look: FIGURES_MAX=10000.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
root=$(cd "$here/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# need PACKAGE...: install the Debian packages that are missing.
need() {
	local missing=() p
	for p in "$@"; do
		dpkg-query -W -f='${Status}' "$p" 2>/dev/null | grep -q 'ok installed' || missing+=("$p")
	done
	[ ${#missing[@]} -eq 0 ] && return
	local sudo=
	[ "$(id -u)" -eq 0 ] || sudo=sudo
	$sudo apt-get update -qq >&2
	DEBIAN_FRONTEND=noninteractive $sudo apt-get install -y -qq --no-install-recommends "${missing[@]}" >&2
}

# Plane geometry against GEOS, the C++ polygon clipper and Boost.Polygon.
figures_geometry() {
	need g++ libgeos-dev libpolyclipping-dev libboost-dev
	local d=$work/geometry
	mkdir -p "$d"
	g++ -O2 -o "$d/geos" "$here/geos.cpp" -lgeos_c >&2
	g++ -O2 -o "$d/clipper" "$here/clipper.cpp" -lpolyclipping >&2
	g++ -O2 -o "$d/boost" "$here/boost.cpp" >&2
	go build -o "$d/ours" ./testdata/reference/geometry
	"$d/ours" figures -drivers "$d" -max "${FIGURES_MAX:-100000}"
}

# Groups in files of their own; they run at the top of the repository.
cd "$root"
for f in "$here"/*.sh; do
	if [ "$f" != "$here/figures.sh" ] && grep -q '^figures_' "$f"; then
		. "$f"
	fi
done

groups=("$@")
if [ ${#groups[@]} -eq 0 ]; then
	mapfile -t groups < <(declare -F | sed -n 's/^declare -f figures_//p')
fi
for g in "${groups[@]}"; do
	if ! declare -F "figures_$g" >/dev/null; then
		echo "figures.sh: no group $g; there are:" $(declare -F | sed -n 's/^declare -f figures_//p') >&2
		exit 2
	fi
	"figures_$g"
done
