package report

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
)

// TestAMeterInSeriesIsNoClamp: both name a lead, and only a clamp goes round it.
func TestAMeterInSeriesIsNoClamp(t *testing.T) {
	assert.Equal(t, "clamp round battery negative lead", where(&engine.Reading{Clamp: "battery_negative_lead", Meter: "amps_clamp"}))
	assert.Equal(t, "in battery negative lead", where(&engine.Reading{Clamp: "battery_negative_lead", Meter: "amps_dc"}))
}
