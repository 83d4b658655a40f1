package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/markup"
)

func drop(red, black string) *engine.Fact {
	return &engine.Fact{Reading: &engine.Reading{Red: red, Black: black}, Ask: "drop", Text: "1 V"}
}

func TestCircuitMarksTheProbesAndWhatLiesBetween(t *testing.T) {
	for _, c := range []struct{ red, black, between string }{
		{"engine_block", "body", "Between them: engine strap."},
		{"body", "engine_block", "Between them: engine strap."},
		{"battery_positive_post", "starter_feed_stud", "Between them: joint and positive cable."},
		{"starter_case", "battery_negative_post", "Between them: starter mounting, engine strap, battery earth cable and joint."},
	} {
		drawing := circuitOf(drop(c.red, c.black))
		require.NotNil(t, drawing)
		assert.Contains(t, drawing.words(), c.between)
		lines := strings.Join(drawing.lines(40), "\n")
		assert.Contains(t, lines, "R  o "+loop[stationOf(c.red)].name)
		assert.Contains(t, lines, "B  o "+loop[stationOf(c.black)].name)
	}
}

func TestCircuitIsDrawnForDropsOnly(t *testing.T) {
	assert.Nil(t, circuitOf(drop("battery_positive_post", "battery_negative_post")))
	assert.Nil(t, circuitOf(drop("", "")))
}

func TestCircuitNamesAPointThatIsNotOnTheLoop(t *testing.T) {
	c := circuitOf(drop("relay_coil_feed", "body"))
	assert.Contains(t, strings.Join(c.lines(40), "\n"), "R  o relay coil feed (not on this loop)")
	var m markup.Writer
	c.svg(&m)
	assert.Contains(t, m.String(), "on relay coil feed")
	assert.NotContains(t, c.words(), "Between them")
}
