package yield

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"proofcut/paths/job"
	"proofcut/paths/setup"
)

// TestValues: without values of its own a variable is tried round the job's.
func TestValues(t *testing.T) {
	n := &job.Nest{Finished: 12.7, Web: 0.3, Allowance: 0.127, Cutter: 1}
	j := &job.Job{Tools: []job.Tool{{Tool: setup.Tool{Number: 1, Diameter: 1.5875}}}}
	for _, v := range Variables {
		list := v.values(j, n, nil)
		assert.GreaterOrEqual(t, len(list), 4, v.String())
		assert.Contains(t, list, v.of(j, n))
		assert.True(t, slices.IsSorted(list))
		assert.Len(t, v.values(j, n, []float64{1, 1, 9}), 3, "no value twice, the job's own among them")
	}
	n.Web = 0
	assert.Equal(t, []float64{0, 0.2, 0.4, 0.8}, Web.values(j, n, nil))
}
