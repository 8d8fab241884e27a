package interp

// Parameter numbers (NISTIR 6556, section 3.2.1, from memory). Each begins a run
// of six, X Y Z A B C.
const (
	parameterProbe  = 5061
	parameterG28    = 5161
	parameterG30    = 5181
	parameterG92    = 5211
	parameterSystem = 5220
)

// systemParameter returns the number of the X origin of work system 1..9.
func systemParameter(system int) int { return 5201 + 20*system }

// isPosition reports whether the parameter holds a length or an angle.
func isPosition(n int) bool {
	if n < parameterProbe || n > 5386 {
		return false
	}
	for _, first := range [...]int{parameterProbe, parameterG28, parameterG30, parameterG92} {
		if n >= first && n < first+6 {
			return true
		}
	}
	return n >= 5221 && (n-5221)%20 < 6
}

// isLength reports whether the parameter holds a length.
func isLength(n int) bool {
	if !isPosition(n) {
		return false
	}
	return (n-1)%20%10 < 3
}

// parameter returns the value as the program sees it. Lengths are kept in
// millimetres and seen in the unit in force, so that what a program reads back
// is what it has set, whatever the unit of the control.
func (ip *interpreter) parameter(n int) float64 {
	if ip.scale != 1 && isLength(n) {
		return ip.params[n] / ip.scale
	}
	return ip.params[n]
}

func (ip *interpreter) setParameter(n int, v float64) {
	if isLength(n) {
		v *= ip.scale
	}
	ip.params[n] = v
}
