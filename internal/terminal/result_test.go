package terminal

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
)

// What was left open is told as a thing to do; at a stop only after the hazard.
func TestTheListOfWhatIsPutBack(t *testing.T) {
	said := func(stop bool) string {
		var all []string
		for _, p := range result(&engine.Result{Finding: &engine.Finding{Title: "Frozen", Stop: stop, Cautions: []string{"It can burst"}}, Remedy: "Leave it alone",
			PutBack: []string{"fuse_out", "door_shut"}, Back: map[string]string{"fuse_out": "Put the fuse back in its slot."}}, false) {
			all = append(all, p.whole())
		}
		return strings.Join(all, "\n")
	}
	assert.Contains(t, said(false), "Caution: It can burst.\nStill to be put back (fuse out): Put the fuse back in its slot.\nStill to be put back (door shut): As it was before.\nWhat to do: Leave it alone.")
	assert.Contains(t, said(true), "No further test on this vehicle. Do only what stands here.\nWhat to do: Leave it alone.\nStill to be put back, once that is safe (fuse out): Put the fuse back in its slot.")
}

// A step that puts something back says how, after its cautions.
func TestAStepSaysHowToPutBack(t *testing.T) {
	p := &engine.Prompt{Step: &engine.Step{Restores: []string{"fuse_out"}}, PutBack: []string{"lead_off", "fuse_out"},
		Back: map[string]string{"fuse_out": "put the fuse back in its slot", "lead_off": "no"}}
	assert.Equal(t, []Part{{Kind: Caution, Label: "Put back now (fuse out)", Text: "Put the fuse back in its slot."}}, putBackHere(p))
	p.Gate = &engine.Rule{}
	assert.Empty(t, putBackHere(p), "the hazard is looked at first")
}

func TestAStopListsNothingElse(t *testing.T) {
	other := []engine.NotTested{{Finding: &engine.Finding{Title: "Worn out battery"}, Why: "not asked on this way"}}
	text := func(stop bool) string {
		var all string
		for _, p := range result(&engine.Result{Finding: &engine.Finding{Title: "Out of scope", Stop: stop}, NotTested: other}, false) {
			all += p.Label + ": " + p.Text + "\n"
		}
		return all
	}
	assert.Contains(t, text(false), "Not ruled out")
	assert.NotContains(t, text(true), "Not ruled out")
	assert.Contains(t, text(true), "No further test on this vehicle")
}
