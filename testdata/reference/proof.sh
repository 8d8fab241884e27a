# Figures of the language and the proof: parsing and interpreting against a loop
# that only scans bytes and numbers, faults put into proven programs, and the
# cost of a proof with removed material. MUTANTS and BLOCKS make the last two
# smaller for a quick look.
figures_proof() {
	go test -run '^$' -bench '^BenchmarkRun$' -benchtime 20x ./gcode/interp |
		awk '/^BenchmarkRun/ { for (i = 1; i < NF; i++) if ($(i + 1) == "ratio") printf "{\"figure\":\"parse\",\"ratio\":%s}\n", $i }' &&
		go run ./testdata/reference/proof -blocks "${BLOCKS:-1000000}" prove &&
		go run ./testdata/reference/proof -mutants "${MUTANTS:-20000}" faults
}
