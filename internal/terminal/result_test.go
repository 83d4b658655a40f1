package terminal

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
)

func TestAStopListsNothingElse(t *testing.T) {
	other := []engine.NotTested{{Finding: &engine.Finding{Title: "Worn out battery"}, Why: "not asked on this way"}}
	text := func(stop bool) string {
		var all string
		for _, p := range result(&engine.Result{Finding: &engine.Finding{Title: "Out of scope", Stop: stop}, NotTested: other}, false) {
			all += p.label + ": " + p.text + "\n"
		}
		return all
	}
	assert.Contains(t, text(false), "Not ruled out")
	assert.NotContains(t, text(true), "Not ruled out")
	assert.Contains(t, text(true), "Do nothing more to this vehicle")
}
