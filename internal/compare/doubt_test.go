package compare

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// doubts are changes after which exact answers go as before, and answers with doubt
// may not.
var doubts = map[string]struct {
	swap  []string
	exact []string
}{
	"a side": {[]string{"safer: below", "safer: above"}, []string{
		"step rest: the safer side or the better test of a close call", "step recheck: the safer side or the better test of a close call"}},
	"other words": {[]string{"{if: earth_drop > allowed, to: strap}", "{if: earth_drop > allowed and earth_drop >= allowed, to: strap}"}, []string{
		"step earth: how its guards are written"}},
	"the method": {[]string{"short: earth, unit: V,", "short: earth, unit: V, also_out_by: 0.2 V,"}, []string{
		"step earth: how far out its readings can be"}},
	"an action": {[]string{"action: repair_earth", "action: none_needed"}, []string{
		"step rest: what its ways end in", "step charge: what its ways end in", "step recheck: what its ways end in", "step earth: what its ways end in"}},
	"nothing that matters": {[]string{"do: Charge it overnight.", "do: Charge it for a day."}, nil},
}

func TestWhatIsProvedOfAnswersWithDoubt(t *testing.T) {
	old := yard(t)
	for name, c := range doubts {
		p := Prove(old, yard(t, c.swap...))
		exact := slices.DeleteFunc(slices.Clone(p.Exact), func(s string) bool { return strings.HasPrefix(s, "step look") })
		assert.Equal(t, c.exact, exact, name)
		assert.Equal(t, 5, p.Same, name)
		assert.Equal(t, 5-len(p.Exact), p.InDoubt, name)
	}
	p := Prove(old, yard(t, doubts["a side"].swap...))
	assert.Contains(t, p.summary(), "At 5 steps every exact answer goes the same way as before; at 3 of them so does every answer with doubt.")
	assert.Contains(t, Prove(old, old).summary(), "and so does every answer with doubt.")
}

// TestWalksInDoubtPartOnlyWhereItIsNotProved walks pairs of editions with a meter that
// is far out: where answers with doubt are said to go the same way, no walks part.
func TestWalksInDoubtPartOnlyWhereItIsNotProved(t *testing.T) {
	old, parted := yard(t), map[string]bool{}
	for name, c := range doubts {
		now := yard(t, c.swap...)
		p := Prove(old, now)
		tr := newTrial(old, now, nil, p)
		tr.meter = engine.FindMeter("basic")
		dice := rand.New(rand.NewPCG(1, 2))
		tr.run(seed{answers: answers{}}, nil)
		for range 500 {
			a, keys := tr.change(tr.corpus[dice.IntN(len(tr.corpus))], dice)
			was, is := tr.play(old, a), tr.play(now, a)
			tr.run(seed{answers: a}, keys)
			if i := partAt(was, is); i >= 0 {
				parted[name] = true
				require.True(t, slices.ContainsFunc(p.Exact, func(s string) bool { return strings.HasPrefix(s, "step "+base(was.steps[i])+":") }), "%s: %s", name, was.steps[i].ID)
			}
		}
	}
	assert.NotEmpty(t, parted)
	assert.False(t, parted["nothing that matters"])
}
