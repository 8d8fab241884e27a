package thread

import (
	"flag"

	_ "pgregory.net/rapid" // has the flag
)

// Property tests draw the same cases on every run, so that what was green
// stays green; -rapid.seed=0 draws new ones.
func init() {
	if err := flag.Set("rapid.seed", "20260101"); err != nil {
		panic(err)
	}
}
