package main

import (
	"fmt"
	"io"

	"proofcut/paths/job"
)

// printReport prints how the slab was found.
func printReport(w io.Writer, j *job.Job) error {
	for _, line := range j.Report() {
		if _, err := fmt.Fprintln(w, line); err != nil {
			return outputError{err}
		}
	}
	return nil
}
