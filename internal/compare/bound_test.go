package compare

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// locked is a tree in which one word in four leads on at each of six questions, and a limit
// decides behind them: a draw comes there once in 4000.
func locked(t testing.TB, limit string) *engine.Tree {
	var b strings.Builder
	b.WriteString("tree: locked\ntitle: Locked\nedition: 1\nbegin: s0\nreadings:\n  volts: {ask: Voltage, short: rest, unit: V, span: [0, 18]}\n")
	words := []string{"red", "green", "blue", "brown"}
	for i := range 6 {
		fmt.Fprintf(&b, "  lock_%d: {ask: Lock %d, short: lock%d, choices: [%s]}\n", i, i, i, strings.Join(words, ", "))
	}
	fmt.Fprintf(&b, "limits: {low: {is: %s, source: definition}}\nsteps:\n", limit)
	for i := range 6 {
		to := []string{"shut", "shut", "shut", "shut"}
		to[(i*3+1)%4] = fmt.Sprintf("s%d", i+1)
		fmt.Fprintf(&b, "  s%d: {kind: inspect, title: S, take: [lock_%d], by: lock_%d, cases: {red: %s, green: %s, blue: %s, brown: %s}}\n", i, i, i, to[0], to[1], to[2], to[3])
	}
	b.WriteString("  s6: {kind: inspect, title: S, take: [volts], by: volts, bands: [{below: limits.low, to: flat}, {to: well}]}\n")
	b.WriteString("findings: {shut: {title: Shut, action: one}, flat: {title: Flat, action: two}, well: {title: Well, action: three}}\n")
	return load(t, b.String())
}

// TestAWalkIsLedToWhatIsProved: no draw comes to the step where the limit was moved.
func TestAWalkIsLedToWhatIsProved(t *testing.T) {
	old, now := locked(t, "12 V"), locked(t, "12.3 V")
	p := Prove(old, now)
	require.Len(t, p.Divergences, 1)
	r := Try(old, now, nil, p, 100)
	assert.Positive(t, p.Divergences[0].Walks)
	assert.Equal(t, []*Ends{{"Well (well)", "Flat (flat)"}}, p.Divergences[0].Ends)
	assert.Empty(t, r.NotReached)
	assert.Equal(t, 100, r.Walks)

	p = Prove(old, now)
	r = Try(old, now, nil, p, 1)
	assert.Equal(t, []string{p.Divergences[0].Says}, r.NotReached, "one walk is not enough")
	var b bytes.Buffer
	require.NoError(t, (&Report{Proof: p, Trial: r}).Text(&b))
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "Of 1 difference that the proof found 1 was reached by no walk that was tried")
}

// veryLarge is a tree of 15,000 steps: a sub-tree of 150 that is run a hundred times.
func veryLarge(t testing.TB, kind, limit string) *engine.Tree {
	var sub, top strings.Builder
	sub.WriteString("tree: sub\ntitle: Sub\nedition: 1\nuse: [basis]\nbegin: s0\nsteps:\n")
	for i := range 150 {
		to := fmt.Sprintf("s%d", i+1)
		if i == 149 {
			to = "through"
		}
		fmt.Fprintf(&sub, "  s%d: {kind: %s, title: S, take: [volts], by: volts, bands: [{below: limits.low, to: low}, {to: %s}]}\n", i, kind, to)
	}
	sub.WriteString("findings: {through: {title: Through, action: none}, low: {title: Low, action: charge}}\n")
	top.WriteString("tree: big\ntitle: Big\nedition: 1\nuse: [basis]\nbegin: k0\nsteps:\n")
	for i := range 100 {
		to := fmt.Sprintf("k%d", i+1)
		if i == 99 {
			to = "well"
		}
		fmt.Fprintf(&top, "  k%d: {kind: tree, run: sub, cases: {through: %s, low: flat}}\n", i, to)
	}
	top.WriteString("findings: {well: {title: Well, action: none}, flat: {title: Flat, action: charge}}\n")
	lib, faults := engine.Load([]engine.Source{{Name: "sub.yaml", Data: []byte(sub.String())}, {Name: "big.yaml", Data: []byte(top.String())},
		{Name: "basis.yaml", Data: []byte("shared: basis\nreadings: {volts: {ask: Voltage, short: rest, unit: V, span: [0, 18]}}\nlimits: {low: {is: " + limit + ", source: definition}}\n")}})
	require.True(t, faults.Empty(), "%v", faults.Sorted())
	return lib.Tree("big")
}

// TestAVeryLargeTreeIsBounded: what is tried of it is bounded by work that is counted, and
// what was left out is said.
func TestAVeryLargeTreeIsBounded(t *testing.T) {
	old, now := veryLarge(t, "measure", "12 V"), veryLarge(t, "measure", "12.1 V")
	p := Prove(old, now)
	r := Try(old, now, nil, p, Walks)
	assert.Equal(t, Walks, r.Walks+r.LeftOut)
	assert.Less(t, r.Walks, Walks/10)
	assert.Positive(t, p.Divergences[0].Walks)
	var b bytes.Buffer
	require.NoError(t, (&Report{Proof: p, Trial: r}).Text(&b))
	assert.Contains(t, b.String(), fmt.Sprintf("%d more walks were left out", r.LeftOut))

	tr := newTrial(old, now, nil, nil)
	tr.bound = 1
	tr.run(seed{answers: answers{}}, nil)
	assert.True(t, tr.enough(Walks), "one walk of such a tree costs something")
}

// TestWhatTheProofLeavesOutIsSaid: steps and rules of which nothing is known are no steps
// that stay the same.
func TestWhatTheProofLeavesOutIsSaid(t *testing.T) {
	p := &Proof{LeftOut: []string{"step a", "step b", "step c", "step d", "step e"}}
	var b strings.Builder
	p.text(&b)
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "Left out, since the others were work enough: step a, step b, step c and 2 more (--json names all)")
}

func BenchmarkVeryLarge(b *testing.B) {
	old, now := veryLarge(b, "measure", "12 V"), veryLarge(b, "measure", "12.1 V")
	for b.Loop() {
		Try(old, now, nil, Prove(old, now), Walks)
	}
}
