package post_test

import (
	"flag"
	"os"
	"testing"
)

// TestMain keeps the property tests short unless a long run is asked for by
// PROOFCUT_LONG or the flag -rapid.checks.
func TestMain(m *testing.M) {
	flag.Parse()
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "rapid.checks" })
	if !given && os.Getenv("PROOFCUT_LONG") != "" {
		if err := flag.Set("rapid.checks", "10000"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
