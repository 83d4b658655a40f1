package leadacid

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// What cannot be is named, in the words below, and never computed through.
func TestWhatCannotBeIsNamed(t *testing.T) {
	word := calc.Word
	num := func(v float64) calc.Arg { return calc.Number(unit.Exactly(v)) }
	doubt := func(v, by float64) calc.Arg { return calc.Number(unit.Around(v, by)) }
	for _, c := range []struct {
		function string
		args     calc.Args
		reason   string
	}{
		// A load voltage above, at, or within its doubt not below rest.
		{"load_test", calc.Args{"rest_voltage": num(12.5), "load_voltage": num(12.6)}, "the voltage under load, 12.6 V, is not below that at rest, 12.5 V: no load was drawn, a charger is connected, or a probe was elsewhere"},
		{"load_test", calc.Args{"rest_voltage": num(12.5), "load_voltage": num(12.5)}, "the voltage under load, 12.5 V, is not below that at rest, 12.5 V: no load was drawn, a charger is connected, or a probe was elsewhere"},
		// Negative resistance, or one that the doubt hides.
		{"internal_resistance", calc.Args{"first_voltage": num(11), "second_voltage": num(12), "second_current": num(100)}, "the voltage rises from 11 V to 12 V under the heavier current: a resistance cannot be negative, so the readings are swapped or a charger is connected"},
		{"internal_resistance", calc.Args{"first_voltage": doubt(12.6, 0.1), "second_voltage": doubt(12.5, 0.1), "second_current": num(20)}, "the two voltages differ by less than their doubt: take a heavier load or a finer meter"},
		{"internal_resistance", calc.Args{"first_voltage": num(12.6), "second_voltage": num(12.5), "second_current": num(0)}, "the second current, 0 A, must be the heavier one; the first is 0 A"},
		{"internal_resistance", calc.Args{"first_voltage": num(12.6), "second_voltage": num(12.5), "first_current": doubt(10, 2), "second_current": doubt(12, 2)}, "the two currents differ by less than 0.5 A beside their doubt: take a heavier load"},
		{"starter_voltage", calc.Args{"rest_voltage": num(12.6), "current": num(150), "battery_resistance": num(-1)}, "resistance is -1 mΩ, expected 0 mΩ to 100000 mΩ: a resistance cannot be negative"},
		{"starter_voltage", calc.Args{"rest_voltage": num(12.6), "current": num(1500), "battery_resistance": num(10)}, "1500 A cannot flow over these resistances from 12.6 V: it would leave -2.4 V at the starter"},
		// Colder than the freezing point of that state of charge.
		{"charge_from_voltage", calc.Args{"rest_voltage": num(11.6), "chemistry": word("flooded"), "battery_temp": num(-18)}, "a battery of 0 to 7.7 % freezes at -14.8 to -7 °C and it is at -18 °C: look for ice and bulges, let it thaw indoors, then read again"},
		{"voltage_from_charge", calc.Args{"state_of_charge": num(0), "battery_temp": num(-20)}, "a battery of 0 % freezes at -12.1 to -7 °C and it is at -20 °C: look for ice and bulges, let it thaw indoors, then read again"},
		{"charge_from_gravity", calc.Args{"gravity": num(1.14), "acid_temp": num(-25)}, "acid of 1.103 freezes at -8.2 to -7.4 °C: at -25 °C it was ice, so one of the two readings is wrong"},
		{"load_test", calc.Args{"rest_voltage": num(11.6), "load_voltage": num(9), "chemistry": word("flooded"), "battery_temp": num(-18)}, "a battery of 0 to 7.7 % freezes at -14.8 to -7 °C and it is at -18 °C: look for ice and bulges, let it thaw indoors, then read again"},
		{"load_floor", calc.Args{"battery_temp": num(-19)}, "no load test is published below -18 °C, and the battery is at -19 °C: let it warm up first"},
		// Ratings that nothing leads to.
		{"convert_rating", calc.Args{"rating": num(300), "from": word("jis"), "to": word("sae")}, "nothing published leads to or from a JIS rating: look the size code up in its maker's list, or go by the capacity"},
		{"load_current", calc.Args{"rating": num(300)}, "a rating without its standard cannot be halved: a DIN number means far more than the same number in SAE; give standard, or capacity instead"},
		{"load_current", calc.Args{"standard": word("en")}, "there is a standard but no rating: give rating, or capacity instead"},
		{"load_current", calc.Args{}, "there is nothing to go by: give rating and standard, or capacity"},
		{"rating_resistance", calc.Args{"rating": num(300), "standard": word("jis")}, "a JIS rating fixes the current and not the voltage: no resistance follows from it"},
		{"rating_resistance", calc.Args{"rating": num(600), "standard": word("en"), "rest_voltage": num(9)}, "a battery that rests at 9 V cannot hold the floor of 9.6 V under load: charge it first"},
		// A loop of drops that does not add up.
		{"loop_sum", calc.Args{"posts": num(10.4), "positive_drop": num(0.2), "solenoid_drop": num(0.1), "motor_voltage": num(7.9), "earth_drop": num(0.2)}, "the parts of the loop come to 8.4 V and the posts to 10.4 V: they do not add up, so a probe was on the wrong point"},
		{"loop_sum", calc.Args{"posts": num(10.4), "positive_drop": num(0.2), "solenoid_drop": num(0.1), "motor_voltage": num(9.7), "earth_drop": num(0.2), "cranks": word("one")}, "the parts of the loop come to 10.2 V and the posts to 10.4 V: they do not add up, so a probe was on the wrong point"},
		// No current is proved.
		{"current_by_engine", calc.Args{"engine": word("small_petrol"), "turned": word("no"), "fell": num(2)}, "on a stall or a click the engine's class says nothing of the current"},
		{"current_by_engine", calc.Args{"engine": word("small_petrol"), "turned": word("yes"), "fell": doubt(0.5, 0.1)}, "the posts fell by 0.5 V only: under 0.5 V no current is proved"},
		{"current_by_matching", calc.Args{"rest_voltage": num(12.6), "crank_voltage": num(10.5), "pile_voltage": num(11), "pile_current": num(100)}, "the pile brings the posts to 11 V and the crank to 10.5 V: set the pile nearer"},
		{"current_by_matching", calc.Args{"rest_voltage": doubt(12.6, 0.2), "crank_voltage": num(12.3), "pile_voltage": doubt(12.3, 0.15), "pile_current": num(100)}, "the voltage under the pile differs from that at rest by less than their doubt"},
		{"current_by_shunt", calc.Args{"crank_drop": num(200), "known_drop": num(0), "known_current": num(10)}, "drop under the known load is 0 mV, expected 0.01 mV to 18000 mV: it can be zero within its doubt, so take a heavier load or a finer meter"},
		{"current_by_cable", calc.Args{"drop": num(0.2), "size": num(25), "length": num(0)}, "cable length is 0 m, expected 0.01 m to 100 m: a cable of no length has no drop of its own"},
		{"drop_per_100_amps", calc.Args{"drop": num(0.2), "current": num(0)}, "current is 0 A, expected 0.1 A to 3000 A: a drop without a current says nothing of the path"},
		// Rows that are not there.
		{"cable_drop", calc.Args{"size": num(30), "length": num(1), "current": num(100)}, "cable size is 30 mm2, expected one of 0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150 (mm2)"},
		{"fuse_current", calc.Args{"rating": num(1), "size": word("mini"), "voltage": num(1)}, "fuse rating is 1 A, expected one of 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30 (A)"},
		{"fuse_current", calc.Args{"rating": num(10), "voltage": num(12000)}, "voltage across the fuse is 12000 mV, expected 0 mV to 300 mV: a whole fuse cannot lose so much: it is blown, or a probe is elsewhere"},
		{"slow_charge", calc.Args{"plates": num(8)}, "a cell has one negative plate more than positive ones, so 8 plates cannot be"},
		{"slow_charge", calc.Args{"plates": num(8.5)}, "plates are counted: give a whole number"},
		// Charging.
		{"charging_voltage", calc.Args{"battery_temp": num(55)}, "at 55 °C a battery is not charged: at 50 °C charging stops until it has cooled"},
		{"charging_time", calc.Args{"capacity": num(70), "from": num(80), "to": num(60), "current": num(10)}, "from 80 % to 60 % there may be nothing to charge: the charge wanted must be the greater one"},
		{"charge_response", calc.Args{"minutes": num(5), "voltage": num(11), "current": num(5), "charger_current": num(5), "rest_voltage": num(12)}, "the posts stand at 11 V on charge and stood at 12 V at rest: the charger does not reach them, or the readings are swapped"},
		{"regulated_voltage", calc.Args{"rest_voltage": num(12.0), "running_voltage": num(14), "loads": word("on"), "system": word("conventional")}, "the battery rests at 12 V: a charging system is not judged on a battery under 12.4 V, so charge it first"},
		// Standing.
		{"days_until_no_start", calc.Args{"capacity": num(70), "draw": num(50), "state_of_charge": num(50)}, "at 50 % the battery may be below the 75 % that a start needs already"},
		{"days_until_no_start", calc.Args{"capacity": num(70), "draw": num(0), "self_discharge": num(0)}, "without a draw and without self-discharge it lasts for ever: give a draw of 0.01 mA or more"},
		{"discharge_time", calc.Args{"capacity": num(70), "current": num(0)}, "steady current is 0 A, expected 0.001 A to 3000 A: without a current the battery lasts for ever"},
		// Another system, reversed leads, no number.
		{"charge_from_voltage", calc.Args{"rest_voltage": num(25.2)}, "rest voltage is 25.2 V, expected 0 V to 18 V: this is a 24 V system, or a slip"},
		{"charge_from_voltage", calc.Args{"rest_voltage": num(-12.5)}, "rest voltage is -12.5 V, expected 0 V to 18 V: the leads are the wrong way round, or the battery is reversed"},
		{"charge_from_voltage", calc.Args{"rest_voltage": num(math.NaN())}, "rest voltage is not a finite number"},
		{"charge_from_voltage", calc.Args{"rest_voltage": calc.Number(span(12, 12.5, math.Inf(1)))}, "rest voltage is not a finite number"},
		{"charge_from_voltage", calc.Args{"rest_voltage": calc.Number(span(12.5, 12.4, 12.6))}, "rest voltage: the best value must lie between the two ends"},
		{"charge_from_gravity", calc.Args{"gravity": num(1265), "acid_temp": num(20)}, "specific gravity is 1265, expected 1 to 1.35: it is typed against water: 1.265, not 1265"},
	} {
		_, err := Find(c.function).Run(c.args)
		var no *calc.Impossible
		require.ErrorAs(t, err, &no, "%s %v", c.function, c.args)
		assert.Equal(t, c.reason, no.Reason, c.function)
	}
}

func TestRunNamesWhatIsMissingOrUnknown(t *testing.T) {
	_, err := Find("load_test").Run(calc.Args{"rest_voltage": calc.Number(unit.Exactly(12.5))})
	var missing *calc.MissingError
	require.ErrorAs(t, err, &missing)
	assert.EqualError(t, err, "load_test also needs load_voltage")
	_, err = Find("crank_floor").Run(calc.Args{"temp": calc.Number(unit.Exactly(20))})
	assert.EqualError(t, err, `crank_floor takes no "temp"`)
	_, err = Find("rating_test").Run(calc.Args{"standard": calc.Word("xyz")})
	assert.EqualError(t, err, `standard is "xyz": expected one of sae, en, en2, iec, din, jis, ca, hca`)
}
