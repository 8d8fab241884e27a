package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"proofcut": main})
}

// TestScript runs the scripts in testdata/script. Beside the usual commands
// they have
//
//	exits STATUS ARG...      run proofcut and demand this exit status
//	alter FILE OLD NEW       replace the first match of the regular expression OLD
//	truncate FILE BYTES      keep the first bytes only
//	huge FILE WIDTH HEIGHT   write the start of a PNG picture of that many pixels
//	append FILE MORE         put the text of the file MORE at the end of FILE
func TestScript(t *testing.T) {
	examples, err := filepath.Abs(filepath.Join("..", "..", "examples"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join("testdata", "script"),
		Setup: func(e *testscript.Env) error {
			return os.CopyFS(filepath.Join(e.WorkDir, "examples"), os.DirFS(examples))
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":  exits,
			"alter":  alter,
			"append": appendFile,

			"truncate": truncate,
			"huge":     huge,
		},
	})
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS ARG...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec("proofcut", args[1:]...)
	got := 0
	if err != nil {
		var code interface{ ExitCode() int }
		c, ok := err.(interface{ ExitCode() int })
		if !ok {
			ts.Fatalf("proofcut did not end by itself: %v", err)
		}
		code = c
		got = code.ExitCode()
	}
	if got != want {
		ts.Fatalf("proofcut %s: exit status %d, not %d", strings.Join(args[1:], " "), got, want)
	}
}

func alter(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: alter FILE OLD NEW")
	}
	file := ts.MkAbs(args[0])
	data, err := os.ReadFile(file)
	ts.Check(err)
	re, err := regexp.Compile("(?m)" + args[1])
	ts.Check(err)
	at := re.FindSubmatchIndex(data)
	if at == nil {
		ts.Fatalf("%s has nothing like %q", args[0], args[1])
	}
	var out bytes.Buffer
	out.Write(data[:at[0]])
	out.Write(re.Expand(nil, []byte(args[2]), data, at))
	out.Write(data[at[1]:])
	ts.Check(os.WriteFile(file, out.Bytes(), 0o644))
	fmt.Fprintln(ts.Stdout(), "altered", args[0])
}

func appendFile(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: append FILE MORE")
	}
	data, err := os.ReadFile(ts.MkAbs(args[0]))
	ts.Check(err)
	more, err := os.ReadFile(ts.MkAbs(args[1]))
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), append(data, more...), 0o644))
}
