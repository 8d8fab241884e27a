package cutdata

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/paths/setup"
)

// args are the named arguments of a vector, in mm, m/min and degrees.
type args map[string]float64

func (a args) rad(name string) float64 { return a[name] * math.Pi / 180 }

// formulas are what the vectors name.
var formulas = map[string]func(args) float64{
	"spindle":       func(a args) float64 { return SpindleSpeed(a["vc"], a["d"]) },
	"speed":         func(a args) float64 { return CuttingSpeed(a["n"], a["d"]) },
	"feed":          func(a args) float64 { return TableFeed(a["n"], int(a["z"]), a["fz"]) },
	"tooth":         func(a args) float64 { return FeedPerTooth(a["vf"], a["n"], int(a["z"])) },
	"removal":       func(a args) float64 { return RemovalRate(a["ap"], a["ae"], a["vf"]) },
	"time":          func(a args) float64 { return MachiningTime(a["l"], a["vf"]) },
	"slab-approach": func(a args) float64 { return SlabApproach(a["d"], a["depth"]) },
	"face-approach": func(a args) float64 { return FaceApproach(a["d"], a["w"]) },
	"engagement":    func(a args) float64 { return EngagementAngle(a["d"], a["ae"]) * 180 / math.Pi },
	"chip-mean":     func(a args) float64 { return MeanChip(a["fz"], a["d"], a["ae"]) },
	"chip-max":      func(a args) float64 { return MaxChip(a["fz"], a["d"], a["ae"]) },
	"thinning":      func(a args) float64 { return ThinningFactor(a["d"], a["ae"], ThinningCap) },
	"kc":            func(a args) float64 { return SpecificForce(a["kc11"], a["mc"], a["h"]) },
	"power":         func(a args) float64 { return MeanPower(a["ap"], a["ae"], a["vf"], a["kc"], a["eta"]) },
	"torque":        func(a args) float64 { return Torque(a["p"], a["n"]) },
	"torque-power":  func(a args) float64 { return Power(a["m"], a["n"]) },
	"tooth-force":   func(a args) float64 { return ToothForce(SpecificForce(a["kc11"], a["mc"], a["h"]), a["b"], a["h"]) },
	"inertia":       func(a args) float64 { return inertia(a["d"]) },
	"bending":       func(a args) float64 { return BendingStress(a["f"], a["x"], a["d"]) },
	"deflection": func(a args) float64 {
		b, err := ToolBeam(setup.Tool{Number: 1, Diameter: a["d"], Flutes: 2, FluteLength: a["l1"], Shank: a["ds"], StickOut: a["l1"] + a["l2"]})
		if err != nil {
			return math.NaN()
		}
		return b.Deflection(a["f"], a["e"])
	},
	"deflection-bar": func(a args) float64 {
		return Beam{{0, a["l"], FluteCore * a["d"], FluteCore * a["d"]}}.Deflection(a["f"], a["e"])
	},
	"scallop":   func(a args) float64 { return Scallop(a["r"], a["s"]) },
	"stepover":  func(a args) float64 { return ScallopStep(a["r"], a["hs"]) },
	"ball":      func(a args) float64 { return BallDiameter(a["d"], a["ap"]) },
	"vee-width": func(a args) float64 { return VeeWidth(a["tip"], a.rad("angle"), a["ap"]) },
	"vee-depth": func(a args) float64 { return VeeDepth(a["tip"], a.rad("angle"), a["width"]) },
	"vee-error": func(a args) float64 { return VeeWidthError(a.rad("angle"), a["dz"]) },
	"point":     func(a args) float64 { return PointLength(a["d"], a.rad("angle")) },
	"drill-time": func(a args) float64 {
		return DrillTime(a["travel"], a["f"], a["n"])
	},
	// Each hole down at the feed and up at twice the feed, the table between.
	"nest-of-holes": func(a args) float64 {
		down := DrillTime(a["stroke"], a["f"], a["n"])
		return a["holes"]*(down+down/2) + MachiningTime(a["moves"]*a["pitch"], a["traverse"])
	},
	"handbook-thrust": func(a args) float64 {
		return HandbookThrust(a["kd"], a["f"], a["d"], StandardPoint(), a["w"])
	},
	"handbook-torque": func(a args) float64 {
		return HandbookTorque(a["kd"], a["f"], a["d"], StandardPoint(), a["w"])
	},
	"data-book-torque": func(a args) float64 { return DataBookTorque(a["kd"], a["f"], a["d"]) },
	"lip-chip":         func(a args) float64 { return LipChip(a["f"], a.rad("angle")) },
	"drill-torque":     func(a args) float64 { return DrillTorque(a["kc"], a["f"], a["d"]) },
	"lip-thrust":       func(a args) float64 { return LipThrust(a["kc"], a["f"], a["d"], a.rad("angle")) },
	"tap-feed":         func(a args) float64 { return TapFeed(a["n"], a["pitch"]) },
	"tap-torque":       func(a args) float64 { return TapTorque(a["kc"], a["pitch"], a["d"]) },
}

// units are the suffixes of figures in the vectors and what one is worth: 1 ft/min
// is 0.3048 m/min, 1 lbf 4.4482 N, 1 in.lbf 0.11298 N·m, 1 hp 0.7457 kW.
var units = []struct {
	suffix string
	worth  float64
}{{"inlb", 0.11298}, {"in3", 25.4 * 25.4 * 25.4}, {"in", 25.4}, {"fpm", 0.3048}, {"lb", 4.4482}, {"hp", 0.7457}, {"", 1}}

// figure reads a number with a unit and returns it with the unit's worth.
func figure(t *testing.T, s string) (value, worth float64) {
	for _, u := range units {
		if n, ok := strings.CutSuffix(s, u.suffix); ok {
			v, err := strconv.ParseFloat(n, 64)
			require.NoError(t, err)
			return v * u.worth, u.worth
		}
	}
	return
}

// TestVectors checks textbook and worked examples; their sources stand in
// testdata/README.md.
func TestVectors(t *testing.T) {
	f, err := os.Open("testdata/vectors.csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 100)
	used := map[string]bool{}
	for _, row := range rows[1:] {
		t.Run(row[0]+" "+row[2]+" "+row[3], func(t *testing.T) {
			a := args{}
			for _, pair := range strings.Split(row[3], ";") {
				name, text, ok := strings.Cut(pair, "=")
				require.True(t, ok, pair)
				a[name], _ = figure(t, text)
			}
			want, worth := figure(t, row[4])
			tol, err := strconv.ParseFloat(row[5], 64)
			require.NoError(t, err)
			formula := formulas[row[2]]
			require.NotNil(t, formula, row[2])
			used[row[2]] = true
			require.InDelta(t, want/worth, formula(a)/worth, tol)
		})
	}
	require.Len(t, used, len(formulas), "a formula without a vector")
}
