package proof

// flood runs over the open cells of a grid that hang together by their sides.
type flood struct {
	nx, ny  int
	open    func(at int) bool
	entered []bool
	stack   []int
}

func newFlood(nx, ny int, open func(at int) bool) *flood {
	return &flood{nx: nx, ny: ny, open: open, entered: make([]bool, nx*ny)}
}

// enter takes in a cell, if it is open.
func (f *flood) enter(at int) {
	if !f.entered[at] && f.open(at) {
		f.entered[at] = true
		f.stack = append(f.stack, at)
	}
}

// dry reports whether no cell is left to run on from.
func (f *flood) dry() bool { return len(f.stack) == 0 }

// spread runs on from the cells that were entered until visit returns false.
func (f *flood) spread(visit func(at int) bool) {
	for !f.dry() {
		at := f.stack[len(f.stack)-1]
		f.stack = f.stack[:len(f.stack)-1]
		if !visit(at) {
			return
		}
		i := at % f.nx
		if i > 0 {
			f.enter(at - 1)
		}
		if i < f.nx-1 {
			f.enter(at + 1)
		}
		if at >= f.nx {
			f.enter(at - f.nx)
		}
		if at+f.nx < f.nx*f.ny {
			f.enter(at + f.nx)
		}
	}
}
