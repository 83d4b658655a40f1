package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestChargingVoltage(t *testing.T) {
	for _, c := range []Chemistry{Flooded, EFB, AGM, Gel, Unsure} {
		v, err := ChargingVoltage(c, Exactly(25))
		require.NoError(t, err)
		assert.LessOrEqual(t, v.InVehicle.Hi, 14.8, c)
		assert.Less(t, v.Float.Hi, v.Charge.Range.Best, c)
	}
	gel, err := ChargingVoltage(Gel, Exactly(25))
	require.NoError(t, err)
	unsure, err := ChargingVoltage(Unsure, Exactly(25))
	require.NoError(t, err)
	assert.Equal(t, gel.Charge.Range, unsure.Charge.Range, "an unknown type is charged as the one that bears least")
	assert.LessOrEqual(t, gel.Charge.Range.Hi, 14.1)
}

// Colder means more volts, and the temperature of gassing is the reverse of its
// voltage.
func TestGassingAndChargingOverTemperature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cold := rapid.Float64Range(-20, 45).Draw(t, "cold")
		warm := rapid.Float64Range(cold, 50).Draw(t, "warm")
		a, err := ChargingVoltage(AGM, Exactly(cold))
		require.NoError(t, err)
		b, err := ChargingVoltage(AGM, Exactly(warm))
		require.NoError(t, err)
		requireNotLess(t, a.Charge.Range, b.Charge.Range)
		volts, err := GassingVoltage(Exactly(cold))
		require.NoError(t, err)
		temp, err := GassingTemperature(Exactly(volts.Best))
		require.NoError(t, err)
		require.InDelta(t, cold, temp.Best, 1e-9)
		require.True(t, temp.Lo-1e-9 <= cold && cold <= temp.Hi+1e-9)
	})
}

// More to charge takes longer, more current less long; the second stage is there
// only when the first ends short of the goal.
func TestChargingTime(t *testing.T) {
	time := func(from, to, amps float64) ChargeTime {
		got, err := ChargingTime(Exactly(70), Exactly(from), Exactly(to), Exactly(amps), AGM)
		require.NoError(t, err)
		return got
	}
	assert.Zero(t, time(20, 60, 4).Taper.Best, "4 A go in until 93 %")
	assert.Zero(t, time(95, 98, 10).Steady.Best, "at 95 % it no longer takes 10 A")
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(0, 80).Draw(t, "from")
		to := rapid.Float64Range(from+1, 97).Draw(t, "to")
		amps := rapid.Float64Range(1, 20).Draw(t, "amps")
		one := time(from, to, amps)
		require.Greater(t, time(from, to+1, amps).Total.Best, one.Total.Best)
		require.LessOrEqual(t, time(from, to, amps+1).Total.Best, one.Total.Best+1e-9)
		require.InDelta(t, one.Steady.Best+one.Taper.Best, one.Total.Best, 1e-9)
	})
}

func TestChargeResponse(t *testing.T) {
	ten := Exactly(10)
	for _, c := range []struct {
		minutes, volts, amps, before float64
		want                         Response
	}{
		{5, 14.4, 0.2, 11.5, TakesNone},
		{5, 14.4, 0.2, 12.5, MayBeFull},
		{5, 14.4, 5, 11.5, TakesCharge},
		{40, 13.4, 10, 11.5, TakesCharge},
		{30, 11.9, 10, 10.4, ShortedCell},
		{29, 11.9, 10, 10.4, TooEarly},
		{30, 12.0, 10, 10.4, NotYetCertain},
		{30, 12.9, 10, 11.5, NotYetCertain},
		{30, 12.9, 5, 11.5, TakesCharge},
	} {
		got, err := ChargeResponse(Exactly(c.minutes), Exactly(c.volts), Exactly(c.amps), ten, Exactly(c.before))
		require.NoError(t, err)
		assert.Equal(t, c.want, got, "%+v", c)
		assert.NotEmpty(t, responseSays[got])
	}
	got, err := ChargeResponse(Exactly(5), Around(14.2, 0.1), Around(1, 0.2), ten, Exactly(11.5))
	require.NoError(t, err)
	assert.Equal(t, NotYetCertain, got)
}

func TestTakesNoCharge(t *testing.T) {
	for _, c := range []struct {
		volts, hours Range
		needed       Range
		may          Verdict
	}{
		{Exactly(16), Exactly(4), Exactly(4), Yes},
		{Exactly(15.9), Exactly(7.9), Exactly(8), No},
		{Exactly(14), Exactly(8), Exactly(8), Yes},
		{Exactly(13.9), Exactly(15), Exactly(16), No},
		{Around(14, 0.1), Exactly(10), Range{8, 8, 16}, Open},
		{Around(14, 0.1), Exactly(16), Range{8, 8, 16}, Yes},
	} {
		needed, may, err := TakesNoCharge(c.volts, c.hours)
		require.NoError(t, err)
		assert.Equal(t, c.needed, needed)
		assert.Equal(t, c.may, may, "%+v", c)
	}
}

func TestRegulatedVoltage(t *testing.T) {
	for _, c := range []struct {
		running      float64
		loads, smart bool
		says         string
	}{
		{14.1, true, false, "Within every published window"},
		{12.9, true, false, "it does not charge"},
		{12.9, false, false, "charges too little"},
		{13.15, true, false, "charges too little"},
		{13.5, true, false, "Between the published limits"},
		{15.6, false, false, "It overcharges"},
		{15.15, false, false, "More than 2.5 V over rest"},
		{12.6, false, true, "Nothing follows"},
		{15.4, false, true, "Nothing follows"},
		{12.0, false, true, "Outside of anything"},
		{12.6, true, true, "it does not charge"},
		{14.1, true, true, "Within every published window"},
	} {
		_, says, err := RegulatedVoltage(Charging{Rest: Exactly(12.6), Running: Exactly(c.running), LoadsOn: c.loads, Smart: c.smart, Regulator: Exactly(20)})
		require.NoError(t, err)
		assert.Contains(t, says, c.says, "%+v", c)
	}
}

func TestWindowFallsWithTemperature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cold := rapid.Float64Range(-40, 119).Draw(t, "cold")
		a, err := AlternatorWindow(Exactly(cold))
		require.NoError(t, err)
		b, err := AlternatorWindow(Exactly(cold + 1))
		require.NoError(t, err)
		requireNotLess(t, a.Lowest.Range, b.Lowest.Range)
		requireNotLess(t, a.Highest.Range, b.Highest.Range)
		require.Less(t, a.Under.Best, a.Lowest.Range.Best)
		require.Greater(t, a.Over.Best, a.Highest.Range.Best)
	})
}

func TestLimitsSay(t *testing.T) {
	posts, err := RippleLimit("posts")
	require.NoError(t, err)
	assert.Contains(t, rippleSays(Exactly(100), posts), "Within")
	assert.Contains(t, rippleSays(Exactly(101), posts), "Over")
	assert.Contains(t, rippleSays(Around(100, 2), posts), "Too close")
	for mA, want := range map[float64]string{20: "any vehicle", 30: "modern vehicle", 50: "modern vehicle", 51: "Between", 80: "Between", 81: "A fault"} {
		assert.Contains(t, drawSays(Exactly(mA)), want, "%v mA", mA)
	}
	assert.Equal(t, Range{30, 40, 60}, SettlingTime(false))
	assert.Equal(t, Range{0.5, 5, 5}, SettlingTime(true))
	for _, path := range []string{"positive", "earth"} {
		_, err := ChargingDrop(path)
		assert.NoError(t, err)
	}
}

// A larger draw lasts less long; the days and the draw multiply to the charge
// that may go.
func TestDaysUntilNoStart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ah := rapid.Float64Range(30, 110).Draw(t, "Ah")
		mA := rapid.Float64Range(1, 500).Draw(t, "mA")
		days, err := DaysUntilNoStart(Exactly(ah), Exactly(100), Exactly(60), Exactly(mA), Exactly(0))
		require.NoError(t, err)
		require.InEpsilon(t, 0.4*ah, days.Best*24*mA/1000, 1e-9)
		less, err := DaysUntilNoStart(Exactly(ah), Exactly(100), Exactly(60), Exactly(mA), Exactly(0.2))
		require.NoError(t, err)
		require.Less(t, less.Best, days.Best)
	})
}
