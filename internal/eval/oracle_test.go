package eval

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/expr-lang/expr"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/calc"
)

// The two checks here hold our own evaluation to something else: on exact
// answers to expr's own machine, on ranges to sampling.

// drawGuard writes a random guard of the language.
func drawGuard(t *rapid.T, depth int) string {
	atom := rapid.SampledFrom([]string{
		"rest < limits.low", "limits.low <= rest", "rest - load > limits.step", "load < limits.floor",
		"rest >= limits.full", "drop > limits.path * amps", "drop <= amps * limits.path - limits.step",
		"rest < limits.low + limits.slope * (temp - limits.warm)", "temp < limits.warm", "-drop < limits.step",
		"rest - first.rest < limits.step", "limits.low < rest and rest < limits.full",
		`kind == "agm"`, `kind != "flooded"`, `kind in ["efb", "gel"]`, `turned == "slowly"`, `not (turned in ["normally"])`,
		`"left" in lamps`, `not ("rear" in lamps)`, `"none" in lamps`, `lamps == "none"`, `lamps != "left and right"`, `lamps in ["left", "left, right and rear"]`,
		"highest(rest, load) < limits.low", "lowest(rest, load, drop) >= limits.floor", "limits.low < lowest(rest, first.rest)", "limits.full >= highest(load, rest)",
		"spread(rest, load, drop) > limits.step", "spread(rest, load) <= limits.path * amps", "temp > limits.warm and highest(load, rest) > rest - limits.step",
		"highest(lowest, rest) > limits.low", "lowest < limits.low",
		"hot", "not hot", "count == 0", "count != 0", "count > 0",
	})
	if depth == 0 {
		return atom.Draw(t, "atom")
	}
	switch rapid.IntRange(0, 3).Draw(t, "op") {
	case 0:
		return atom.Draw(t, "atom")
	case 1:
		return "not (" + drawGuard(t, depth-1) + ")"
	}
	op := rapid.SampledFrom([]string{" and ", " or "}).Draw(t, "join")
	return "(" + drawGuard(t, depth-1) + op + drawGuard(t, depth-1) + ")"
}

// onGrid is a number as a meter shows it.
func onGrid(t *rapid.T, lo, hi int, places int, name string) float64 {
	p := math.Pow10(places)
	return float64(rapid.IntRange(lo*int(p), hi*int(p)).Draw(t, name)) / p
}

func drawExact(t *rapid.T, s *testScope) []Value {
	v := make([]Value, s.slots())
	for _, x := range s.vars {
		switch {
		case x.Kind != Number:
			v[x.Slot] = One(rapid.IntRange(0, len(x.Choices)-1).Draw(t, x.ID))
		case x.ID == "count":
			v[x.Slot] = Exact(float64(rapid.IntRange(0, 2).Draw(t, x.ID)))
		case x.ID == "rest":
			// Half of the draws sit at or next to the limits.
			v[x.Slot] = Exact(rapid.OneOf(rapid.SampledFrom([]float64{12.39, 12.4, 12.41, 12.65, 12.7, 12.8}), rapid.Map(rapid.IntRange(0, 1800), func(i int) float64 { return float64(i) / 100 })).Draw(t, x.ID))
		default:
			v[x.Slot] = Exact(onGrid(t, int(x.Span[0]), int(x.Span[1]), 2, x.ID))
		}
	}
	v[s.takes["first.rest"].Slot] = Exact(onGrid(t, 0, 18, 2, "first.rest"))
	return v
}

// variadic turns a function of a list into one that expr can call.
func variadic(f func([]float64) float64) any { return func(x ...float64) float64 { return f(x) } }

// oracleEnv is the environment for expr's machine, each limit already worked out.
func oracleEnv(s *testScope, v []Value) map[string]any {
	env := map[string]any{"first": map[string]any{"rest": v[s.takes["first.rest"].Slot].Best}}
	for n, x := range s.vars {
		val := v[x.Slot]
		i, _ := val.Certain()
		switch x.Kind {
		case Number:
			env[n] = val.Best
		case Choice:
			env[n] = x.Choices[i]
		case YesNo:
			env[n] = i == 1
		case Several:
			env[n+"_word"] = [...]string{"none", "left", "right", "left and right", "rear", "left and rear", "right and rear", "left, right and rear"}[i]
			env[n] = [...][]string{{"none"}, {"left"}, {"right"}, {"left", "right"}, {"rear"}, {"left", "rear"}, {"right", "rear"}, {"left", "right", "rear"}}[i]
		}
	}
	limits := map[string]any{}
	for n, l := range s.limits {
		limits[n] = l.Over(v).Best
	}
	env["limits"] = limits
	env["highest_of"], env["lowest_of"] = variadic(slices.Max[[]float64]), variadic(slices.Min[[]float64])
	env["spread_of"] = variadic(func(x []float64) float64 { return slices.Max(x) - slices.Min(x) })
	return env
}

func TestExactAnswersDecideAsExprsOwnMachineDoes(t *testing.T) {
	s := newTestScope()
	rapid.Check(t, func(t *rapid.T) {
		text := drawGuard(t, 3)
		c := NewCompiler(s)
		g := c.Guard(text)
		require.Empty(t, c.Problems, text)
		v := drawExact(t, s)
		env := Env{Values: v, Done: make([]bool, 1)}
		trace := make([]Trace, len(c.Program().Atoms))
		c.Program().Run(&env, trace)
		for i, tr := range trace {
			if a := c.Program().Atoms[i]; a.Kind == Compare && tr.Diff.Best != 0 && math.Abs(tr.Diff.Best) < 1e-9 {
				t.Skip("a tie that binary numbers round one way or the other")
			} else if a.Kind == Compare && tr.Diff.Best == 0 && len(a.Diff.Terms) > 1 {
				t.Skip("an exact tie of a sum: ours is exact, expr's machine rounds")
			}
		}
		// expr's machine knows a list and a word, not a list that is compared with a word, and
		// no reading that is called like a function.
		text = strings.NewReplacer("lamps =", "lamps_word =", "lamps !", "lamps_word !", "lamps in", "lamps_word in", "highest(", "highest_of(", "lowest(", "lowest_of(", "spread(", "spread_of(").Replace(text)
		prog, err := expr.Compile(text, expr.Env(oracleEnv(s, v)), expr.AsBool())
		require.NoError(t, err, text)
		want, err := expr.Run(prog, oracleEnv(s, v))
		require.NoError(t, err, text)
		got := g.Verdict(trace)
		require.Equal(t, want.(bool), got == True, text)
		require.NotEqual(t, Open, got, "exact answers leave nothing open: %s", text)
		require.Equal(t, want.(bool), g.Nominal(trace), text)
	})
}

// TestTiesOfSumsAreExact: decimals that tie on paper tie here, though binary
// numbers do not.
func TestTiesOfSumsAreExact(t *testing.T) {
	s := newTestScope()
	for _, c := range []struct {
		rest, load float64
		want       Verdict
	}{{12.4, 12.1, False}, {12.6, 12.3, False}, {12.41, 12.1, True}, {12.39, 12.1, False}, {0.9, 0.6, False}, {1.1, 0.8, False}} {
		c2 := NewCompiler(s)
		g := c2.Guard("rest - load > limits.step")
		v := make([]Value, s.slots())
		v[s.vars["rest"].Slot], v[s.vars["load"].Slot] = Exact(c.rest), Exact(c.load)
		require.Equal(t, c.want, g.Eval(&Env{Values: v}), "%v - %v > 0.3", c.rest, c.load)
	}
}

// drawRanges widens exact answers: own error, shared proportional error, choices
// left open.
func drawRanges(t *rapid.T, s *testScope, v []Value) []Value {
	out := append([]Value{}, v...)
	for _, x := range s.vars {
		o := &out[x.Slot]
		if x.Kind != Number {
			o.Set |= uint64(rapid.IntRange(0, 1<<len(x.Choices)-1).Draw(t, x.ID+" set"))
			continue
		}
		if x.ID == "count" {
			continue
		}
		o.Below, o.Above = onGrid(t, 0, 1, 3, x.ID+" below"), onGrid(t, 0, 1, 3, x.ID+" above")
		o.Gain = onGrid(t, 0, 1, 3, x.ID+" gain") / 20
		o.Group = uint8(rapid.IntRange(0, 2).Draw(t, x.ID+" group"))
	}
	return out
}

// drawInside draws one vehicle that the ranges allow: every group has one
// proportional error, everything else is free.
func drawInside(t *rapid.T, s *testScope, v []Value, n int) []Value {
	out := append([]Value{}, v...)
	share := map[uint8]float64{}
	end := rapid.SampledFrom([]float64{-1, 1, 0, 0.5})
	for _, x := range sortedVars(s) {
		o := &out[x.Slot]
		if x.Kind != Number {
			var in []int
			for i := range x.Choices {
				if o.Set&(1<<uint(i)) != 0 {
					in = append(in, i)
				}
			}
			*o = One(rapid.SampledFrom(in).Draw(t, fmt.Sprint(x.ID, n)))
			continue
		}
		e := end.Draw(t, fmt.Sprint(x.ID, " own ", n))
		own := e * o.Above
		if e < 0 {
			own = e * o.Below
		}
		g, ok := share[o.Group]
		if !ok || o.Group == 0 {
			g = end.Draw(t, fmt.Sprint(x.ID, " gain ", n))
			share[o.Group] = g
		}
		*o = Exact(o.Best + own + g*o.Gain*o.Best)
	}
	return out
}

func sortedVars(s *testScope) []*Var {
	var out []*Var
	for _, n := range sorted(s.vars) {
		out = append(out, s.vars[n])
	}
	return append(out, s.takes["first.rest"])
}

// TestAVerdictHoldsForEverythingInsideTheRanges: what is called yes or no over
// ranges is yes or no for every vehicle drawn inside them.
func TestAVerdictHoldsForEverythingInsideTheRanges(t *testing.T) {
	s := newTestScope()
	rapid.Check(t, func(t *rapid.T) {
		text := drawGuard(t, 2)
		c := NewCompiler(s)
		g := c.Guard(text)
		require.Empty(t, c.Problems, text)
		v := drawRanges(t, s, drawExact(t, s))
		// One gain per group, as a meter range has.
		gains := map[uint8]float64{}
		for _, x := range sortedVars(s) {
			o := &v[x.Slot]
			if o.Group == 0 {
				continue
			}
			if have, ok := gains[o.Group]; ok {
				o.Gain = have
			}
			gains[o.Group] = o.Gain
		}
		got := g.Eval(&Env{Values: v, Done: make([]bool, 1)})
		if got == Open {
			return
		}
		for n := 0; n < 20; n++ {
			in := drawInside(t, s, v, n)
			one := g.Eval(&Env{Values: in, Done: make([]bool, 1)})
			require.Equal(t, got, one, "%s over %v at %v", text, v, in)
		}
	})
}

func TestWhatIsRefusedAndWhere(t *testing.T) {
	s := newTestScope()
	for _, c := range []struct{ text, rule, at, message string }{
		{"rst < limits.low", "unknown-name", "rst", `did you mean "rest"`},
		{"rest < limits.lo", "unknown-name", "limits.lo", `did you mean "low"`},
		{"rest < low", "unknown-name", "low", `write "limits.low"`},
		{"rest < 12.4", "bare-number", "12.4", "no unit and no source"},
		{"rest < 0", "bare-number", "0", "0 of what"},
		{"rest < limits.path", "unit-mismatch", "<", "a resistance"},
		{"rest + amps < limits.low", "unit-mismatch", "+", "cannot be added"},
		{"temp + temp < limits.warm", "unit-mismatch", "+", "cannot be added"},
		{"rest * load < limits.low", "not-linear", "*", "two readings multiplied"},
		{"highest(rest) < limits.low", "not-allowed", "highest", "highest takes 2 to 12 readings"},
		{"highest(rest, limits.low) < limits.low", "not-allowed", "limits.low", `"limits.low" is none`},
		{"spread(rest, load + drop) < limits.step", "not-allowed", "+", "names of readings in its brackets"},
		{"spread(rest, amps) < limits.step", "unit-mismatch", "amps", "a current"},
		{"lowest(rest, kind) < limits.low", "not-allowed", "kind", "a choice, not a number"},
		{"lowest(rest, load, rest) < limits.low", "not-allowed", "rest", "stands in the list already"},
		{"spread(temp, temp) < limits.warm", "not-allowed", "temp", "stands in the list already"},
		{"spread(rest, load) < limits.warm", "unit-mismatch", "<", "a voltage"},
		{"highest(rest, load) - limits.step < limits.low", "not-allowed", "highest", "stands alone on its side"},
		{"highest(rest, load) < lowest(drop, rest)", "not-allowed", "<", "only one side"},
		{"highest(count, rest) == 0", "unit-mismatch", "rest", "a voltage"},
		{"spread(rest, load)", "bad-expression", "spread(rest, load)", "must be true or false; this is a number"},
		{"rest / amps < limits.path", "not-linear", "/", "a quotient is for showing"},
		{`kind == "agmm"`, "unknown-choice", `"agmm"`, `did you mean "agm"`},
		{`"lft" in lamps`, "unknown-choice", `"lft"`, `did you mean "left"`},
		{`"agm" in kind`, "not-allowed", "in", "not a reading with several choices"},
		{`lamps < limits.low`, "not-allowed", "<", "is a choice"},
		{`lamps`, "bad-expression", "lamps", "ask for one choice of several"},
		{`kind < "agm"`, "not-allowed", "<", "is a choice"},
		{`rest == limits.low`, "not-allowed", "==", "never exactly equal"},
		{"rest", "bad-expression", "rest", "must be true or false"},
		{"true", "not-allowed", "true", "a yes-or-no reading"},
		{"len(kind) > 0", "not-allowed", "len", "may be called"},
		{"any([1], true)", "not-allowed", "any", "not part of the tree language"},
		{"let x = rest; x < limits.low", "not-allowed", "x", "not part of the tree language"},
		{"rest in 11..13", "not-allowed", "..", "whole numbers only"},
		{"(rest ?? load) < limits.low", "not-allowed", "??", "not used"},
		{"rest < limits.low ? hot : hot", "not-allowed", "", "not part of the tree language"},
		{"kind matches '.*'", "not-allowed", "matches", "not used"},
		{"rest[0] < limits.low", "not-allowed", "", "may have a point"},
		{"rest < ", "bad-expression", "", "ends too early"},
		{"done(rest)", "unknown-name", "rest", "is not a step"},
		{"second.rest < limits.low", "unknown-name", "second.rest", "is not a step"},
		{"first.load < limits.low", "unknown-name", "first.load", "does not take"},
		{"rest <", "bad-expression", "", "ends too early"},
		{strings.Repeat("(", 40) + "hot" + strings.Repeat(")", 40), "too-large", "(", "nested more than"},
		{strings.Repeat("not ", 40) + "hot", "too-large", "", "nested more than"},
		{"hot" + strings.Repeat(" and hot", 300), "too-large", "h", "bytes"},
	} {
		t.Run(c.text[:min(len(c.text), 40)], func(t *testing.T) {
			comp := NewCompiler(s)
			require.Nil(t, comp.Guard(c.text))
			require.NotEmpty(t, comp.Problems)
			p := comp.Problems[0]
			require.Equal(t, c.rule, p.Rule, "%v", comp.Problems)
			require.Contains(t, p.Message, c.message)
			if c.at != "" {
				require.Contains(t, string([]rune(c.text)[p.From:p.To]), c.at, "place of %q", p.Message)
			}
		})
	}
}

func TestHugeNestingIsRefusedBeforeItIsRead(t *testing.T) {
	comp := NewCompiler(newTestScope())
	require.Nil(t, comp.Guard(strings.Repeat("(", 3_000_000)))
	require.Equal(t, "too-large", comp.Problems[0].Rule)
}

func TestUnknownIsNeitherYesNorNo(t *testing.T) {
	s := newTestScope()
	env := Env{Values: make([]Value, s.slots()), Done: make([]bool, 1)}
	env.Values[s.vars["rest"].Slot] = Exact(12)
	for text, want := range map[string]Verdict{
		"load < limits.low":                              Unknown,
		"known(load)":                                    False,
		"known(load) and load < limits.low":              False,
		"not known(load) or load < limits.low":           True,
		"rest < limits.low or load < limits.low":         True,
		"rest >= limits.low and load < limits.low":       False,
		"rest < limits.low and load < limits.low":        Unknown,
		"done(first)":                                    False,
		"rest < limits.full":                             Unknown, // the limit depends on the kind
		"rest < limits.low and not (rest >= limits.low)": True,
	} {
		c := NewCompiler(s)
		g := c.Guard(text)
		require.Empty(t, c.Problems, text)
		require.Equal(t, want, g.Eval(&env), text)
	}
	env.Values[s.vars["rest"].Slot].Stale = true
	c := NewCompiler(s)
	require.Equal(t, Unknown, c.Guard("rest < limits.low").Eval(&env), "a stale reading decides nothing")
}

// TestDifferencesCancelTheSharedError: two readings on one range have one
// proportional error, which leaves their difference almost alone.
// Source: JCGM 100:2008, 5.2 (correlated input quantities), taken at full
// correlation.
func TestDifferencesCancelTheSharedError(t *testing.T) {
	s := newTestScope()
	v := make([]Value, s.slots())
	v[s.vars["rest"].Slot] = Value{Best: 12.6, Gain: 0.005, Group: 1, Below: 0.02, Above: 0.02, State: Taken}
	v[s.vars["load"].Slot] = Value{Best: 12.4, Gain: 0.005, Group: 1, Below: 0.02, Above: 0.02, State: Taken}
	c := NewCompiler(s)
	in := c.Sum("rest - load").Over(v)
	require.InDelta(t, 0.2, in.Best, 1e-12)
	require.InDelta(t, 0.2+0.04+0.005*0.2, in.Hi, 1e-9, "0.5 %% of the difference and twice the digits")
	v[s.vars["load"].Slot].Group = 2
	in = c.Sum("rest - load").Over(v)
	require.InDelta(t, 0.2+0.04+0.005*25, in.Hi, 1e-9, "different ranges share nothing")
}

func TestAValueMayCallAFunctionOfTheTrade(t *testing.T) {
	s := newTestScope()
	kinds := []string{"flooded", "efb", "agm", "gel"}
	half := &Func{
		Name: "half_of", Unit: u("V"),
		Params: []calc.Param{{Name: "volts", Quantity: &calc.Quantity{Title: "voltage", Unit: "V", Lo: -20, Hi: 20}}, {Name: "kind", Choices: kinds, Optional: true}},
		Work: func(a calc.Args) (calc.Result, error) {
			volts := a.Num("volts")
			if volts.Best < 0 {
				return calc.Result{}, calc.Impossiblef("a voltage under 0 V cannot be halved")
			}
			r := volts.Times(0.5)
			if a.Word("kind") == "efb" {
				r.Hi++
			}
			return calc.Result{Values: []calc.Value{{Range: r}}}, nil
		},
	}
	s.funcs = map[string]*Func{"half_of": half}
	c := NewCompiler(s)
	h := &Derived{ID: "h", Unit: u("V")}
	require.True(t, c.Value(h, "half_of(rest - limits.step, kind)"), "%v", c.Problems)
	s.values = map[string]*Derived{"h": h}
	c = NewCompiler(s)
	g := c.Guard("load < h")
	require.Empty(t, c.Problems)
	require.Len(t, g.Vars, 3)
	v := make([]Value, s.slots())
	require.Equal(t, Unknown, g.Eval(&Env{Values: v}), "nothing is known yet")
	v[s.vars["rest"].Slot], v[s.vars["load"].Slot], v[s.vars["kind"].Slot] = Exact(12.3), Exact(5.9), One(0)
	require.Equal(t, True, g.Eval(&Env{Values: v}))
	v[s.vars["load"].Slot], v[s.vars["kind"].Slot] = Exact(6.5), Value{Set: 3, State: Taken}
	require.Equal(t, Open, g.Eval(&Env{Values: v}), "two kinds are left")
	v[s.vars["rest"].Slot] = Exact(0.1)
	require.Equal(t, Unknown, g.Eval(&Env{Values: v}))
	require.Equal(t, "a voltage under 0 V cannot be halved", c.Program().Atoms[0].Diff.Why(v))

	for text, message := range map[string]string{
		"halve_of(rest)":         `did you mean "half_of"`,
		"half_of()":              "half_of takes volts (V), kind (may be left out)",
		"half_of(amps)":          "volts of half_of is a voltage (V)",
		"half_of(rest, rest)":    "kind of half_of is a choice",
		"half_of(rest, turned)":  `knows no "normally"`,
		"half_of(rst)":           `did you mean "rest"`,
		"half_of(half_of(rest))": "only known(reading), done(step), and highest, lowest and spread",
	} {
		c := NewCompiler(s)
		require.False(t, c.Value(&Derived{}, text), text)
		require.NotEmpty(t, c.Problems, text)
		require.Contains(t, c.Problems[0].Message, message, text)
	}
}
