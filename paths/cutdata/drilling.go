package cutdata

import "math"

// PointLength returns the length of a drill's point: d / (2 tan(angle/2))
// (geometry).
func PointLength(d, angle float64) float64 {
	return domain(d/(2*math.Tan(angle/2)), d, angle, math.Pi-angle)
}

// DrillTime returns the minutes to drill a travel (depth, approach, point and
// overrun together) at f mm a turn and n 1/min (TUT2).
func DrillTime(travel, f, n float64) float64 { return domain(travel/(f*n), travel, f, n) }

// LipChip returns the chip thickness at each lip of a two-lipped drill with that
// point angle fed f mm a turn: f/2 sin(angle/2) (geometry).
func LipChip(f, angle float64) float64 {
	return domain(f/2*math.Sin(angle/2), f, angle, math.Pi-angle)
}

// DrillTorque returns M = kc f d^2 / 8000 in N·m (Kienzle, from memory).
// Published models differ by a factor of two; see DrillSpread.
func DrillTorque(kc, f, d float64) float64 { return domain(kc*f*d*d/8000, kc, f, d) }

// LipThrust returns the axial force in N of both lips, the chisel edge not
// included: 0.5 kc (f/2) d sin(angle/2) (Kienzle, from memory).
func LipThrust(kc, f, d, angle float64) float64 {
	return domain(0.5*kc*f/2*d*math.Sin(angle/2), kc, f, d, angle, math.Pi-angle)
}

// DrillSpread is what to multiply DrillTorque by for a limit: a handbook gives
// 15.7 N·m where the Kienzle form gives 8.8 (D 10, f 0.3, steel of 200 HB).
const DrillSpread = 2

// ChiselFactor is what to multiply LipThrust by for the whole thrust, the upper
// end of 1.5 to 3 (from memory).
const ChiselFactor = 3

// PointForm holds the chisel edge factors of a drill's point (MH p1152).
type PointForm struct{ A, B, J float64 }

// The forms of a drill's point, by the share of the chisel edge in the diameter.
var (
	standardPoint = PointForm{1.085, 1.355, 0.030} // c/d 0.18
	splitPoint    = PointForm{1.000, 1.100, 0.001} // c/d 0.03
)

// StandardPoint returns the factors of a standard point.
func StandardPoint() PointForm { return standardPoint }

// SplitPoint returns the factors of a split point.
func SplitPoint() PointForm { return splitPoint }

// HandbookThrust returns the thrust in N by the handbook's form (MH p1152):
// 0.05 kd Ff FT B w + 0.007 kd d^2 J w with Ff = f^0.8 and FT = d^0.8. kd is the
// work factor, 24000 for steel of 200 HB (from memory), w the wear factor, 1
// when sharp and about 1.3 worn.
func HandbookThrust(kd, f, d float64, p PointForm, w float64) float64 {
	return domain(0.05*kd*math.Pow(f, 0.8)*math.Pow(d, 0.8)*p.B*w+0.007*kd*d*d*p.J*w, kd, f, d, w, p.B, p.J)
}

// HandbookTorque returns the torque in N·m by the handbook's form (MH p1152):
// 0.000025 kd f^0.8 d^1.8 A w.
func HandbookTorque(kd, f, d float64, p PointForm, w float64) float64 {
	return domain(0.000025*kd*math.Pow(f, 0.8)*math.Pow(d, 1.8)*p.A*w, kd, f, d, w, p.A)
}

// DataBookTorque returns the torque in N·m by a data book's form (CAR p192,
// exponents from memory): kd f^0.75 d^1.8, with kd 0.11 for aluminium, 0.084
// brass, 0.07 cast iron, 0.36 mild steel and 0.40 tool steel.
func DataBookTorque(kd, f, d float64) float64 {
	return domain(kd*math.Pow(f, 0.75)*math.Pow(d, 1.8), kd, f, d)
}

// TapTorque returns the N·m of a cutting tap of diameter d and that pitch: kc
// pitch^2 d / 8000 (TPT) with the kc of quantity TapForce. A forming tap takes 2
// to 3 times as much.
func TapTorque(kc, pitch, d float64) float64 { return domain(kc*pitch*pitch*d/8000, kc, pitch, d) }

// TapFeed returns the feed in mm/min of a tap at n 1/min: n pitch, exactly.
func TapFeed(n, pitch float64) float64 { return domain(n*pitch, n, pitch) }

// ThreadMillFeed returns the feed of the cutter's centre for a feed at its edge
// inside a hole: edge (hole - tool) / hole (geometry).
func ThreadMillFeed(edge, hole, tool float64) float64 {
	return domain(edge*(hole-tool)/hole, edge, hole, tool, hole-tool)
}
