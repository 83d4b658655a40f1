package prove

import (
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// repeated joins what text gives for 0 to n-1.
func repeated(n int, between string, text func(i int) string) string {
	out := make([]string, n)
	for i := range out {
		out[i] = text(i)
	}
	return strings.Join(out, between)
}

func stranger(readings, rest string) string {
	return "tree: stranger\ntitle: From a stranger\nedition: 1\nbegin: s0\nreadings:\n" + readings + rest +
		"findings: {f: {title: F, action: f}, g: {title: G, action: g}}\n"
}

// TestStrangersTreesAreProvedWithinBounds: small files that multiply in a proof. What one
// comes to is bounded by counted work, and what is not proved then is undecided.
func TestStrangersTreesAreProvedWithinBounds(t *testing.T) {
	number := func(i int) string {
		return fmt.Sprintf("  r%[1]d: {ask: R, short: n%[1]d, unit: V, span: [0, 18], meter: none, fact: true}\n", i)
	}
	yes := func(i int) string {
		return fmt.Sprintf("  q%[1]d: {ask: Q, short: qu%[1]d, yes_no: true, fact: true}\n", i)
	}
	points := repeated(60, ", ", func(i int) string { return fmt.Sprintf("[%d, %d]", i, i%7) })
	next := func(i, n int, last string) string {
		if i+1 == n {
			return last
		}
		return fmt.Sprintf("s%d", i+1)
	}
	for name, c := range map[string]struct{ tree, says string }{
		"two tables in a hundred sums": {stranger("  a: {ask: A, short: aa, unit: °C, span: [0, 70]}\n  b: {ask: B, short: bb, unit: °C, span: [0, 70]}\n"+number(0),
			"limits:\n  ta: {table: {over: a, points: ["+points+"], outside: hold_end}, unit: V, source: definition}\n  tb: {table: {over: b, points: ["+points+"], outside: hold_end}, unit: V, source: definition}\n"+
				repeated(100, "", func(i int) string { return fmt.Sprintf("  l%d: {is: %d mV, source: definition}\n", i, i) })+
				"steps:\n  s0:\n    kind: measure\n    title: S\n    together: true\n    take: [a, b, r0]\n    branches:\n"+
				repeated(100, "", func(i int) string {
					return fmt.Sprintf("      - {if: 'r0 < limits.ta + limits.tb + limits.l%d', to: f}\n", i)
				})+
				"      - {otherwise: g}\n"), "falls into too many cases to be proved"},
		"a hundred and fifty looks that come together": {stranger(repeated(150, "", yes), "steps:\n"+
			repeated(150, "", func(i int) string {
				n := next(i, 150, "judge")
				return fmt.Sprintf("  s%[1]d: {kind: inspect, title: S, take: [q%[1]d], by: q%[1]d, cases: {\"yes\": %[2]s, \"no\": t%[1]d}}\n  t%[1]d: {kind: inspect, title: T, to: %[2]s}\n", i, n)
			})+"  judge:\n    kind: decide\n    title: J\n    branches:\n"+
			repeated(150, "", func(i int) string {
				return "      - {if: '" + repeated(min(i, 12), "", func(k int) string { return fmt.Sprintf("q%d and ", i-1-k) }) + fmt.Sprintf("done(t%d)', to: f}\n", i)
			})), "[undecided]"},
		"a fault in each of four hundred steps": {stranger(repeated(400, "", number), "limits: {l: {is: 5 V, source: definition}}\nsteps:\n"+
			repeated(400, "", func(i int) string {
				return fmt.Sprintf("  s%[1]d: {kind: measure, title: S, take: [r%[1]d], branches: [{if: r%[1]d < r%[2]d or r%[3]d < limits.l, to: %[4]s}, {if: r%[1]d > r%[2]d, to: g}]}\n", i, max(i-1, 0), max(i-2, 0), next(i, 400, "f"))
			})), "[gap]"},
		"nine questions that may be left out": {stranger(repeated(18, "", func(i int) string {
			return fmt.Sprintf("  q%[1]d: {ask: Q, short: qu%[1]d, choices: [aa, bb, cc], optional: true}\n", i)
		}), "steps:\n  s0:\n    kind: inspect\n    title: S\n    together: true\n    take: ["+repeated(18, ", ", func(i int) string { return fmt.Sprintf("q%d", i) })+"]\n    branches:\n"+
			repeated(9, "", func(i int) string {
				return "      - {if: '" + repeated(9, " and ", func(k int) string { return fmt.Sprintf(`(not known(q%d) or q%d == "aa")`, 2*k, 2*k+1) }) + fmt.Sprintf(" and not known(q%d)', to: f}\n", 2*i+1)
			})+"      - {otherwise: g}\n"), "[unknown-reading]"},
	} {
		t.Run(name, func(t *testing.T) {
			lib, faults := engine.Load([]engine.Source{{Name: "stranger.yaml", Data: []byte(c.tree)}})
			var b strings.Builder
			faults.Print(&b)
			require.True(t, faults.Empty(), b.String())
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			says := told(Library(lib, nil, Options{}))
			runtime.ReadMemStats(&after)
			assert.Contains(t, says, c.says)
			assert.Less(t, (after.TotalAlloc-before.TotalAlloc)>>20, uint64(3000), "megabytes")
			t.Log((after.TotalAlloc-before.TotalAlloc)>>20, "megabytes were asked for")
		})
	}
}

// TestNothingTimesAReading: a factor of nothing, and a reading against itself, stand at no limit.
func TestNothingTimesAReading(t *testing.T) {
	for _, guard := range []string{"limits.none * rest < limits.flat", "rest < rest", "rest - rest < limits.flat"} {
		r := Library(sample(t, head+"limits: {none: {is: 0, source: definition}}\nsteps:\n  look: {kind: measure, title: Look, take: [rest], branches: [{if: "+guard+", to: flat_battery}, {otherwise: good}]}\n"), nil, Options{})
		assert.Contains(t, broken(r), "limit-outside-span", guard)
	}
}
