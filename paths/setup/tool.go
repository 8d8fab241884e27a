package setup

// Shape is the form of a tool's cutting end.
type Shape uint8

// The tool forms.
const (
	Flat Shape = iota
	Ball
	Vee
	Drill
	Tap // cuts a thread in a drilled hole, in step with the spindle
)

// Tool is a rotating cutter. Heights are measured up from its tip.
type Tool struct {
	Number      int
	Name        string
	Shape       Shape
	Diameter    float64 // of the flutes; of a vee at the top of its cone
	TipDiameter float64 // flat at the tip of a vee
	Angle       float64 // included angle of a vee or of a drill's point, radians
	Pitch       float64 // of a tap, mm; its thread is right-handed
	Lead        float64 // length of a tap's chamfered end, which cuts no full thread, mm
	Flutes      int
	FluteLength float64 // from the tip
	Shank       float64 // diameter
	StickOut    float64 // from the tip to the holder

	// Length is what the control's tool table holds for the tool, mm: how much
	// lower its tip is than the point that the control places without a length
	// offset. nil: not known.
	Length *float64

	Holder     []Section
	CentreCuts bool // may be plunged straight down

	Substrate Substrate
	Helix     float64 // of the flutes against the axis, radians; 0: straight or not known
	Runout    float64 // total indicator reading at the tip; 0: not known
}

// Section is a truncated cone of the tool assembly between two heights above
// the tip.
type Section struct{ Z0, R0, Z1, R1 float64 }
