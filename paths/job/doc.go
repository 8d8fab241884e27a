// Package job reads a job document (YAML) and plans it: the set-up that a
// program is made for and proven against, and the toolpaths of each program.
//
// The document is hostile until checked: an unknown key, a missing value, a
// wrong unit or a number out of range is an error that names file, line and
// column and says what to write instead. Lengths become millimetres here and
// nowhere later.
package job
