package job

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"proofcut/paths/setup"
)

const slabMaterial = "material: laminated copper and nickel silver, glued to the plate"

// parseChanged parses the slab job with pieces of it replaced.
func parseChanged(t *testing.T, pairs ...string) (*Job, error) {
	t.Helper()
	good, err := os.ReadFile(example(t, "inlays-from-slab"))
	require.NoError(t, err)
	text := string(good)
	for i := 0; i < len(pairs); i += 2 {
		require.Contains(t, text, pairs[i])
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return Parse("job.yaml", filepath.Dir(example(t, "inlays-from-slab")), []byte(text))
}

func TestCuttingKeys(t *testing.T) {
	j, err := parseChanged(t,
		slabMaterial, "material: {name: odd offcut, like: [copper, nickel silver], hardness: 180HB}",
		"spin_up: 3s", "spin_up: 3s\n  power: 500W\n  torque: 0.4Nm\n  stiffness: 8N/um",
		"material: carbide", "material: coated carbide\n    helix: 30deg\n    runout: 5um")
	require.NoError(t, err)
	assert.Equal(t, "odd offcut", j.Stock.Material)
	assert.Equal(t, setup.Like{Names: []string{"copper", "nickel silver"}, Hardness: 180}, j.Stock.Like)
	assert.Equal(t, setup.Drive{Power: 0.5, Torque: 0.4, Stiffness: 8000}, j.Machine.Drive)
	assert.Equal(t, setup.CoatedCarbide, j.Tools[0].Substrate)
	assert.InDelta(t, math.Pi/6, j.Tools[0].Helix, 1e-12)
	assert.InDelta(t, 0.005, j.Tools[0].Runout, 1e-12)

	j, err = parseChanged(t, slabMaterial, "material: {name: find, hardness: 200}", "    material: carbide\n", "")
	require.NoError(t, err)
	assert.Equal(t, setup.Like{Hardness: 200}, j.Stock.Like)
	assert.Equal(t, setup.UnknownSubstrate, j.Tools[0].Substrate)
	assert.Zero(t, j.Machine.Drive)
}

func TestBadCuttingKeys(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		says           []string
	}{
		{"unknown material", slabMaterial, "material: moon rock", []string{`"moon rock"`, "use one of aluminium", "nickel silver", "like: brass"}},
		{"unknown backing", "material: aluminium plate", "material: cheese", []string{`"cheese"`, "like: brass"}},
		{"unknown like", slabMaterial, "material: {name: x, like: bras}", []string{`did you mean "brass"?`}},
		{"neither like nor hardness", slabMaterial, "material: {name: x}", []string{"like: brass", "hardness: 180"}},
		{"no name", slabMaterial, "material: {like: brass}", []string{`lacks "name"`}},
		{"empty list", slabMaterial, "material: {name: x, like: []}", []string{"like is empty"}},
		{"wrong key", slabMaterial, "material: {name: x, liek: brass}", []string{`no key "liek"`}},
		{"hardness in another scale", slabMaterial, "material: {name: x, like: brass, hardness: 60HRC}", []string{"Brinell hardness such as 180HB"}},
		{"no hardness", slabMaterial, "material: {name: x, like: brass, hardness: 0}", []string{"more than 0"}},
		{"hardness without end", slabMaterial, "material: {name: x, like: brass, hardness: .inf}", []string{"single value"}},
		{"hardness of wood", slabMaterial, "material: {name: x, like: hardwood, hardness: 40}", []string{"no Brinell hardness"}},
		{"tool of wood", "material: carbide", "material: wood", []string{"carbide, coated carbide, high-speed steel"}},
		{"power in another unit", "spin_up: 3s", "spin_up: 3s\n  power: 3PS", []string{"W, kW or hp"}},
		{"negative torque", "spin_up: 3s", "spin_up: 3s\n  torque: -1Nm", []string{"torque has to be more than 0"}},
		{"negative runout", "material: carbide", "material: carbide\n    runout: -5um", []string{"runout has to be 0 or more"}},
		{"runout beyond the tool", "material: carbide", "material: carbide\n    runout: 2mm", []string{"the runout is 2 mm"}},
		{"helix beyond square", "material: carbide", "material: carbide\n    helix: 95deg", []string{"helix is 95 deg"}},
	} {
		_, err := parseChanged(t, c.old, c.new)
		require.Error(t, err, c.name)
		for _, s := range c.says {
			assert.Contains(t, err.Error(), s, c.name)
		}
		assert.Regexp(t, `^job\.yaml:\d+:\d+: `, err.Error(), c.name)
	}
}
