package geom

import (
	"math"
	"slices"
)

// Dense polylines are fitted with arcs before they are offset: what follows then
// works on hundreds of segments instead of tens of thousands of chords. A fit is
// within its tolerance tol of the source both ways, and the offset is widened by
// that, so that it stays clear of the source by the full distance, and every
// point farther from the source by 2 tol is on its far side.
//
// Where two curves of an offset meet at an angle, the corner of the true one is
// farther off: by 2 tol over the sine of half that angle. So a level is made from
// the coarsest fit first, and again from a closer one where a corner asks for it.
// Corners of less than sharpCorner are content with the closest fit that gains
// anything, once that is close enough for a corner of so much: what is missing
// there is a tip less than 2 tol wide to either side. All others go back to the source.
var fitTols = [...]float64{4e-4, 3.1e-4, 2.2e-4, 1.2e-4, 4e-5}

// sharpCorner is the sine of half the angle of a corner of 60 degrees.
const sharpCorner = 0.5

const (
	// fitMiss is how far in mm a point of the true offset may lie beyond the one
	// that is made, less than the micrometre that is promised.
	fitMiss  = 0.99e-3
	fitSlack = Tol / 100 // what rounding may add to a tolerance
	fitLeast = 0.03      // mm, the least distance at which a fit is used, far more than its tolerance
	fitSize  = 48        // the least number of segments of a contour to fit
	fitGain  = 3         // the least factor by which it must have fewer segments
	fitEase  = 1.1       // by how much more slack than it has a coarser fit must be allowed to be gone back to
)

// standIns are the source of offsets and the fits that stand for it, each made
// when it is asked for first.
type standIns struct {
	o      OffsetOptions
	source standIn
	fits   []standIn // from the coarsest
	last   bool      // there is no closer one
	begin  [2]int    // the fit that each side's next level is made from first
}

type standIn struct {
	r      Region
	fitted int        // number of contours that are fits
	share  float64    // what part of the segments of those is left
	slack  float64    // how far it may lie off the source
	sides  [2]*levels // outward and inward
}

func newStandIns(r Region, o OffsetOptions) *standIns {
	return &standIns{o: o, source: standIn{r: r}}
}

// free gives the memory of all levels back.
func (s *standIns) free() {
	for _, f := range append(s.fits, s.source) {
		for _, l := range f.sides {
			if l != nil {
				l.free()
			}
		}
	}
}

// fit returns a fit by its number from the coarsest, nil when it gains nothing: it
// has to fit all contours that the coarsest does.
func (s *standIns) fit(k int) *standIn {
	for !s.last && k >= len(s.fits) && len(s.fits) < len(fitTols) {
		n := len(s.fits)
		tol := fitTols[n]
		// An arc leaves a curve as the cube of its length, so the number of pieces
		// grows at least as the cube root of the tolerance falls.
		if n > 0 && s.fits[n-1].share*math.Cbrt(fitTols[n-1]/tol)*fitGain > 1 {
			s.last = true
			break
		}
		f := fitDense(s.source.r, tol)
		if s.last = f.fitted == 0 || n > 0 && f.fitted < s.fits[0].fitted; !s.last {
			s.fits = append(s.fits, f)
		}
	}
	if k < len(s.fits) {
		return &s.fits[k]
	}
	return nil
}

// at returns the offset at distance d to a side, 0 outward and 1 inward. next is
// the next greater distance on that side that will be asked for, 0 when there is
// none, and ahead the greatest. A level is made from the fit that suited the corners
// of the one before first: corners change little from one to the next.
func (s *standIns) at(d float64, side int, next, ahead float64) (Region, error) {
	k := s.begin[side]
	for {
		f := s.fit(k)
		if f == nil {
			f = &s.source
		}
		out, err := s.level(f, d, side, next, ahead)
		if err != nil {
			return nil, err
		}
		sine := sharpest(out)
		need := sine * fitMiss / 2 // the slack that the corners allow
		if f.slack <= need || sine < sharpCorner && f.slack <= sharpCorner*fitMiss/2 && s.fit(k+1) == nil {
			if len(out) > 0 {
				s.begin[side] = k
				for i := range min(k, len(s.fits)) {
					if s.fits[i].slack*fitEase <= need {
						s.begin[side] = i
						break
					}
				}
			}
			return out, nil
		}
		for k++; s.fit(k+1) != nil && s.fit(k).slack > need; k++ {
		}
	}
}

func (s *standIns) level(f *standIn, d float64, side int, next, ahead float64) (Region, error) {
	if f.sides[side] == nil {
		f.sides[side] = newLevels(f.r, side == 1, s.o)
	}
	l := f.sides[side]
	l.t.ahead, l.t.next = ahead+f.slack, 0
	if next > 0 {
		l.t.next = next + f.slack
	}
	return l.at(d + f.slack)
}

// fitDense replaces the contours of r that are dense polylines by fits within tol.
func fitDense(r Region, tol float64) standIn {
	out := standIn{r: r, slack: tol + fitSlack}
	chords, pieces := 0, 0
	for i, c := range r {
		if len(c) < fitSize || !dense(c, tol) {
			continue
		}
		pts := make([]Point, len(c))
		for j, s := range c {
			pts[j] = s.A
		}
		f := (&fitter{tol: tol, ease: true}).fit(pts, true)
		if len(f) == 0 || len(f)*fitGain > len(c) {
			continue
		}
		if out.fitted++; out.fitted == 1 {
			out.r = slices.Clone(r)
		}
		out.r[i] = Contour(f)
		chords, pieces = chords+len(c), pieces+len(f)
	}
	if chords > 0 {
		out.share = float64(pieces) / float64(chords)
	}
	return out
}

// dense reports whether a contour may be a curve in chords: without arcs, and
// with few turns that are sharp or too far apart for an arc to be so near.
func dense(c Contour, tol float64) bool {
	sharp := 0
	// An arc is off the middle of a chord of length l with a turn t at its end by
	// l*t/8 where it meets the ends, by half of that at best.
	most := 8 * 2.5 * tol
	for i, s := range c {
		if s.IsArc() {
			return false
		}
		u, v := s.B.Sub(s.A), c[(i+1)%len(c)].B.Sub(s.B)
		if d, x := u.Dot(v), u.Cross(v); d <= 0 || math.Abs(x) > d/2 || math.Abs(x) > most*v.Len() {
			sharp++
		}
	}
	return sharp*2*fitGain < len(c)
}

// sharpest returns the sine of half the sharpest angle between segments of a
// region that follow each other, 1 where there are no corners.
func sharpest(r Region) float64 {
	least := 1.0 // of the cosine of the turn
	for _, c := range r {
		if len(c) < 2 {
			continue
		}
		_, last := c[len(c)-1].directions()
		for i := range c {
			from, to := c[i].directions()
			if d := last.Dot(from); d < 0 || d*d < least*least*last.Dot(last)*from.Dot(from) {
				least = min(least, d/math.Sqrt(last.Dot(last)*from.Dot(from)))
			}
			last = to
		}
	}
	return math.Sqrt(math.Max(0, (1+least)/2))
}

// directions returns the directions of travel at the ends of a segment, of any length.
func (s *Seg) directions() (from, to Point) {
	if s.Turn == Straight {
		v := s.B.Sub(s.A)
		return v, v
	}
	turn := float64(s.Turn)
	return s.A.Sub(s.C).Left().Mul(turn), s.B.Sub(s.C).Left().Mul(turn)
}
