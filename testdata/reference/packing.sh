# Figures of the nesting routine; sourced by figures.sh, which sets nothing else
# than the working directory (the top of the repository).

# figures_packing prints the ratio to the best-known radius for every row of the
# packing table, and discs placed against the hexagonal lattice and the bound on
# irregular slabs. Arguments go to the driver (go run ./testdata/reference/packing -h).
figures_packing() {
	go run ./testdata/reference/packing "$@"
}
