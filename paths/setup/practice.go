package setup

// Practice is what the machine's control knows beyond the published language,
// all of it off unless the machine says so (common practice, no source).
type Practice struct {
	SemicolonComments bool // ; begins a comment that ends with the line
	RigidTapping      bool // G74 (left-hand tap) and G33.1 with K as pitch
	HighSpeedPeck     bool // G73 breaks the chip without leaving the hole
	Subprograms       bool // M98 P calls O, L times; M99 returns
	DwellMilliseconds bool // P of G4 and of cycles counts milliseconds
}
