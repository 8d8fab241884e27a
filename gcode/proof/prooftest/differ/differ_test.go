package differ

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/interp"
	"proofcut/gcode/proof/prooftest"
	"proofcut/paths/geom"
)

// shop is a control of a small workshop.
func shop() interp.Options {
	return interp.Options{
		Start:    geom.Pt3(5, 5, 150),
		Tools:    map[int]interp.Tool{1: {Length: 42.5, Diameter: 3}, 2: {Length: 61.25, Diameter: 6}, 3: {Length: 20, Diameter: 0.5}, 4: {Length: 33, Diameter: -0.5}},
		Practice: interp.Practice{SemicolonComments: true, Subprograms: true, RigidTapping: true},
		Parameters: map[int]float64{5163: 50, 5181: 3, 5183: 40, 5211: 0.5, 5221: 100, 5222: 50, 5223: -80,
			5241: 7, 5242: 5, 5243: -3, 5261: -4, 5262: 3, 5263: 2},
	}
}

func long() bool { return os.Getenv("PROOFCUT_LONG") != "" }

// Every program text of the project.
func TestProgramsOfTheProject(t *testing.T) {
	n := 0
	require.NoError(t, filepath.WalkDir(filepath.Join("..", "..", "..", ".."), func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(name) != ".nc" {
			return err
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		n++
		v := Read(string(text), shop())
		require.Empty(t, v.Diff, name)
		require.NoError(t, v.Ours, name)
		return nil
	}))
	require.GreaterOrEqual(t, n, 9)
}

// Programs with every kind of fault put in.
func TestMutants(t *testing.T) {
	times := 1
	if long() {
		times = 50
	}
	read := 0
	for i, k := range prooftest.Kinds() {
		for _, c := range prooftest.Cases() {
			for n := range times {
				text, ok := k.Mutate(rand.New(rand.NewPCG(uint64(i), uint64(n))), c.Text)
				if !ok {
					continue
				}
				v := Read(text, shop())
				require.Empty(t, v.Diff, "%s: %s\n%s", c.Name, k.Name, text)
				if v.Plain == nil || !v.Plain.Open {
					read++
				}
			}
		}
	}
	require.Greater(t, read, 300*times) // or the plain reader leaves too much open
}

// Programs drawn at random: every motion, cycle, offset and mode.
func TestRandomPrograms(t *testing.T) {
	programs := 60
	if long() {
		programs = 5000
	}
	steps := 0
	for seed := range programs {
		rng := rand.New(rand.NewPCG(uint64(seed), 7))
		o := shop()
		o.Inch = rng.IntN(3) == 0
		Random(rng, 40, o, func(text string) bool {
			v := Read(text, o)
			require.Empty(t, v.Diff, "seed %d, ours %v, plain %v\n%s", seed, v.Ours, v.Plain, text)
			return v.Plain == nil
		})
		steps += Read(Random(rand.New(rand.NewPCG(uint64(seed), 7)), 40, o, func(string) bool { return true }), o).Steps
	}
	require.Greater(t, steps, 10*programs)
}

// A difference is told.
func TestDiffersIsSeen(t *testing.T) {
	text := "G21 G90 G0 X1\nG1 Y2 F100\nM2\n"
	require.Empty(t, Read(text, shop()).Diff)
	// A surface that is told in work coordinates is not the same in the machine's.
	o := shop()
	o.Surface = func(from, _ geom.Point3) (geom.Point3, bool) { from.Z = 20; return from, true }
	require.NotEmpty(t, Read("F9 G38.2 Z1\nM2\n", o).Diff)
}

// FuzzRead: whatever the text, both readers tell the same as far as both go.
func FuzzRead(f *testing.F) {
	for _, c := range prooftest.Cases() {
		f.Add([]byte(c.Text), uint16(3))
	}
	for seed := range 20 {
		rng := rand.New(rand.NewPCG(uint64(seed), 9))
		f.Add([]byte(Random(rng, 30, shop(), func(string) bool { return true })), uint16(0))
	}
	for _, s := range []string{"%%\n%s\n%%\n", "(a)(MSG, b)\n/N5 %s ; c\nM30\nrest", "O1\nM98 P100 L2\nM30\nO100\n%s\nM99\n"} {
		f.Add([]byte(fmt.Sprintf(s, "G91 g0x +0. 12 34y 7")), uint16(3))
	}
	f.Fuzz(func(t *testing.T, text []byte, switches uint16) {
		if len(text) > 1<<12 {
			return
		}
		on := func(bit int) bool { return switches&(1<<bit) != 0 }
		o := shop()
		o.Practice = interp.Practice{SemicolonComments: on(0), Subprograms: on(1), DwellMilliseconds: on(2), RigidTapping: on(5), HighSpeedPeck: on(6)}
		o.Inch, o.BlockDelete = on(3), on(4)
		o.Limits = interp.Limits{Blocks: 5000, Events: 20000, Repeats: 100, Pecks: 100}
		if v := Read(string(text), o); v.Diff != "" {
			t.Fatalf("%s\nours: %v\nplain: %v\n%s", v.Diff, v.Ours, v.Plain, strings.ToValidUTF8(string(text), "?"))
		}
	})
}
