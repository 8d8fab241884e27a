package job

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"proofcut/paths/geom"
	"proofcut/paths/hold"
)

// Holding is where the screws of a job go and what they cost, in the frame of the
// drawing: a registration moves the screws with the slab.
type Holding struct {
	Screws *Screws
	hold.Choice
	Part   string        // the nested parts that are counted, "" when there is none
	ByHand *hold.Outcome // the places of the document, when it has such
	Nested []geom.Region // the parts among the screws

	slab  geom.Region
	zones []geom.Region // of the document
}

// Hold finds the places of a job's screws and counts the parts with and without
// them. progress may be nil. The error says what of the document does not fit,
// or is that of the context when nothing was found before it ended.
func Hold(ctx context.Context, j *Job, progress func(hold.Progress)) (*Holding, error) {
	s := j.Screws
	if s == nil {
		return nil, errors.New("the job has no screws to place; give it the key screws")
	}
	outline, zones, _ := j.drawn()
	h := &Holding{Screws: s, slab: outline}
	for _, z := range zones {
		h.zones = append(h.zones, z.Area)
	}
	p, parts, err := j.holdProblem()
	if err != nil {
		return nil, err
	}
	if parts != nil {
		h.Part = parts.name()
	}
	p.Progress = progress
	if s.Choose != nil {
		c, err := hold.Choose(ctx, p)
		if err != nil {
			return nil, s.fail(err)
		}
		h.Choice = *c
		if len(c.Starts) > 0 {
			h.ByHand = &c.Starts[0]
		}
	} else if err := h.take(ctx, p, s.at(j)); err != nil {
		return nil, s.fail(err)
	}
	if parts != nil {
		list, err := parts.layouts(ctx, h.Places, 0)
		if err != nil {
			return nil, s.fail(err)
		}
		for _, l := range list {
			h.Nested = append(h.Nested, parts.outlines(l)...)
		}
	}
	return h, nil
}

// take measures the places of the document.
func (h *Holding) take(ctx context.Context, p hold.Problem, places []geom.Point) error {
	judge, err := hold.NewJudge(p)
	if err != nil {
		return err
	}
	h.Places = places
	for _, q := range h.Places {
		site, err := judge.Site(q)
		if err != nil {
			return err
		}
		h.Sites = append(h.Sites, site)
	}
	if h.Spread, err = judge.Check(h.Places); err != nil {
		return err
	}
	if h.Part != "" {
		free, err := p.Parts.Nest(ctx, nil, 0)
		if err != nil {
			return err
		}
		with, err := p.Parts.Nest(ctx, h.Places, 0)
		if err != nil {
			return err
		}
		h.Parts, h.Bound, h.Interrupted = with.Count, free.Bound, free.Interrupted || with.Interrupted
		h.Free = max(free.Count, with.Count)
	}
	o := h.Outcome
	h.ByHand = &o
	return nil
}

func (s *Screws) fail(err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	if e := (*Error)(nil); errors.As(err, &e) {
		return e // of a part, with its own place
	}
	e := *s.place
	e.Msg = "screws: " + strings.TrimPrefix(err.Error(), "hold: ")
	return &e
}

// holdProblem returns the question of where the screws go with the parts that
// are nested among them, nil when there are none.
func (j *Job) holdProblem() (hold.Problem, *nestedParts, error) {
	p, n := j.Screws.problem(j), j.nestedParts()
	switch {
	case n != nil:
		p.Parts = n
	case j.Screws.Choose != nil:
		return p, nil, j.Screws.fail(errors.New("places are chosen so that the most parts fit, but no part has the key nest; give the places with 'at: [[5mm, 5mm], ...]'"))
	}
	return p, n, nil
}

// held returns the job with the zones of its screws; the job itself when it has
// none.
func (j *Job) held(ctx context.Context, progress func(hold.Progress)) (*Job, *Holding, error) {
	if j.Screws == nil {
		return j, nil, nil
	}
	var h *Holding
	places := j.Screws.at(j)
	if j.Screws.Choose != nil {
		var err error
		if h, err = Hold(ctx, j, progress); err != nil {
			return nil, nil, err
		}
		places = h.Places
	}
	return j.withScrews(places), h, nil
}

// HoldingRecord is a holding as data; lengths in mm.
type HoldingRecord struct {
	Part   string      `json:"part,omitempty"`
	Parts  int         `json:"parts"`
	Free   int         `json:"parts_without_screws"`
	Bound  int         `json:"bound_without_screws,omitempty"`
	ByHand *HeldRecord `json:"by_hand,omitempty"`
	Chosen HeldRecord  `json:"screws"`
	Tried  int         `json:"sets_nested,omitempty"`
	Head   float64     `json:"head"`
	Hole   float64     `json:"hole"`
	Reach  *float64    `json:"reach_allowed,omitempty"`
	Over   *float64    `json:"overhang_allowed,omitempty"`

	Interrupted bool `json:"interrupted,omitempty"` // the search was stopped: the best so far
}

// HeldRecord is one set of places.
type HeldRecord struct {
	Parts    int          `json:"parts"`
	Reach    float64      `json:"reach"`
	Overhang float64      `json:"overhang"`
	Refused  string       `json:"refused,omitempty"` // why the places cannot be used
	Places   []ScrewPlace `json:"places"`
}

// ScrewPlace is the place of one screw.
type ScrewPlace struct {
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Site string  `json:"site"`
}

func heldRecord(o hold.Outcome) HeldRecord {
	r := HeldRecord{Parts: o.Parts, Reach: o.Spread.Reach, Overhang: o.Spread.Overhang, Places: []ScrewPlace{}}
	if o.Err != nil {
		r.Refused = o.Err.Error()
	}
	for i, q := range o.Places {
		r.Places = append(r.Places, ScrewPlace{q.X, q.Y, o.Sites[i].String()})
	}
	return r
}

// Record returns the holding as data.
func (h *Holding) Record() HoldingRecord {
	r := HoldingRecord{
		Part: h.Part, Parts: h.Parts, Free: h.Free, Bound: h.Bound, Chosen: heldRecord(h.Outcome),
		Tried: h.Tried, Head: h.Screws.Head, Hole: h.Screws.Hole, Interrupted: h.Interrupted,
	}
	if h.ByHand != nil {
		b := heldRecord(*h.ByHand)
		r.ByHand = &b
	}
	if h.Screws.Reach < beyond {
		r.Reach = &h.Screws.Reach
	}
	if h.Screws.Overhang < beyond {
		r.Over = &h.Screws.Overhang
	}
	return r
}

// Print writes the holding for a person.
func (h *Holding) Print(w io.Writer) error {
	var b strings.Builder
	how := "chosen"
	if h.Screws.Choose == nil {
		how = "by hand"
	}
	if h.Part == "" {
		fmt.Fprintf(&b, "%d screws %s; the job nests no parts\n", len(h.Places), how)
	} else {
		fmt.Fprintf(&b, "%s: %d among %d screws %s, %d without any screw", h.Part, h.Parts, len(h.Places), how, h.Free)
		if h.Bound > 0 {
			fmt.Fprintf(&b, " (%d at most can fit)", h.Bound)
		}
		b.WriteString("\n")
	}
	if h.Interrupted {
		b.WriteString("interrupted: the best so far\n")
	}
	print := func(o hold.Outcome) {
		for i, q := range o.Places {
			fmt.Fprintf(&b, "  screw %-2d x %8.3f  y %8.3f  %s\n", i+1, q.X, q.Y, o.Sites[i])
		}
		fmt.Fprintf(&b, "  no point of the slab is farther than %.3f mm from the lines between them, none hangs over by more than %.3f mm\n", o.Spread.Reach, o.Spread.Overhang)
	}
	print(h.Outcome)
	if h.ByHand != nil && h.Screws.Choose != nil {
		fmt.Fprintf(&b, "by hand: %d parts, %s\n", h.ByHand.Parts, gained(h.Parts-h.ByHand.Parts))
		print(*h.ByHand)
		if h.ByHand.Err != nil {
			fmt.Fprintf(&b, "  refused: %v\n", h.ByHand.Err)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func gained(n int) string {
	switch {
	case n > 0:
		return fmt.Sprintf("so the choice gains %d", n)
	case n < 0:
		return fmt.Sprintf("%d more than the choice, which has to hold the slab", -n)
	}
	return "as many as chosen"
}
