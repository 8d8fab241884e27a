package release_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"proofcut/gcode/interp"
	"proofcut/gcode/proof/prooftest/differ"
	"proofcut/gcode/release"
	"proofcut/paths/geom"
)

// TestPlainReaderAgrees reads the programs of the examples with a reader that
// shares nothing with the one that proves them; PROOFCUT_LONG=1 takes all examples.
func TestPlainReaderAgrees(t *testing.T) {
	names := []string{"name-on-flat", "name-on-bowed-flat"}
	if os.Getenv("PROOFCUT_LONG") != "" {
		files, err := filepath.Glob(filepath.Join("..", "..", "examples", "*", "job.yaml"))
		require.NoError(t, err)
		names = nil
		for _, f := range files {
			names = append(names, filepath.Base(filepath.Dir(f)))
		}
	}
	read := func(name string, text []byte) {
		require.NotEmpty(t, text, name)
		v := differ.Read(string(text), interp.Options{
			Start:    geom.Pt3(0, 0, 60),
			Practice: interp.Practice{SemicolonComments: true, Subprograms: true},
			Surface:  func(from, _ geom.Point3) (geom.Point3, bool) { from.Z = 0; return from, true },
		})
		require.Empty(t, v.Diff, name)
		require.NoError(t, v.Ours, name)
		require.Nil(t, v.Plain, name)
	}
	for _, name := range names {
		p := plannerOf(name)
		for _, row := range p.Programs() {
			program, err := release.Build(context.Background(), p, row)
			require.NoError(t, err)
			read(name, program.Text)
		}
		if name == "name-on-bowed-flat" {
			probing, err := release.Probe(context.Background(), p)
			require.NoError(t, err)
			read(name, probing.Text)
		}
	}
}
