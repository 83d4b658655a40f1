package unit

import (
	"math"
	"math/big"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func mustLookup(t require.TestingT, name string) *Unit {
	u, ok := Lookup(name)
	require.True(t, ok, "unit %q", name)
	return u
}

// anyUnit draws one of all units.
var anyUnit = rapid.SampledFrom(units)

// anyFinite draws any float64 but NaN, the infinities and negative zero.
var anyFinite = rapid.Custom(func(t *rapid.T) float64 {
	return rapid.Float64().Filter(finite).Draw(t, "v") + 0
})

func TestLookup(t *testing.T) {
	for spelling, name := range map[string]string{
		"V": "V", "volt": "V", "volts": "V", "mV": "mV", "millivolts": "mV",
		"A": "A", "amp": "A", "amps": "A", "amperes": "A", "mA": "mA",
		"V/A": "V/A", "mV/A": "mV/A",
		"ohm": "Ω", "Ω": "Ω", "\u2126": "Ω", "mohm": "mΩ", "mΩ": "mΩ", "m\u2126": "mΩ",
		"°C": "°C", "C": "°C", "degC": "°C", "celsius": "°C", "℃": "°C",
		"°F": "°F", "F": "°F", "degF": "°F", "fahrenheit": "°F", "K": "K",
		"s": "s", "sec": "s", "seconds": "s", "min": "min", "minutes": "min",
		"h": "h", "hours": "h", "d": "d", "days": "d",
		"rpm": "rpm", "Ah": "Ah", "mAh": "mAh", "%": "%", "1": "1",
		"mm": "mm", "cm": "cm", "m": "m", "mm2": "mm2", "mm²": "mm2", "m3/h": "m3/h",
		"N m": "N m", "Nm": "N m", "V/K": "V/K", "mV/K": "mV/K",
	} {
		u, ok := Lookup(spelling)
		require.True(t, ok, spelling)
		assert.Equal(t, name, u.Name, spelling)
	}
	for _, spelling := range []string{"", " ", "v", "MV", "kA", "kV", "volt s", " V", "V ", "Mohm", "2"} {
		_, ok := Lookup(spelling)
		assert.False(t, ok, "%q", spelling)
	}
}

// Two units that share a spelling, in any case, would be read as one another.
func TestEverySpellingBelongsToOneUnit(t *testing.T) {
	seen := map[string]*Unit{}
	for _, u := range units {
		for _, s := range append(append([]string{u.Name}, u.symbols...), u.words...) {
			if other, ok := seen[fold(s)]; ok {
				assert.Same(t, other, u, s)
			}
			seen[fold(s)] = u
			assert.Same(t, u, mustLookup(t, s))
			if u != plain {
				typed, ok := lookupTyped(s)
				assert.True(t, ok, s)
				assert.Same(t, u, typed, s)
			}
		}
		for _, s := range u.words {
			assert.Equal(t, fold(s), s, "a word is listed in small letters")
		}
	}
	assert.Len(t, Names(), len(units))
}

func TestLookupTyped(t *testing.T) {
	for spelling, name := range map[string]string{
		"v": "V", "VOLTS": "V", "Volts": "V", "mv": "mV", "a": "A", "Amps": "A", "ma": "mA",
		"f": "°F", "c": "°C", "ºc": "°C", "OHM": "Ω", "Mohm": "", "MOHM": "", "mOhm": "mΩ",
		"MV": "", "MA": "", "Mv": "", "MAH": "", "ah": "Ah", "Min": "min", "MIN": "min",
		"RPM": "rpm", "nm": "N m", "Millivolts": "mV", "H": "h", "1": "", "kV": "",
	} {
		u, ok := lookupTyped(spelling)
		if name == "" {
			assert.False(t, ok, spelling)
			continue
		}
		require.True(t, ok, spelling)
		assert.Equal(t, name, u.Name, spelling)
	}
}

func TestBase(t *testing.T) {
	for _, c := range []struct {
		v    float64
		unit string
		base float64
	}{
		{12.55, "V", 12.55}, {12550, "mV", 12.55}, {0.1, "mV", 0.0001}, {1234.7, "mV", 1.2347},
		{82, "A", 82}, {350, "mA", 0.35}, {2, "mΩ", 0.002}, {0.5, "mV/A", 0.0005},
		{68, "°F", 20}, {-40, "°F", -40}, {0, "°F", -160.0 / 9}, {70, "°F", 190.0 / 9}, {-18, "°C", -18},
		{4, "h", 14400}, {2, "min", 120}, {1.5, "d", 129600}, {40, "min", 2400},
		{60, "Ah", 216000}, {500, "mAh", 1800}, {75, "%", 0.75}, {12.6, "%", 0.126},
		{25, "mm2", 0.000025}, {18, "m3/h", 0.005}, {3, "mV/K", 0.003}, {750, "rpm", 750}, {7, "N m", 7}, {1.265, "1", 1.265},
	} {
		u := mustLookup(t, c.unit)
		assert.Equal(t, c.base, u.Base(c.v), "%v %s", c.v, c.unit)
	}
	f := mustLookup(t, "°F")
	assert.Equal(t, 68.0, f.From(20))
	assert.Equal(t, -0.4, f.From(-18))
	assert.Equal(t, 12550.0, mustLookup(t, "mV").From(12.55))
	assert.Equal(t, 4.0, mustLookup(t, "h").From(14400))
}

func TestBaseOfWhatIsNotFinite(t *testing.T) {
	for _, u := range units {
		assert.True(t, math.IsNaN(u.Base(math.NaN())), u.Name)
		assert.True(t, math.IsNaN(u.From(math.NaN())), u.Name)
		for _, sign := range []int{1, -1} {
			assert.Equal(t, math.Inf(sign), u.Base(math.Inf(sign)), u.Name)
			assert.Equal(t, math.Inf(sign), u.From(math.Inf(sign)), u.Name)
		}
	}
	assert.Equal(t, math.Inf(1), mustLookup(t, "h").Base(math.MaxFloat64))
	assert.Equal(t, math.Inf(-1), mustLookup(t, "mV").From(-math.MaxFloat64))
	assert.False(t, math.Signbit(mustLookup(t, "V").Base(math.Copysign(0, -1))), "no negative zero")
}

// The conversions agree with exact fractions, whichever way they are worked out.
func TestBaseIsNearestToTheExactConversion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, v := anyUnit.Draw(t, "unit"), anyFinite.Draw(t, "v")
		x, _ := new(big.Rat).SetString(strconv.FormatFloat(v, 'e', -1, 64))
		base, _ := new(big.Rat).Add(new(big.Rat).Mul(x, u.factor), u.offset).Float64()
		assert.Equal(t, base, u.Base(v))
		from, _ := new(big.Rat).Quo(new(big.Rat).Sub(x, u.offset), u.factor).Float64()
		assert.Equal(t, from, u.From(v))
	})
}

// Thousandths and wholes of one quantity are one number inside the program.
func TestMilliUnitsMeetTheirWholes(t *testing.T) {
	pairs := [][2]string{{"mV", "V"}, {"mA", "A"}, {"mΩ", "V/A"}, {"mV/A", "Ω"}, {"mm", "m"}, {"mAh", "Ah"}, {"mV/K", "V/K"}}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(pairs).Draw(t, "pair")
		n := rapid.Int64Range(-1e9, 1e9).Draw(t, "thousandths")
		whole, err := strconv.ParseFloat(strconv.FormatInt(n, 10)+"e-3", 64)
		require.NoError(t, err)
		milli, plain := mustLookup(t, p[0]), mustLookup(t, p[1])
		assert.Equal(t, milli.Dim, plain.Dim)
		assert.Equal(t, plain.Base(whole), milli.Base(float64(n)))
		assert.Equal(t, float64(n), milli.From(plain.Base(whole)))
	})
}
