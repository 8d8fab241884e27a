package proof

import (
	"encoding/json"
	"fmt"
	"math"

	"proofcut/paths/geom"
)

// Severity tells what a finding means for the proof.
type Severity uint8

// The severities.
const (
	Note    Severity = iota // worth knowing
	Caution                 // legal, but a careful operator would look at it
	Fault                   // the program is not proven
)

func (s Severity) String() string {
	switch s {
	case Fault:
		return "fault"
	case Caution:
		return "caution"
	}
	return "note"
}

// MarshalText gives the severity's name.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads a severity's name.
func (s *Severity) UnmarshalText(b []byte) error {
	switch string(b) {
	case "fault":
		*s = Fault
	case "caution":
		*s = Caution
	case "note":
		*s = Note
	default:
		return fmt.Errorf("unknown severity %q", b)
	}
	return nil
}

// Vec is a place in program coordinates, millimetres. In JSON a coordinate that
// is not known is null.
type Vec [3]float64

func vec(p geom.Point3) Vec { return Vec{p.X, p.Y, p.Z} }

// MarshalJSON writes [x,y,z], rounded to a nanometre.
func (v Vec) MarshalJSON() ([]byte, error) {
	var out [3]*float64
	for i, x := range v {
		if !math.IsNaN(x) && !math.IsInf(x, 0) {
			r := round(x)
			out[i] = &r
		}
	}
	return json.Marshal(out)
}

// round keeps records readable: a nanometre is finer than any control.
func round(x float64) float64 {
	r := math.Round(x*1e6) / 1e6
	if r == 0 {
		return 0 // no negative zero
	}
	return r
}

// Record is the outcome of a proof. It marshals to the same bytes for the same
// program and set-up.
type Record struct {
	Proven       bool             `json:"proven"`
	Setup        string           `json:"setup"`
	Program      Program          `json:"program"`
	Extent       *Extent          `json:"extent"` // nil when nothing moved from a known place
	Clearances   []Clearance      `json:"clearances"`
	Findings     []Finding        `json:"findings"`
	Suppressed   []Count          `json:"suppressed"` // findings beyond the cap of their rule
	Time         float64          `json:"time_s"`
	Times        []ToolTime       `json:"tool_times"`
	FeatureTimes []FeatureTime    `json:"feature_times"`
	Loads        []Load           `json:"loads"`
	Parts        []Part           `json:"parts"`
	Defects      []DefectDistance `json:"defects,omitempty"`
	Material     Material         `json:"material"`
	Tools        []int            `json:"tools"`
	Units        string           `json:"units"` // of the program text: mm, inch, mixed or none
	Registration *Registration    `json:"registration,omitempty"`
	Face         *Face            `json:"face,omitempty"` // nil: level
}

// Program names the text that was proven.
type Program struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256"`
	Blocks int    `json:"blocks"` // lines read, blank and comment lines included
	Motion int    `json:"motions"`
}

// Extent is the block that the tool's tip stays in.
type Extent struct {
	Min Vec `json:"min"`
	Max Vec `json:"max"`
}

// Clearance is the least distance of any part of the tool assembly to a zone,
// over all motions of the program: never less than Minimum. Block and Line tell
// where it occurs; they are 0 when no motion from a known place was made.
type Clearance struct {
	Zone    string  `json:"zone"`
	Minimum float64 `json:"minimum_mm"`
	Needed  float64 `json:"needed_mm"`
	Block   int     `json:"block"`
	Line    int     `json:"line"`
}

// Finding is one thing that is wrong or worth knowing.
type Finding struct {
	Severity Severity `json:"severity"`
	Rule     string   `json:"rule"`
	Block    int      `json:"block"`
	Line     int      `json:"line"`
	Col      int      `json:"col"`
	Position *Vec     `json:"position,omitempty"`
	Text     string   `json:"text"`
}

// Count tells how many findings of a rule were left out of the list.
type Count struct {
	Rule     string   `json:"rule"`
	Severity Severity `json:"severity"`
	More     int      `json:"more"`
}

// ToolTime is how long a tool is in use, tool changes not counted.
type ToolTime struct {
	Tool    int     `json:"tool"`
	Time    float64 `json:"time_s"`
	Cutting float64 `json:"feed_s"` // share of it spent at feed rate
	Dwell   float64 `json:"dwell_s"`
	Rapid   float64 `json:"rapid_s"`
}

// FeatureTime is the time of the cuts at feed rate that are made for a feature,
// in the order of the set-up; features that nothing is cut for are left out and
// those of one name are taken together. A cut counts for the feature in which it
// is halfway. The way there and out again is not part of it.
type FeatureTime struct {
	Feature string  `json:"feature"`
	Time    float64 `json:"time_s"`
}

// Part is a piece as the motions cut it. Discs have a Diameter, which is the
// least measured from the motions: twice the distance from the centre to the
// nearest edge of any sweep round it. Other parts have the Size of their
// outline as planned, and an Edge where a cut goes round them.
type Part struct {
	Name     string      `json:"name"`
	X        float64     `json:"x"`
	Y        float64     `json:"y"`
	Diameter float64     `json:"diameter,omitempty"`
	Nominal  float64     `json:"nominal,omitempty"`
	Open     float64     `json:"uncut_deg"` // angle round a disc where no cut reaches its size
	Size     *[2]float64 `json:"size,omitempty"`
	Edge     *Edge       `json:"edge,omitempty"`
	Finish   *Finish     `json:"finish,omitempty"`
}

// DefectDistance is the least distance of any part to a defect of the stock: never
// more than it is. Minimum is nil where there is no part.
type DefectDistance struct {
	Defect    string   `json:"defect"`
	Part      string   `json:"part,omitempty"` // the nearest
	Minimum   *float64 `json:"minimum_mm"`
	Needed    float64  `json:"needed_mm"`
	CutAcross bool     `json:"cut_across"`
}

// Edge is how the edge of a part that is no disc lies to its outline, measured
// from the motions at places along it.
type Edge struct {
	Least float64 `json:"least_mm"` // how far it stands off, negative: inside the outline
	Most  float64 `json:"most_mm"`  // where the tool can go
	Open  float64 `json:"uncut_mm"` // length of the outline to which no cut comes within tolerance
}

// Finish is what is left to do to a disc after the mill, mm.
type Finish struct {
	Diameter float64     `json:"diameter"`         // to turn to
	Limits   *[2]float64 `json:"limits,omitempty"` // of the finished diameter, where a fit gives them
	TurnOff  float64     `json:"turn_off"`         // per side, from the least diameter that the motions leave
}

// Material describes the height map and what it shows.
type Material struct {
	Resolution float64 `json:"resolution_mm"` // side of a cell
	Cells      int     `json:"cells"`
	HeightStep float64 `json:"height_step_mm"` // sloped motions are stamped in steps no higher
	Removed    float64 `json:"removed_mm3"`
}
