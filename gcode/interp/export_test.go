package interp

// Texts are programs of the tests of this package, errors included.
func Texts() []string {
	var all []string
	for _, v := range vectors {
		all = append(all, v.setup+"\n"+replaceBars(v.text)+"\nM2\n")
	}
	for _, c := range faults {
		all = append(all, replaceBars(c.text)+"\nM2\n", "F100 S100 M3\n"+replaceBars(c.text)+"\nM2\n")
	}
	return all
}
