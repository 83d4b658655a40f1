package mechanic

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
)

// What was found flat stays unexplained until somebody looks for the cause or fits
// another battery; a visit that was booked has time for a charge.
func TestRemembersTheJob(t *testing.T) {
	var j job
	flat := func() string { said, _ := j.tells("found_flat"); return said }
	_, ok := j.tells("time_to_spare")
	assert.False(t, ok, "how much time there is, the vehicle says")
	assert.Equal(t, "no", flat())

	j.does(&engine.Step{Kind: engine.Crank})
	assert.Equal(t, "no", flat())
	j.does(&engine.Step{Kind: engine.Charge})
	assert.Equal(t, "yes", flat())
	j.ends(&engine.Finding{Action: "replace_starter"})
	assert.Equal(t, "yes", flat(), "a repair of something else explains nothing")
	j.ends(&engine.Finding{Action: "find_the_cause"})
	assert.Equal(t, "no", flat())

	j.does(&engine.Step{Kind: engine.Jump})
	assert.Equal(t, "yes", flat())
	j.mends(&engine.Finding{Faults: []string{"battery_worn_out"}})
	assert.Equal(t, "no", flat())
	j.does(&engine.Step{Kind: engine.Charge})
	assert.Equal(t, "no", flat(), "a new battery is charged before it goes in")

	j.ends(&engine.Finding{Action: "book_charge_and_test"})
	said, ok := j.tells("time_to_spare")
	assert.True(t, ok)
	assert.Equal(t, "hours", said)
}
