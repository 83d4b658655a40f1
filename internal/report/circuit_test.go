package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

func drop(red, black string) engine.Fact {
	return engine.Fact{Reading: &engine.Reading{Red: red, Black: black}, Ask: "drop", Text: "1 V"}
}

func TestCircuitMarksTheProbesAndWhatLiesBetween(t *testing.T) {
	for _, c := range []struct{ red, black, between string }{
		{"engine_block", "body", "Between them: engine strap."},
		{"body", "engine_block", "Between them: engine strap."},
		{"battery_positive_post", "starter_feed_stud", "Between them: joint and positive cable."},
		{"starter_case", "battery_negative_post", "Between them: starter mounting, engine strap, battery earth cable and joint."},
	} {
		got := circuits([]engine.Fact{drop(c.red, c.black)}, map[[2]string]bool{})
		require.Len(t, got, 1)
		drawing := got[0].(*circuit)
		assert.Contains(t, drawing.words(), c.between)
		lines := strings.Join(drawing.lines(40), "\n")
		assert.Contains(t, lines, "R  o "+loop[stationOf(c.red)].name)
		assert.Contains(t, lines, "B  o "+loop[stationOf(c.black)].name)
	}
}

func TestCircuitIsDrawnOnceAndForDropsOnly(t *testing.T) {
	drawn := map[[2]string]bool{}
	facts := []engine.Fact{drop("body", "engine_block"), drop("body", "engine_block"), drop("battery_positive_post", "battery_negative_post"), drop("", "")}
	assert.Len(t, circuits(facts, drawn), 1)
	assert.Empty(t, circuits(facts, drawn))
}

func TestCircuitNamesAPointThatIsNotOnTheLoop(t *testing.T) {
	c := circuits([]engine.Fact{drop("relay_coil_feed", "body")}, map[[2]string]bool{})[0].(*circuit)
	assert.Contains(t, strings.Join(c.lines(40), "\n"), "R  o relay coil feed (not on this loop)")
	var m markup
	c.svg(&m)
	assert.Contains(t, m.String(), "on relay coil feed")
	assert.NotContains(t, c.words(), "Between them")
}
