package leadacid

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

func TestEveryFunctionIsDocumented(t *testing.T) {
	names := map[string]bool{}
	for _, f := range All() {
		assert.Regexp(t, `^[a-z][a-z0-9_]*$`, f.Name)
		assert.False(t, names[f.Name], "%s is there twice", f.Name)
		names[f.Name] = true
		assert.Same(t, f, Find(f.Name))
		for what, text := range map[string]string{"title": f.Title, "topic": f.Topic, "doc": f.Doc, "formula": f.Formula} {
			assert.NotEmpty(t, text, "%s has no %s", f.Name, what)
		}
		checkSource(t, f.Name, f.Source)
		for _, fig := range f.Figures {
			checkFigure(t, f.Name, fig)
		}
		for _, table := range f.Tables {
			checkTable(t, f.Name, table)
		}
		for _, p := range f.Params {
			checkParam(t, f.Name, p)
		}
	}
	assert.Nil(t, Find("no_such_function"))
}

func checkSource(t *testing.T, of string, s calc.Source) {
	assert.NotEmpty(t, s.Text, of)
	assert.Contains(t, []calc.Confidence{definition, seenTwice, seen, workedOut, memoryChecked, memory, practice, choice}, s.Confidence, of)
	if strings.HasPrefix(s.Text, "from memory") {
		assert.Contains(t, []calc.Confidence{memory, memoryChecked}, s.Confidence, "%s: %s", of, s.Text)
	}
}

func checkFigure(t *testing.T, of string, f calc.Figure) {
	assert.NotEmpty(t, f.Name, of)
	_, known := unit.Lookup(f.Unit)
	assert.True(t, known, "%s, %s: unit %q", of, f.Name, f.Unit)
	assert.True(t, f.Range.Lo <= f.Range.Best && f.Range.Best <= f.Range.Hi, "%s, %s: %v", of, f.Name, f.Range)
	checkSource(t, of, f.Source)
}

func checkTable(t *testing.T, of string, table *calc.Table) {
	assert.NotEmpty(t, table.Name, of)
	checkSource(t, of, table.Source)
	rises := 0
	for i := 1; i < len(table.X); i++ {
		assert.Less(t, table.X[i-1], table.X[i], "%s, %s", of, table.Name)
		switch {
		case table.Y[i] > table.Y[i-1]:
			rises++
		case table.Y[i] < table.Y[i-1]:
			rises--
		}
	}
	assert.Equal(t, len(table.X)-1, int(math.Abs(float64(rises))), "%s, %s: the second column must rise or fall all the way", of, table.Name)
}

func checkParam(t *testing.T, of string, p calc.Param) {
	assert.NotEmpty(t, p.Doc, "%s %s", of, p.Name)
	if p.Number() {
		_, known := unit.Lookup(p.Unit)
		assert.True(t, known, "%s %s: unit %q", of, p.Name, p.Unit)
		assert.True(t, len(p.Only) > 0 || p.Lo < p.Hi, "%s %s", of, p.Name)
	}
	if p.Assume != nil {
		assert.True(t, p.Optional, "%s %s", of, p.Name)
	}
}

// anyArgs draws arguments that the parameters allow: numbers with some doubt.
func anyArgs(t *rapid.T, f *calc.Function) calc.Args {
	args := calc.Args{}
	for _, p := range f.Params {
		if p.File || p.Optional && rapid.Bool().Draw(t, "leave out "+p.Name) {
			continue
		}
		switch {
		case len(p.Choices) > 0:
			args[p.Name] = calc.Word(rapid.SampledFrom(p.Choices).Draw(t, p.Name))
		case len(p.Only) > 0:
			args[p.Name] = calc.Number(unit.Exactly(rapid.SampledFrom(p.Only).Draw(t, p.Name)))
		default:
			args[p.Name] = calc.Number(anyRange(t, p))
		}
	}
	if f.Name == "loop_sum" && rapid.Bool().Draw(t, "adds up") {
		// Drops that were drawn one by one hardly ever add up to the posts.
		sum := args["positive_drop"].Range.Best + args["solenoid_drop"].Range.Best + args["motor_voltage"].Range.Best + args["earth_drop"].Range.Best
		args["posts"] = calc.Number(unit.Exactly(sum))
	}
	return args
}

func anyRange(t *rapid.T, p calc.Param) unit.Range {
	lo, hi := p.Lo, p.Hi
	best := rapid.Float64Range(lo, hi).Draw(t, p.Name)
	if p.Name == "plates" {
		return unit.Exactly(math.Floor(best))
	}
	if rapid.Bool().Draw(t, p.Name+" as on a label") {
		return unit.Exactly(best)
	}
	by := rapid.Float64Range(0, (hi-lo)/50).Draw(t, p.Name+" give or take")
	return span(math.Max(lo, best-by), best, math.Min(hi, best+by))
}

// inside draws one point of every range.
func inside(t *rapid.T, args calc.Args) calc.Args {
	point := calc.Args{}
	for name, arg := range args {
		if arg.Words == nil {
			arg.Range = unit.Exactly(rapid.Float64Range(arg.Range.Lo, arg.Range.Hi).Draw(t, "inside "+name))
		}
		point[name] = arg
	}
	return point
}

// What a function gives for a range covers what it gives for every point inside
// it: nothing that can be true is left out. A point may be refused where the
// range is not, since a refusal needs certainty or not as the case may be.
func TestARangeCoversEveryPointInIt(t *testing.T) {
	for _, f := range All() {
		t.Run(f.Name, func(t *testing.T) {
			worked := 0
			rapid.Check(t, func(t *rapid.T) {
				args := anyArgs(t, f)
				whole, err := f.Run(args)
				requireOrderly(t, f, whole, err)
				if err != nil {
					return
				}
				worked++
				part, err := f.Run(inside(t, args))
				requireOrderly(t, f, part, err)
				if err != nil {
					return
				}
				require.Len(t, part.Values, len(whole.Values))
				for i, w := range whole.Values {
					p := part.Values[i]
					if w.Name == "apart" { // a distance between ranges: the narrower they are the farther apart
						continue
					}
					hair := 1e-9 * (1 + math.Abs(w.Range.Hi) + math.Abs(w.Range.Lo))
					require.GreaterOrEqual(t, p.Range.Lo, w.Range.Lo-hair, w.Name)
					require.LessOrEqual(t, p.Range.Hi, w.Range.Hi+hair, w.Name)
				}
			})
			assert.NotZero(t, worked, "nothing that was tried could be worked out")
		})
	}
}

// requireOrderly holds for every outcome: an Impossible or MissingError with a
// plain reason, or finite ranges in order.
func requireOrderly(t *rapid.T, f *calc.Function, r calc.Result, err error) {
	if err != nil {
		var no *calc.Impossible
		require.True(t, errors.As(err, &no), "%v", err)
		require.Regexp(t, `^\S.*[^.\s]$`, no.Reason)
		require.NotContains(t, no.Reason, "NaN")
		require.NotContains(t, no.Reason, "%!")
		return
	}
	require.NotEmpty(t, len(r.Values)+len(r.Says)+len(r.Candidates))
	for _, v := range r.Values {
		require.True(t, v.Range.Lo <= v.Range.Best && v.Range.Best <= v.Range.Hi, "%s %s: %v", f.Name, v.Name, v.Range)
		require.False(t, math.IsInf(v.Range.Lo, 0) || math.IsInf(v.Range.Hi, 0), "%s %s: %v", f.Name, v.Name, v.Range)
		_, known := unit.Lookup(v.Unit)
		require.True(t, known, v.Unit)
	}
	for _, o := range r.Opinions {
		v := valueOf(r, o.Of)
		require.True(t, v.Lo <= o.Range.Lo && o.Range.Hi <= v.Hi, "%s: the opinion %q is outside %s", f.Name, o.Says, o.Of)
	}
	for _, s := range r.Says {
		require.NotContains(t, s, "%!")
	}
}

// What an expression is given for a range and several words covers what it is given
// for each word and every point inside.
func TestOverHoldsForWhatLiesInside(t *testing.T) {
	f := Find("charge_from_voltage")
	over := func(volts unit.Range, words ...string) unit.Range {
		r, err := f.Over([]calc.Arg{calc.Number(volts), {Words: words}})
		require.NoError(t, err)
		return r
	}
	whole := over(unit.Between(12.2, 12.5), flooded, agm)
	for _, w := range []string{flooded, agm} {
		for v := 12.2; v <= 12.5; v += 0.05 {
			in := over(unit.Exactly(v), w)
			require.LessOrEqual(t, whole.Lo, in.Lo+1e-9)
			require.GreaterOrEqual(t, whole.Hi, in.Hi-1e-9)
		}
	}
}
