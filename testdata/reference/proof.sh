# Figures of the proof: faults put into proven programs, and the cost of a proof
# with removed material. MUTANTS and BLOCKS make them smaller for a quick look.
figures_proof() {
  go run ./testdata/reference/proof -blocks "${BLOCKS:-1000000}" prove &&
    go run ./testdata/reference/proof -mutants "${MUTANTS:-20000}" faults
}
