package calc

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/unit"
)

// drop is a function of a current and a resistance; a worn path has twice as much.
func drop() *Function {
	worn := Word("no")
	return &Function{
		Name: "drop", Unit: unit.Must("V"),
		Params: []Param{
			{Name: "worn", Choices: []string{"no", "yes"}, Optional: true, Assume: &worn},
			{Name: "current", Quantity: &Quantity{Title: "current", Unit: "A", Lo: 0, Hi: 1000}},
			{Name: "resistance", Quantity: &Quantity{Title: "resistance", Unit: "mΩ", Lo: 0, Hi: 100}},
		},
		Work: func(a Args) (Result, error) {
			r := unit.Over(func(x []float64) float64 { return x[0] * x[1] }, a.Num("current"), a.Num("resistance"))
			if a.Word("worn") == "yes" {
				r = r.Times(2)
			}
			return Result{Values: []Value{{Name: "drop", Unit: "V", Range: r.Times(0.001)}}}, nil
		},
	}
}

func TestRunTakesWhatIsAssumed(t *testing.T) {
	r, err := drop().Run(Args{"current": Number(unit.Exactly(100)), "resistance": Number(unit.Exactly(5))})
	require.NoError(t, err)
	assert.InDelta(t, 0.5, r.Values[0].Range.Best, 1e-12)
	require.Len(t, r.Inputs, 3)
	assert.True(t, r.Inputs[0].Assumed)
	assert.Equal(t, "no", r.Inputs[0].Arg.Word())
}

func TestRunRefuses(t *testing.T) {
	amps := Number(unit.Exactly(100))
	for want, args := range map[string]Args{
		"drop also needs current, resistance":           {"worn": Word("no")},
		`drop takes no "length"`:                        {"current": amps, "resistance": Number(unit.Exactly(1)), "length": amps},
		`worn is "much": expected one of no, yes`:       {"current": amps, "resistance": Number(unit.Exactly(1)), "worn": Word("much")},
		`worn is "": expected one of no, yes`:           {"current": amps, "resistance": Number(unit.Exactly(1)), "worn": {Words: []string{"no", "yes"}}},
		"resistance is 200 mΩ, expected 0 mΩ to 100 mΩ": {"current": amps, "resistance": Number(unit.Exactly(200))},
	} {
		_, err := drop().Run(args)
		assert.EqualError(t, err, want)
	}
}

// An expression gives base units, what must be given first, and all words that are
// left: the answer covers each of them.
func TestOverCoversEveryWordThatIsLeft(t *testing.T) {
	f := drop()
	var names []string
	for _, p := range f.Positional() {
		names = append(names, p.Name)
	}
	assert.Equal(t, []string{"current", "resistance", "worn"}, names)
	args := []Arg{Number(unit.Around(100, 10)), Number(unit.Exactly(0.005)), {Words: []string{"no", "yes"}}}
	got, err := f.Over(args)
	require.NoError(t, err)
	assert.InDelta(t, 0.45, got.Lo, 1e-12)
	assert.InDelta(t, 1.1, got.Hi, 1e-12)
	assert.True(t, got.Contains(got.Best))
	got, err = f.Over(args[:2])
	require.NoError(t, err)
	assert.InDelta(t, 0.55, got.Hi, 1e-12)
	_, err = f.Over([]Arg{Number(unit.Exactly(-1)), Number(unit.Exactly(0.005))})
	assert.EqualError(t, err, "current is -1 A, expected 0 A to 1000 A")
}

func TestShow(t *testing.T) {
	for want, got := range map[string]string{
		"12.55 V": Show(12.55, "V"), "0.002 V": Show(0.002, "V"), "-18 °C": Show(-18, "°C"), "0 V": Show(0, "V"),
		"1500 A": Show(1500, "A"), "0.3 V": Show(0.1+0.2, "V"), "7.7 %": Show(7.684, "%"), "100000 mΩ": Show(100000, "mΩ"), "1.265": Show(1.265, "1"),
		"13.8 to 14.8 V": ShowRange(unit.Between(13.8, 14.8), "V"), "12 V": ShowRange(unit.Exactly(12), "V"),
	} {
		assert.Equal(t, want, got)
	}
}
