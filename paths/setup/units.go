package setup

// Unit is a unit of length for program text and for bare numbers in a job.
type Unit uint8

// The units of length.
const (
	MM Unit = iota
	Inch
)

// MMPerInch is exact (international inch, 1959).
const MMPerInch = 25.4
