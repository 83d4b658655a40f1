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
	j.ends(&engine.Finding{Then: &engine.Then{First: engine.FirstCharge}})
	for reading, want := range map[string]string{"time_to_spare": "hours", "may_start": "yes"} {
		said, ok := j.tells(reading)
		assert.True(t, ok)
		assert.Equal(t, want, said, reading)
	}
}

// TestWhatWasFoundFlat: it stays unexplained until somebody looks for the cause, also
// behind a new battery.
func TestWhatWasFoundFlat(t *testing.T) {
	var j job
	flat := func() string { said, _ := j.tells("found_flat"); return said }
	j.does(&engine.Step{Kind: engine.Crank})
	assert.Equal(t, "no", flat())
	j.does(&engine.Step{Kind: engine.Charge})
	assert.Equal(t, "yes", flat())
	j.ends(&engine.Finding{Then: &engine.Then{First: engine.FirstRepair}})
	assert.Equal(t, "yes", flat(), "a repair of something else explains nothing")
	j.ends(&engine.Finding{Then: &engine.Then{First: engine.FirstCause}})
	assert.Equal(t, "no", flat())

	j.does(&engine.Step{Kind: engine.Jump})
	j.mends(&engine.Finding{Faults: []string{"battery_worn_out"}})
	assert.Equal(t, "yes", flat(), "a new battery does not say why the old one was flat")
	j.ends(&engine.Finding{Then: &engine.Then{First: engine.FirstCause}})
	j.does(&engine.Step{Kind: engine.Charge})
	assert.Equal(t, "no", flat(), "a new battery is charged before it goes in")
}
