package proof

import "math"

// defaultLookAhead is how many moves a control is taken to plan ahead when the
// machine does not say: what small controls of today keep (common practice, no
// source).
const defaultLookAhead = 64

// stretch is a motion as its time is reckoned: one rate, one acceleration.
type stretch struct {
	length  float64 // mm
	cap     float64 // greatest rate along it, mm/s
	accel   float64 // greatest change of the rate, mm/s2; +Inf: not limited
	entry   float64 // square of the greatest rate at which it may begin
	plan    float64 // square of the rate at which it may begin to be able to stop in time
	rapid   bool
	tool    int
	feature int // number of the feature it is cut for, -1: none
}

// lookAhead reckons the rates at the ends of the stretches that are pending, as
// a control does that knows that many moves ahead and has to be able to stop at
// the end of the last. Rates are kept as squares: over a stretch of length s the
// square changes by at most 2 a s.
type lookAhead struct {
	ring  []stretch
	first int     // of the oldest in ring
	n     int     // pending
	start float64 // square of the rate at which the oldest begins
	done  func(s *stretch, seconds float64)
}

func newLookAhead(moves int, done func(*stretch, float64)) lookAhead {
	if moves == 0 {
		moves = defaultLookAhead
	}
	return lookAhead{ring: make([]stretch, moves), done: done}
}

func (l *lookAhead) at(i int) *stretch {
	if i += l.first; i >= len(l.ring) {
		i -= len(l.ring)
	}
	return &l.ring[i]
}

// push adds a stretch behind the pending ones.
func (l *lookAhead) push(s stretch) {
	if l.n == len(l.ring) {
		l.release()
	}
	if l.n == 0 {
		s.entry = math.Min(s.entry, l.start)
	}
	s.plan = math.Min(s.entry, 2*s.accel*s.length)
	*l.at(l.n) = s
	l.n++
	// A stop that lies farther away lets the stretches before begin faster, until
	// one is met that it makes no difference to.
	for i := l.n - 2; i > 0; i-- {
		b, next := l.at(i), l.at(i+1)
		plan := math.Min(b.entry, next.plan+2*b.accel*b.length)
		if plan == b.plan {
			break
		}
		b.plan = plan
	}
}

// release takes the oldest stretch out with its time.
func (l *lookAhead) release() {
	s := l.at(0)
	exit := 0.0
	if l.n > 1 {
		exit = math.Min(l.at(1).plan, l.start+2*s.accel*s.length)
	}
	l.done(s, trapezoid(s.length, s.cap, math.Sqrt(l.start), math.Sqrt(exit), s.accel))
	l.start = exit
	l.n--
	if l.first++; l.first == len(l.ring) {
		l.first = 0
	}
}

// stop takes all pending stretches out, the last of which ends at a standstill.
func (l *lookAhead) stop() {
	for l.n > 0 {
		l.release()
	}
	l.start = 0
}

// trapezoid returns the time of a path of that length that begins and ends at
// the given rates, which it is long enough for, does not exceed the rate and
// changes it by no more than a.
func trapezoid(length, rate, entry, exit, a float64) float64 {
	ramps := (2*rate*rate - entry*entry - exit*exit) / (2 * a)
	if length >= ramps {
		return (2*rate-entry-exit)/a + (length-ramps)/rate
	}
	peak := math.Sqrt((2*a*length + entry*entry + exit*exit) / 2)
	// Rounding may leave the peak a hair below an end.
	return (2*math.Max(peak, math.Max(entry, exit)) - entry - exit) / a
}
