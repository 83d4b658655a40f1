package mechanic

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
)

// TestABookedVisit: what could not be done for want of time, or where the engine may
// not run, can be done at the visit that was booked for it.
func TestABookedVisit(t *testing.T) {
	var j job
	for _, reading := range []string{"time_to_spare", "may_start"} {
		_, ok := j.tells(reading)
		assert.False(t, ok, "%s is the vehicle's to tell", reading)
	}
	j.ends(&engine.Finding{Action: "book_charge_and_test"})
	for reading, want := range map[string]string{"time_to_spare": "hours", "may_start": "yes"} {
		said, ok := j.tells(reading)
		assert.True(t, ok)
		assert.Equal(t, want, said, reading)
	}
}
