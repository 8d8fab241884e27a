# Figures of the cutting load: what the proof finds in a whole program beside the
# closed form of the same cut.
figures_load() {
	go run ./testdata/reference/load
}
