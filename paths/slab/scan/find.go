package scan

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"proofcut/paths/geom"
)

// Options says how the outline is found. The zero value takes what the picture
// says of itself.
type Options struct {
	// Resolution, if any, is taken instead of what the picture says.
	Resolution *Resolution

	// Square is the side in mm of a printed reference square in the picture; 0: there
	// is none. It wins over any resolution. SquareAt is a pixel near its middle, needed
	// when several shapes look like it.
	Square   float64
	SquareAt *geom.Point

	Bed  Bed
	Tone Tone

	// Speck is the width in mm below which what is seen is dirt: specks and hairs on
	// the bed, pinholes and hairs over the piece. 0 means DefaultSpeck.
	Speck float64

	// Tolerance is how far in mm lines and arcs may be from the edge that was found,
	// but for the blur of corners; 0 means a quarter of a pixel.
	Tolerance float64

	// Piece is which piece is meant, counted from 1 by falling area; 0 demands that
	// there be only one.
	Piece int

	// Mirror turns the picture over: for a piece whose face was on the glass of the
	// scanner and will be on the plate of the machine.
	Mirror bool
}

const (
	// DefaultSpeck is half a millimetre: wider than a hair (0.1 mm) with the blur of
	// a scan at 100 dpi round it, less than the smallest hole for a screw.
	DefaultSpeck = 0.5
	// toleranceShare is the part of a pixel that lines and arcs may be off by: as
	// much as the edge itself may be off in a noisy picture.
	toleranceShare = 0.25
	// roundShare and roundLeast say which holes are round: a twentieth of the points
	// may be further from the circle than the greater of a part of a pixel and that
	// many mm. A hole drilled by hand is no rounder (common practice, no source).
	roundShare = 0.6
	roundLeast = 0.05
	// leastSeen is the share of a border along which an edge has to be found.
	leastSeen = 0.8
	// greatest sizes, in mm: of a machine for this work, and of what is dirt.
	maxSize  = 5000
	maxSpeck = 20
	// coarseSpeck is the radius in pixels of dirt before the scale is known.
	coarseSpeck = 2
)

// Trace is what was found.
type Trace struct {
	Outline geom.Contour // counter-clockwise, mm
	Holes   []Hole       // from left to right

	Width, Height float64 // of the box round the outline
	Area          float64 // mm2, without the holes

	Bed       Bed     // on which it lies
	Pixel     float64 // size of a pixel in the middle of the piece, mm
	Tolerance float64 // of lines and arcs, mm; see Max
	Speck     float64 // mm

	// RMS and Max say how far the points of the edge are from the lines and arcs of
	// the outline, mm; Points is their number. Max is at most Tolerance, but for
	// corners, which blur has rounded in the picture and which are put back.
	RMS, Max float64
	Points   int

	// Seen is the share of the outline along which an edge was found. Blind is the
	// longest stretch without, in mm, about BlindAt: there the outline is a straight
	// line.
	Seen, Blind float64
	BlindAt     geom.Point

	Square  *Square // the reference square, if one was asked for
	Ignored []Dirt  // what was taken for dirt, the largest first

	edge   []geom.Point // of the outline, mm
	pixels homography   // from mm to pixels
}

// Hole is a hole of the piece.
type Hole struct {
	Contour  geom.Contour // clockwise; a single circle when it is round
	Round    bool
	Centre   geom.Point
	Diameter float64 // of the circle that fits best, also when it is not round
	RMS, Max float64 // distances of its edge points from Contour, mm
}

// Square is the reference square as it was found.
type Square struct {
	Corners [4]geom.Point // pixels
	RMS     float64       // of its sides' edge points, pixels
	// Slant is the size of a pixel at the place in the square where it is largest
	// over the least: 1 for a picture taken square-on.
	Slant float64
}

// Dirt is something that was ignored because it is thinner than Options.Speck.
type Dirt struct {
	At   geom.Point // mm
	Size float64    // longest side of its box, mm
	Hair bool       // long; otherwise a speck
	Over bool       // it lies over the piece, otherwise on the bed
}

// Fault says what a person has to state for a picture to be of use.
type Fault uint8

// The faults that a statement mends.
const (
	NoScale        Fault = iota + 1 // Options.Resolution or Options.Square
	SeveralPieces                   // Options.Piece or Options.Speck
	SeveralSquares                  // Options.SquareAt
)

// Error is a fault of a picture that a statement mends.
type Error struct {
	Fault Fault
	Msg   string
}

// Error returns what is wrong and what to do.
func (e *Error) Error() string { return e.Msg }

func faulty(f Fault, format string, args ...any) error {
	return &Error{f, fmt.Sprintf(format, args...)}
}

// Region returns the piece as a region.
func (t *Trace) Region() geom.Region {
	contours := geom.Region{t.Outline}
	for _, h := range t.Holes {
		contours = append(contours, h.Contour)
	}
	return contours
}

// ToPixel returns where a point in mm is in the picture.
func (t *Trace) ToPixel(p geom.Point) geom.Point { return t.pixels.apply(p) }

// Find returns the outline of the piece in a picture.
//
// Errors: a picture without resolution where none is given, or whose resolution
// is a placeholder; options out of range; no piece, or several, which are listed;
// a piece that runs out of the picture; no reference square, or several; an edge
// that is not seen well enough. Those that a statement mends are an *Error.
func Find(p *Picture, o Options) (*Trace, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	var toMM homography
	if o.Square == 0 {
		r, err := resolution(p, o)
		if err != nil {
			return nil, err
		}
		toMM = scaled(r, p.h)
	}
	m, err := newModel(p, o.Bed)
	if err != nil {
		return nil, err
	}
	raw := threshold(m.plane(p), p.w, p.h)
	s := sampler{p, o.Tone.table()}
	t := &Trace{Bed: m.bed, Speck: o.Speck}
	var square *quad
	if o.Square > 0 {
		coarse, _ := raw.tidy(true, coarseSpeck)
		q, err := findSquare(s, coarse.loops(), o.SquareAt)
		if err != nil {
			return nil, err
		}
		if toMM, err = q.squareMap(o.Square); err != nil {
			return nil, err
		}
		if toMM.horizon(geom.Box{Max: geom.Pt(float64(p.w), float64(p.h))}) {
			return nil, fmt.Errorf("the reference square is seen at so great a slant that the picture reaches the horizon: take it square-on")
		}
		square = &q
		t.Square = q.describe(toMM)
	}
	middle := geom.Pt(float64(p.w)/2, float64(p.h)/2)
	if square != nil {
		middle = square.middle()
	}
	pixel := toMM.scale(middle)
	radius := o.Speck / 2 / pixel
	if radius > maxReach/2 {
		return nil, fmt.Errorf("a speck size of %g mm is %.0f pixels here: at most %d are taken", o.Speck, 2*radius, maxReach)
	}
	clean, dirt := raw.tidy(true, max(1, radius))
	clean, more := clean.tidy(false, max(1, radius))
	dirt = append(dirt, more...)
	loops := clean.loops()
	piece, err := choose(loops, square, toMM, o.Piece)
	if err != nil {
		return nil, err
	}
	if o.Mirror {
		toMM = homography{{-1, 0, 0}, {0, 1, 0}, {0, 0, 1}}.after(toMM)
	}
	if err := t.build(s, loops, piece, toMM, o.Tolerance); err != nil {
		return nil, err
	}
	t.ignored(dirt, toMM)
	return t, nil
}

// check refuses options that mean nothing and fills in what is left open.
func (o *Options) check() error {
	if o.Speck == 0 {
		o.Speck = DefaultSpeck
	}
	switch {
	case !(o.Square >= 0 && o.Square <= maxSize):
		return fmt.Errorf("a reference square of %g mm is out of range: up to %d mm are taken", o.Square, maxSize)
	case !(o.Speck > 0 && o.Speck <= maxSpeck):
		return fmt.Errorf("a speck size of %g mm is out of range: up to %d mm are taken", o.Speck, maxSpeck)
	case !(o.Tolerance >= 0 && o.Tolerance <= maxSpeck):
		return fmt.Errorf("a tolerance of %g mm is out of range: up to %d mm are taken", o.Tolerance, maxSpeck)
	case o.Piece < 0:
		return fmt.Errorf("there is no piece %d: they are counted from 1", o.Piece)
	case o.Bed > DarkBed:
		return fmt.Errorf("unknown bed %d", o.Bed)
	case o.Tone > ToneLinear:
		return fmt.Errorf("unknown tone %d", o.Tone)
	case o.SquareAt != nil && !o.SquareAt.Finite():
		return fmt.Errorf("the place of the square is not a finite number")
	}
	if o.Resolution != nil {
		return o.Resolution.check()
	}
	return nil
}

// resolution returns the scale to be used when there is no reference square.
func resolution(p *Picture, o Options) (Resolution, error) {
	switch {
	case o.Resolution != nil:
		return *o.Resolution, nil
	case p.Resolution == nil:
		return Resolution{}, faulty(NoScale, "the picture does not say its resolution: state it in dpi, or lay a printed square of known size beside the piece and state its side")
	case p.Placeholder:
		return Resolution{}, faulty(NoScale, "the picture says %.4g dpi, which cameras and programs write when they do not know: state the true resolution in dpi, or lay a printed square of known size beside the piece and state its side", p.Resolution.X*mmPerInch)
	}
	return *p.Resolution, nil
}

// choose returns the index of the loop round the piece that is meant.
func choose(loops []loop, square *quad, toMM homography, number int) (int, error) {
	var pieces, cut []int
	for i, l := range loops {
		switch {
		case l.hole:
		case square != nil && (l.label == square.label || square.holds(l)):
		case l.frame:
			cut = append(cut, i)
		default:
			pieces = append(pieces, i)
		}
	}
	bigger := func(list []int) func(i, j int) bool {
		return func(i, j int) bool { return loops[list[i]].area > loops[list[j]].area }
	}
	sort.SliceStable(pieces, bigger(pieces))
	sort.SliceStable(cut, bigger(cut))
	if len(cut) > 0 && (len(pieces) == 0 || loops[cut[0]].area >= loops[pieces[0]].area) {
		w, h, at := loops[cut[0]].extent(toMM)
		return 0, fmt.Errorf("a piece of about %.1f x %.1f mm at the pixel (%.0f, %.0f) runs out of the picture: the whole outline has to be in it, with bed all round", w, h, at.X, at.Y)
	}
	switch {
	case len(pieces) == 0:
		return 0, errNoPiece
	case number > len(pieces):
		return 0, fmt.Errorf("there is no piece %d: %s", number, list(loops, pieces, toMM))
	case number > 0:
		return pieces[number-1], nil
	case len(pieces) > 1:
		return 0, faulty(SeveralPieces, "%s: say which is meant, or a speck size that leaves the others out", list(loops, pieces, toMM))
	}
	return pieces[0], nil
}

// list names pieces by size and place.
func list(loops []loop, pieces []int, toMM homography) string {
	const most = 8
	var b strings.Builder
	if len(pieces) == 1 {
		b.WriteString("there is one piece")
	} else {
		fmt.Fprintf(&b, "there are %d pieces", len(pieces))
	}
	for k, i := range pieces {
		if k == most {
			fmt.Fprintf(&b, " and %d smaller", len(pieces)-most)
			break
		}
		w, h, at := loops[i].extent(toMM)
		fmt.Fprintf(&b, "; %d: %.1f x %.1f mm at the pixel (%.0f, %.0f)", k+1, w, h, at.X, at.Y)
	}
	return b.String()
}

// extent returns the size of a loop in mm and the middle of its box in pixels.
func (l loop) extent(toMM homography) (w, h float64, at geom.Point) {
	box, pixels := geom.EmptyBox(), geom.EmptyBox()
	for _, c := range l.at {
		p := geom.Pt(float64(c.x), float64(c.y))
		pixels = pixels.AddPoint(p)
		box = box.AddPoint(toMM.apply(p))
	}
	return box.Size().X, box.Size().Y, pixels.Center()
}

// holds reports whether a loop begins inside the quadrilateral.
func (q quad) holds(l loop) bool {
	p := geom.Pt(float64(l.at[0].x), float64(l.at[0].y))
	return geom.Polygon(q.corners[:]...).Winding(p) != 0
}

// describe returns what a person wants to know of the square.
func (q quad) describe(toMM homography) *Square {
	s := &Square{Corners: q.corners, RMS: q.rms}
	least, most := math.Inf(1), 0.0
	for _, c := range q.corners {
		v := toMM.scale(c)
		least, most = math.Min(least, v), math.Max(most, v)
	}
	s.Slant = most / least
	return s
}

// build fits the borders of the piece and its holes and turns them into lines
// and arcs.
func (t *Trace) build(s sampler, loops []loop, piece int, toMM homography, tol float64) error {
	outer := fitBorder(s, loops[piece])
	_, _, middle := loops[piece].extent(toMM)
	t.Pixel = toMM.scale(middle)
	if outer.seen < leastSeen || len(outer.points) < 8 {
		return fmt.Errorf("only %.0f %% of the piece's border shows a clear edge, and at least %.0f %% are needed: scan it on a bed of another tone, in focus", 100*outer.seen, 100*leastSeen)
	}
	t.Tolerance = tol
	if tol == 0 {
		t.Tolerance = toleranceShare * t.Pixel
	}
	t.edge = mapped(outer.points, toMM)
	t.Outline = contour(t.edge, t.Pixel, t.Tolerance)
	if t.Outline.Area() < 0 {
		t.Outline = t.Outline.Reverse()
	}
	box := t.Outline.Bounds()
	if size := box.Size(); !(size.X <= maxSize && size.Y <= maxSize) {
		return fmt.Errorf("the piece would be %.0f x %.0f mm, more than %d: check the scale", size.X, size.Y, maxSize)
	}
	// The corner of its box is the origin from here on.
	move := geom.Translate(box.Min.Mul(-1))
	t.Outline = t.Outline.Transform(move)
	for i, p := range t.edge {
		t.edge[i] = move.Apply(p)
	}
	toMM = homography{{1, 0, -box.Min.X}, {0, 1, -box.Min.Y}, {0, 0, 1}}.after(toMM)
	back, ok := toMM.inverse()
	if !ok {
		return fmt.Errorf("the scale cannot be turned round: check the reference square")
	}
	t.pixels = back
	t.Points, t.Seen, t.Blind = len(t.edge), outer.seen, outer.blind*t.Pixel
	t.BlindAt = toMM.apply(outer.blindAt)
	t.RMS, t.Max = residual(t.edge, t.Outline)
	for _, l := range loops {
		if !l.hole || l.label != loops[piece].label {
			continue
		}
		h, err := t.hole(s, l, toMM)
		if err != nil {
			return err
		}
		t.Holes = append(t.Holes, h)
	}
	sort.SliceStable(t.Holes, func(i, j int) bool { return t.Holes[i].Centre.X < t.Holes[j].Centre.X })
	region := t.Region()
	if err := region.Validate(); err != nil {
		return fmt.Errorf("the border that was found is no outline (%w): scan at a higher resolution, or state a larger speck size", err)
	}
	size := t.Outline.Bounds().Size()
	t.Width, t.Height, t.Area = size.X, size.Y, region.Area()
	return nil
}

func mapped(pts []geom.Point, h homography) []geom.Point {
	out := make([]geom.Point, len(pts))
	for i, p := range pts {
		out[i] = h.apply(p)
	}
	return out
}

// contour turns edge points into lines and arcs.
func contour(pts []geom.Point, pixel, tol float64) geom.Contour {
	return refine(pts, geom.Contour(geom.FitArcs(pts, true, tol)), pixel, tol)
}

// residual returns how far points are from a contour.
func residual(pts []geom.Point, c geom.Contour) (rms, most float64) {
	for _, p := range pts {
		d := c.Distance(p)
		rms += d * d
		most = math.Max(most, d)
	}
	return math.Sqrt(rms / float64(len(pts))), most
}

// hole fits one hole and says whether it is round.
func (t *Trace) hole(s sampler, l loop, toMM homography) (Hole, error) {
	b := fitBorder(s, l)
	_, _, at := l.extent(toMM)
	if b.seen < leastSeen {
		p := toMM.apply(at)
		return Hole{}, fmt.Errorf("only %.0f %% of the border of the hole at (%.1f, %.1f) mm shows a clear edge, and at least %.0f %% are needed: let the bed show through it, or state a speck size above its width", 100*b.seen, p.X, p.Y, 100*leastSeen)
	}
	pts := mapped(b.points, toMM)
	f, ok := fitCircle(pts)
	if !ok {
		p := toMM.apply(at)
		return Hole{}, fmt.Errorf("the hole at (%.1f, %.1f) mm is too small to be measured: state a speck size above its width", p.X, p.Y)
	}
	h := Hole{Centre: f.C, Diameter: 2 * f.R}
	off := make([]float64, len(pts))
	for i, p := range pts {
		off[i] = math.Abs(p.Dist(f.C) - f.R)
	}
	sort.Float64s(off)
	if off[len(off)*19/20] <= math.Max(roundLeast, roundShare*t.Pixel) {
		h.Round, h.RMS, h.Max = true, f.RMS, f.Max
		h.Contour = geom.Circle(f.C, f.R).Reverse()
		return h, nil
	}
	h.Contour = contour(pts, t.Pixel, t.Tolerance)
	if h.Contour.Area() > 0 {
		h.Contour = h.Contour.Reverse()
	}
	h.Centre = h.Contour.Centroid()
	h.RMS, h.Max = residual(pts, h.Contour)
	return h, nil
}

// ignored notes the dirt on and near the piece.
func (t *Trace) ignored(dirt []thin, toMM homography) {
	// The shift to the piece's corner came after this map.
	inv, _ := t.pixels.inverse()
	for _, d := range dirt {
		at := geom.Pt(d.x, d.y)
		t.Ignored = append(t.Ignored, Dirt{At: inv.apply(at), Size: d.size * toMM.scale(at), Hair: d.hair, Over: d.dark})
	}
	sort.SliceStable(t.Ignored, func(i, j int) bool { return t.Ignored[i].Size > t.Ignored[j].Size })
}

// Unseen reports whether a stretch of the outline is worth a look because no
// edge was found along it: Blind is more than a few pixels.
func (t *Trace) Unseen() bool { return t.Blind > unseenPixels*t.Pixel }

// unseenPixels is how many pixels without an edge are no more than the skipped
// points of a corner.
const unseenPixels = 5
