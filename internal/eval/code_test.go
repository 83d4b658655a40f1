package eval

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawAnswers are ranges of which some are not known; all values of one group
// have one gain, as a meter range has.
func drawAnswers(t *rapid.T, s *testScope) []Value {
	v := drawExact(t, s)
	if rapid.Bool().Draw(t, "ranges") {
		v = drawRanges(t, s, v)
	}
	gains := map[uint8]float64{}
	for _, x := range sortedVars(s) {
		o := &v[x.Slot]
		if have, ok := gains[o.Group]; ok && o.Group != 0 {
			o.Gain = have
		}
		gains[o.Group] = o.Gain
		if rapid.IntRange(0, 19).Draw(t, x.ID+" missing") == 0 {
			*o = Value{}
		}
	}
	return v
}

// TestAJumpProgramDecidesAsTheGuardsDo: where it decides, the guards before the
// one it names surely fail, and that one surely holds.
func TestAJumpProgramDecidesAsTheGuardsDo(t *testing.T) {
	s := newTestScope()
	decided := 0
	rapid.Check(t, func(t *rapid.T) {
		c := NewCompiler(s)
		var guards []*Guard
		for range rapid.IntRange(1, 3).Draw(t, "guards") {
			g := c.Guard(drawGuard(t, 2))
			require.Empty(t, c.Problems)
			guards = append(guards, g)
		}
		code := Compile(guards)
		env := &Env{Values: drawAnswers(t, s), Done: make([]bool, 1)}
		hit := code.Run(env)
		if hit == GiveUp {
			return
		}
		decided++
		for _, g := range guards[:hit] {
			require.Equal(t, False, g.Eval(env), g.Text)
		}
		require.Equal(t, True, guards[hit].Eval(env), guards[hit].Text)
	})
	require.Positive(t, decided)
}

// TestASumIsClearOnlyIfItIs holds the quick bound on the doubt to the doubt
// worked out whole.
func TestASumIsClearOnlyIfItIs(t *testing.T) {
	s := newTestScope()
	clear := 0
	rapid.Check(t, func(t *rapid.T) {
		c := NewCompiler(s)
		c.Guard(rapid.SampledFrom([]string{
			"rest < limits.low", "rest - load > limits.step", "rest >= limits.full", "load < limits.floor", "limits.floor <= load",
			"drop > limits.path * amps", "drop <= amps * limits.path - limits.step", "-drop < limits.step", "count > 0",
			"rest < limits.low + limits.slope * (temp - limits.warm)", "rest - first.rest < limits.step", "rest - load < limits.full - limits.floor",
		}).Draw(t, "guard"))
		require.Empty(t, c.Problems)
		a := c.Program().Atoms[0]
		env := &Env{Values: drawAnswers(t, s)}
		yes, ok := newSum(a).clear(env)
		if !ok {
			return
		}
		clear++
		want := False
		if yes {
			want = True
		}
		require.Equal(t, want, a.Eval(env).Verdict, a.Text)
	})
	require.Positive(t, clear)
}
