package prove

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestWhatLiesBehindABlindStepIsNotToBlame decides on a limit that goes by a reading
// which nobody takes: that is the one thing that is wrong.
func TestWhatLiesBehindABlindStepIsNotToBlame(t *testing.T) {
	r := Library(sample(t, head+`limits:
  by_case: {by: clamp, cases: {tight: 12 V, loose: 11 V, burnt: 10 V}, source: definition}
findings:
  joint: {title: The joint, action: clean}
steps:
  look: {kind: measure, title: Look, take: [rest], by: rest, bands: [{below: limits.by_case, to: again}, {to: good}]}
  again: {kind: measure, title: Again, take: [load], by: load, bands: [{below: limits.flat, to: joint}, {to: good}]}
`), nil, Options{})
	require.Equal(t, []string{"not-taken"}, broken(r))
	for _, f := range r.Faults.Sorted() {
		if f.Rule == "not-taken" {
			require.NotEmpty(t, f.Notes)
			assert.Equal(t, "limits.by_case goes by clamp, so the step must know it too", f.Notes[0].Message)
		}
	}
}
