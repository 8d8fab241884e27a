package thread

import "strings"

// Torque returns about what a cutting tap takes, in N m, in a material of the
// specific cutting force kc in N/mm2: kc P^2 D / 8000 (a trade's tapping pages,
// 2021 to 2022). A spiral-pointed tap takes about 0.6 of it.
func (t Thread) Torque(kc float64) float64 { return kc * t.Pitch * t.Pitch * t.Major / 8000 }

// forces are specific cutting forces for tapping in N/mm2, from the same pages,
// by words that name a material.
var forces = []struct {
	word, name string
	kc         float64
}{
	{"alumin", "aluminium", 800}, {"brass", "brass", 720}, {"bronze", "copper alloys", 1100}, {"copper", "copper alloys", 1100},
	{"stainless", "stainless steel", 3200}, {"steel", "steel", 2500}, {"cast iron", "cast iron", 1250},
}

// CuttingForce returns the specific cutting force for tapping of a material that
// is named in words, and what it was taken for; false when no word is known.
func CuttingForce(material string) (kc float64, name string, ok bool) {
	m := strings.ToLower(material)
	for _, f := range forces {
		if strings.Contains(m, f.word) {
			return f.kc, f.name, true
		}
	}
	return 0, "", false
}
