package main

import "strings"

// flagsFirst moves flags before the other arguments: people write
// "make JOB.yaml --out DIR", the flag parser stops at the first plain word.
// withValue names the flags that take a value.
func flagsFirst(args []string, withValue ...string) []string {
	var flags, rest []string
	for i := 0; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			rest = append(rest, args[i+1:]...)
			break
		}
		if len(a) < 2 || a[0] != '-' {
			rest = append(rest, a)
			continue
		}
		flags = append(flags, a)
		name := strings.TrimLeft(a, "-")
		for _, w := range withValue {
			if name == w && i+1 < len(args) {
				i++
				flags = append(flags, args[i])
			}
		}
	}
	if len(rest) > 0 {
		flags = append(flags, "--")
	}
	return append(flags, rest...)
}
