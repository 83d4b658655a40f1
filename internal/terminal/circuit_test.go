package terminal

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

func TestPictureMarksTheProbes(t *testing.T) {
	drawn := picture(&engine.Reading{Red: "battery_positive_post", Black: "starter_feed_stud"})
	assert.Equal(t, "| + |--R----o=====B-[ / ]-o---.-----.", drawn[1])
	drawn = picture(&engine.Reading{Clamp: "battery_negative_lead"})
	assert.Equal(t, "| - |--o----oC=o===========o==o-----'", drawn[3])
	assert.Nil(t, picture(&engine.Reading{Red: "battery_positive_post", Black: "relay_output"}), "half a picture would mislead")
	assert.Nil(t, picture(&engine.Reading{}), "nothing is measured")
}

// Every spot lies on a place or a cable of the drawing, no two on the same, and
// the drawing fits the narrowest screen.
func TestSpotsLieOnTheDrawing(t *testing.T) {
	taken := map[[2]int]string{}
	for name, at := range spots {
		assert.Empty(t, taken[at], name)
		taken[at] = name
		assert.Contains(t, "o=", string(circuit[at[0]][at[1]]), name)
	}
	for _, row := range circuit {
		assert.LessOrEqual(t, text.Width(row), narrowest)
	}
}

func TestProbesInWords(t *testing.T) {
	for want, r := range map[string]*engine.Reading{
		"Red on the engine block; black on the body; meter on DC volts.":                  {Red: "engine_block", Black: "body", Meter: "volts_dc"},
		"Clamp round the battery negative lead; clamp meter on DC amperes, zeroed first.": {Clamp: "battery_negative_lead", Meter: "amps_clamp"},
		"In the battery negative lead; meter in series on DC amperes.":                    {Clamp: "battery_negative_lead", Meter: "amps_dc"},
		"Thermometer.": {Meter: "thermometer"},
		"":             {Meter: "none"},
	} {
		assert.Equal(t, want, probes(r))
	}
	assert.Equal(t, "charger off, doors closed, engine still, key off", vehicle(map[string]string{"key": "key_off", "doors": "closed", "engine": "still", "charger": "charger_off"}))
}
