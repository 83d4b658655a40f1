package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/unit"
)

func TestChargingVoltage(t *testing.T) {
	charge := func(c string) unit.Range { return first(t, "charging_voltage", "chemistry", c, "battery_temp", 25) }
	for _, c := range append(kinds(unsure), unsure) {
		r := ask(t, "charging_voltage", "chemistry", c, "battery_temp", 25)
		assert.LessOrEqual(t, valueOf(r, "in_vehicle").Hi, 14.8, c)
		assert.Less(t, valueOf(r, "float").Hi, valueOf(r, "charge").Best, c)
	}
	assert.Equal(t, charge(gel), charge(unsure), "an unknown type is charged as the one that bears least")
	assert.LessOrEqual(t, charge(gel).Hi, 14.1)
}

// Colder means more volts, and the temperature of gassing is the inverse of its
// voltage.
func TestGassingAndChargingOverTemperature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cold := rapid.Float64Range(-20, 45).Draw(t, "cold")
		warm := rapid.Float64Range(cold, 50).Draw(t, "warm")
		requireNotLess(t, first(t, "charging_voltage", "chemistry", agm, "battery_temp", cold), first(t, "charging_voltage", "chemistry", agm, "battery_temp", warm))
		volts := first(t, "gassing_voltage", "battery_temp", cold)
		temp := first(t, "gassing_temperature", "charging_voltage", volts.Best)
		require.InDelta(t, cold, temp.Best, 1e-9)
		require.True(t, temp.Lo-1e-9 <= cold && cold <= temp.Hi+1e-9)
	})
}

// More to charge takes longer, more current less long; the second stage is there
// only when the first ends short of the goal.
func TestChargingTime(t *testing.T) {
	time := func(stage string, from, to, amps float64) float64 {
		r := ask(t, "charging_time", "capacity", 70, "from", from, "to", to, "current", amps, "chemistry", agm)
		return valueOf(r, stage).Best
	}
	assert.Zero(t, time("taper", 20, 60, 4), "4 A go in until 93 %")
	assert.Zero(t, time("steady", 95, 98, 10), "at 95 % it no longer takes 10 A")
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(0, 80).Draw(t, "from")
		to := rapid.Float64Range(from+1, 97).Draw(t, "to")
		amps := rapid.Float64Range(1, 20).Draw(t, "amps")
		total := time("total", from, to, amps)
		require.Greater(t, time("total", from, to+1, amps), total)
		require.LessOrEqual(t, time("total", from, to, amps+1), total+1e-9)
		require.InDelta(t, time("steady", from, to, amps)+time("taper", from, to, amps), total, 1e-9)
	})
}

func TestChargeResponse(t *testing.T) {
	for _, c := range []struct {
		minutes, volts, amps any
		before               float64
		want                 string
	}{
		{5, 14.4, 0.2, 11.5, takesNone},
		{5, 14.4, 0.2, 12.5, mayBeFull},
		{5, 14.4, 5, 11.5, takesCharge},
		{40, 13.4, 10, 11.5, takesCharge},
		{30, 11.9, 10, 10.4, shortedCell},
		{29, 11.9, 10, 10.4, tooEarly},
		{30, 12.0, 10, 10.4, notCertain},
		{30, 12.9, 10, 11.5, notCertain},
		{30, 12.9, 5, 11.5, takesCharge},
		{5, unit.Around(14.2, 0.1), unit.Around(1, 0.2), 11.5, notCertain},
	} {
		r := ask(t, "charge_response", "minutes", c.minutes, "voltage", c.volts, "current", c.amps, "charger_current", 10, "rest_voltage", c.before)
		assert.Equal(t, []string{c.want}, r.Says, "%+v", c)
	}
}

func TestTakesNoCharge(t *testing.T) {
	for _, c := range []struct {
		volts, hours any
		needed       unit.Range
		says         string
	}{
		{16, 4, unit.Exactly(4), "It may be said"},
		{15.9, 7.9, unit.Exactly(8), "Not yet"},
		{14, 8, unit.Exactly(8), "It may be said"},
		{13.9, 15, unit.Exactly(16), "Not yet"},
		{unit.Around(14, 0.1), 10, span(8, 8, 16), "Not certain"},
		{unit.Around(14, 0.1), 16, span(8, 8, 16), "It may be said"},
	} {
		r := ask(t, "takes_no_charge", "charging_voltage", c.volts, "hours", c.hours)
		assert.Equal(t, c.needed, r.Values[0].Range)
		assert.Contains(t, r.Says[0], c.says, "%+v", c)
	}
}

func TestRegulatedVoltage(t *testing.T) {
	for _, c := range []struct {
		running       float64
		loads, system string
		says          string
	}{
		{14.1, "on", "conventional", "Within every published window"},
		{12.9, "on", "conventional", "it does not charge"},
		{12.9, "off", "conventional", "charges too little"},
		{13.15, "on", "conventional", "charges too little"},
		{13.5, "on", "conventional", "Between the published limits"},
		{15.6, "off", "conventional", "It overcharges"},
		{15.15, "off", "conventional", "More than 2.5 V over rest"},
		{12.6, "off", "smart", "Nothing follows"},
		{15.4, "off", "smart", "Nothing follows"},
		{12.0, "off", "smart", "Outside of anything"},
		{12.6, "on", "smart", "it does not charge"},
		{14.1, "on", "smart", "Within every published window"},
	} {
		r := ask(t, "regulated_voltage", "rest_voltage", 12.6, "running_voltage", c.running, "loads", c.loads, "system", c.system, "regulator_temp", 20)
		assert.Contains(t, r.Says[0], c.says, "%+v", c)
	}
}

func TestWindowFallsWithTemperature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cold := rapid.Float64Range(-40, 119).Draw(t, "cold")
		a, b := ask(t, "alternator_window", "regulator_temp", cold), ask(t, "alternator_window", "regulator_temp", cold+1)
		requireNotLess(t, valueOf(a, "lowest"), valueOf(b, "lowest"))
		requireNotLess(t, valueOf(a, "highest"), valueOf(b, "highest"))
		require.Less(t, valueOf(a, "under").Best, valueOf(a, "lowest").Best)
		require.Greater(t, valueOf(a, "over").Best, valueOf(a, "highest").Best)
	})
}

func TestLimitsSay(t *testing.T) {
	ripple := func(mV any) string { return ask(t, "ripple", "ripple", mV).Says[0] }
	assert.Contains(t, ripple(100), "Within")
	assert.Contains(t, ripple(101), "Over")
	assert.Contains(t, ripple(unit.Around(100, 2)), "Too close")
	for mA, want := range map[int]string{20: "any vehicle", 30: "modern vehicle", 50: "modern vehicle", 51: "Between", 80: "Between", 81: "A fault"} {
		assert.Contains(t, ask(t, "draw_limit", "draw", mA).Says[0], want, "%v mA", mA)
	}
	assert.Equal(t, span(30, 40, 60), first(t, "settling_time"))
	assert.Equal(t, span(0.5, 5, 5), first(t, "settling_time", "vehicle", "simple"))
	assert.Equal(t, span(0.2, 0.3, 0.5), first(t, "charging_drop", "path", "positive"))
	assert.Equal(t, unit.Exactly(0.2), first(t, "charging_drop", "path", "earth"))
}

// A larger draw lasts less long; the days and the draw multiply to the charge
// that may go.
func TestDaysUntilNoStart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ah := rapid.Float64Range(30, 110).Draw(t, "Ah")
		mA := rapid.Float64Range(1, 500).Draw(t, "mA")
		days := func(loss float64) float64 {
			return first(t, "days_until_no_start", "capacity", ah, "state_of_charge", 100, "needed", 60, "draw", mA, "self_discharge", loss).Best
		}
		require.InEpsilon(t, 0.4*ah, days(0)*24*mA/1000, 1e-9)
		require.Less(t, days(0.2), days(0))
	})
}
