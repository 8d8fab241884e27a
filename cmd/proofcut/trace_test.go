package main

import (
	"os"
	"strconv"

	"github.com/rogpeppe/go-internal/testscript"

	"proofcut/paths/slab/scan/scantest"
)

func truncate(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: truncate FILE BYTES")
	}
	n, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), n))
}

func huge(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: huge FILE WIDTH HEIGHT")
	}
	w, err := strconv.ParseUint(args[1], 10, 32)
	ts.Check(err)
	h, err := strconv.ParseUint(args[2], 10, 32)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), scantest.Header(uint32(w), uint32(h)), 0o644))
}
