package cutdata

import "math"

// ThinningCap is the greatest factor by which ThinningFactor raises a feed
// (common practice, no source: 3 to 4): below ae/d of about 0.02 the factor
// grows without bound while runout rules the real chip.
const ThinningCap = 3

// LeastChip is the chip thickness in mm under which a tooth rubs instead of
// cutting. Small carbide edges have a radius of 2 to 5 um (from memory) and the
// least chip is 0.14 to 0.43 of it, 0.6 to 0.68 in one study of brass (CHG).
const LeastChip = 0.002

// EngagementAngle returns the angle over which a tooth of a cutter of diameter
// d cuts at radial width ae: arccos(1 - 2 ae/d), pi for a slot (ELH). A width
// over d counts as d.
func EngagementAngle(d, ae float64) float64 {
	return domain(math.Acos(1-2*math.Min(ae/d, 1)), d, ae)
}

// RadialWidth returns ae for an engagement angle between 0 and pi, the inverse
// of EngagementAngle.
func RadialWidth(d, angle float64) float64 {
	if angle > math.Pi {
		return math.NaN()
	}
	return domain(d/2*(1-math.Cos(angle)), d, angle)
}

// MaxChip returns the greatest chip thickness of a peripheral cut with straight
// teeth: 2 fz sqrt(x - x^2) with x = ae/d below 0.5, fz from there on (ELH for
// small x).
func MaxChip(fz, d, ae float64) float64 {
	x := ae / d
	if x >= 0.5 {
		return domain(fz, fz, d, ae)
	}
	return domain(2*fz*math.Sqrt(x-x*x), fz, d, ae)
}

// MeanChip returns the mean chip thickness over the arc of engagement:
// 2 fz x / phi, exact (CAT).
func MeanChip(fz, d, ae float64) float64 {
	x := math.Min(ae/d, 1)
	return domain(2*fz*x/EngagementAngle(d, ae), fz, d, ae)
}

// ThinningFactor returns by how much the feed per tooth may exceed the wanted
// greatest chip thickness at radial width ae: 1 / (2 sqrt(x - x^2)) below half
// the diameter, else 1, and at most limit (ThinningCap is usual). Derived from
// MaxChip.
func ThinningFactor(d, ae, limit float64) float64 {
	return domain(math.Min(1/MaxChip(1, d, ae), limit), d, ae, limit)
}

// SmallToolScale returns by what the percentage of ChipPercent shrinks for a
// small diameter: 1 from 3 mm up, 0.8 at 2, 0.6 at 1 and 0.5 at 0.5 mm (common
// practice, no source), straight lines between and 0.5 below.
func SmallToolScale(d float64) float64 {
	points := [...][2]float64{{0.5, 0.5}, {1, 0.6}, {2, 0.8}, {3, 1}}
	if d <= points[0][0] {
		return domain(points[0][1], d)
	}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if d < b[0] {
			return a[1] + (b[1]-a[1])*(d-a[0])/(b[0]-a[0])
		}
	}
	return domain(1, d)
}

// chipEvidence is the greatest diameter in mm for which the table of chip loads
// has evidence; larger cutters get no larger chip.
const chipEvidence = 8

// FeedRange returns the feed per tooth in mm that suits a cutter of diameter d,
// from a full slot to a light side cut; false when the material has no value.
// Neither end is under LeastChip.
func (m Material) FeedRange(d float64) (slot, side float64, ok bool) {
	v, ok := m.Value(ChipPercent)
	if !ok || !(d > 0) {
		return 0, 0, false
	}
	d = math.Min(d, chipEvidence)
	k := d * SmallToolScale(d) / 100
	return math.Max(v.Low*k, LeastChip), math.Max(v.High*k, LeastChip), true
}

// drillFeedAt is the diameter in mm for which the table gives feeds of drills
// (TUT), and drillFeedShare the feed as a share of the diameter where it gives
// none: 0.02 to 0.03 (common practice, no source).
const (
	drillFeedAt    = 6.0
	drillFeedShare = 0.03
)

// DrillFeed returns the greatest feed in mm a turn that suits a drill of diameter
// d: the table's at 6 mm, in proportion below, no more above; NaN when d is not
// positive.
func (m Material) DrillFeed(d float64) float64 {
	k := math.Min(d, drillFeedAt)
	if v, ok := m.Value(DrillFeed); ok {
		return domain(v.High*k/drillFeedAt, d)
	}
	return domain(drillFeedShare*k, d)
}
