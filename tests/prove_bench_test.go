package tests

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/prove"
)

// loadText loads generated files and fails on any fault.
func loadText(t testing.TB, files ...string) *engine.Library {
	t.Helper()
	var sources []engine.Source
	for i, text := range files {
		sources = append(sources, engine.Source{Name: fmt.Sprintf("generated-%d.yaml", i), Data: []byte(text)})
	}
	lib, faults := engine.Load(sources)
	var out strings.Builder
	faults.Print(&out)
	require.True(t, faults.Empty(), "%.2000s", out.String())
	return lib
}

// region is a box of whole numbers, one range for each reading, the upper end left
// out.
type region [][2]int

// wideStep is a tree of one step whose branches part the space of several readings
// into boxes: a box is cut in two at random until there are enough. With damaged
// one box in ten is left out.
func wideStep(readings, branches int, damaged bool) (shared, tree string) {
	const side = 1 << 12
	r := rand.New(rand.NewPCG(7, uint64(branches)))
	whole := region{}
	for range readings {
		whole = append(whole, [2]int{0, side})
	}
	blocks := []region{whole}
	for len(blocks) < branches {
		i := r.IntN(len(blocks))
		d := r.IntN(readings)
		x := blocks[i]
		if x[d][1]-x[d][0] < 2 {
			continue
		}
		at := x[d][0] + 1 + r.IntN(x[d][1]-x[d][0]-1)
		y := append(region{}, x...)
		x = append(region{}, x...)
		x[d][1], y[d][0] = at, at
		blocks[i] = x
		blocks = append(blocks, y)
	}
	var b, take strings.Builder
	cuts := map[int]bool{}
	b.WriteString("tree: wide\ntitle: Wide\nedition: 1\nuse: [wide]\nbegin: s\nsteps:\n  s:\n    kind: inspect\n    title: S\n    together: true\n    branches:\n")
	for i, x := range blocks {
		if damaged && i%10 == 3 {
			continue
		}
		var parts []string
		for d, e := range x {
			if e[0] > 0 {
				cuts[e[0]] = true
				parts = append(parts, fmt.Sprintf("r%d >= limits.l%d", d, e[0]))
			}
			if e[1] < side {
				cuts[e[1]] = true
				parts = append(parts, fmt.Sprintf("r%d < limits.l%d", d, e[1]))
			}
		}
		fmt.Fprintf(&b, "      - {if: '%s', to: end}\n", strings.Join(parts, " and "))
	}
	var s strings.Builder
	s.WriteString("shared: wide\nreadings:\n")
	for d := range readings {
		fmt.Fprintf(&s, "  r%d: {ask: R, short: x%d, unit: V, span: [0, %d]}\n", d, d, side)
		fmt.Fprintf(&take, ", r%d", d)
	}
	fmt.Fprintf(&b, "    take: [%s]\nfindings:\n  end: {title: End, action: none}\n", take.String()[2:])
	s.WriteString("limits:\n")
	for at := range cuts {
		fmt.Fprintf(&s, "  l%d: {is: %d V, source: definition}\n", at, at)
	}
	return s.String(), b.String()
}

// longTree is a tree of many steps in rungs of three, deciding on a number, a word
// and a step done before, over forty readings. It is written short, since a file
// has a bound.
func longTree(steps int) (shared, tree string) {
	var s, b strings.Builder
	s.WriteString("shared: long\nreadings:\n")
	for i := range 20 {
		fmt.Fprintf(&s, "  v%d: {ask: V, short: xv%d, unit: V, span: [0, 18]}\n", i, i)
		fmt.Fprintf(&s, "  w%d: {ask: W, short: xw%d, choices: [ok, poor, bad]}\n", i, i)
	}
	s.WriteString("limits:\n  l: {is: 11 V, source: definition}\n  h: {is: 13 V, source: definition}\n")
	b.WriteString("tree: long\ntitle: Long\nedition: 1\nuse: [long]\nbegin: s0\nfindings:\n  e: {title: End, action: none}\n  f: {title: Other, action: some}\nsteps:\n")
	name := func(i int) string {
		if i >= steps {
			return "e"
		}
		return fmt.Sprintf("s%d", i)
	}
	for i := 0; i+2 < steps; i += 3 {
		v, w := i/3%20, i/3*7%20
		fmt.Fprintf(&b, " s%d: {kind: retest,title: S,take: [v%d],by: v%d,bands: [{below: limits.l,to: s%d},{below: limits.h,to: s%d},{to: f}]}\n", i, v, v, i+1, i+2)
		fmt.Fprintf(&b, " s%d: {kind: retest,title: S,take: [w%d],by: w%d,cases: {ok: %s,bad: s%d,poor: f}}\n", i+1, w, w, name(i+3), i+2)
		fmt.Fprintf(&b, " s%d: {kind: decide,title: S,branches: [{if: done(s%d),to: %s},{otherwise: %s}]}\n", i+2, i+1, name(i+3), name(i+3))
	}
	return s.String(), b.String()
}

// TestProverAtScale holds the generated trees of the benchmarks to what they are:
// sound as they are built, and not when a box is left out.
func TestProverAtScale(t *testing.T) {
	shared, tree := wideStep(5, 400, false)
	rep := prove.Library(loadText(t, shared, tree), nil, prove.Options{})
	require.Zero(t, rep.Undecided)
	require.NotContains(t, rules(rep), "gap")
	require.NotContains(t, rules(rep), "overlap")
	shared, tree = wideStep(5, 400, true)
	require.Contains(t, rules(prove.Library(loadText(t, shared, tree), nil, prove.Options{})), "gap")
	shared, tree = longTree(300)
	rep = prove.Library(loadText(t, shared, tree), nil, prove.Options{})
	require.Empty(t, rules(rep))
}

func rules(r *prove.Report) []string {
	var out []string
	for _, f := range r.Faults.Sorted() {
		out = append(out, f.Rule)
	}
	return out
}

// BenchmarkProveWideStep proves one step of many branches over seven readings.
func BenchmarkProveWideStep(b *testing.B) {
	for _, n := range []int{500, 1500} {
		for _, damaged := range []bool{false, true} {
			b.Run(fmt.Sprintf("branches=%d/damaged=%v", n, damaged), func(b *testing.B) {
				shared, tree := wideStep(7, n, damaged)
				lib := loadText(b, shared, tree)
				for b.Loop() {
					if r := prove.Library(lib, nil, prove.Options{}); r.Undecided > 0 {
						b.Fatal("undecided")
					}
				}
			})
		}
	}
}

// BenchmarkProveLongTree proves trees of about a thousand and ten thousand steps: the
// time per step must hardly grow.
func BenchmarkProveLongTree(b *testing.B) {
	for _, n := range []int{999, 9999} {
		b.Run(fmt.Sprintf("steps=%d", n), func(b *testing.B) {
			shared, tree := longTree(n)
			lib := loadText(b, shared, tree)
			for b.Loop() {
				prove.Library(lib, nil, prove.Options{})
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "µs/step")
		})
	}
}
