package leadacid

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What cannot be is named, in the words below, and never computed through.
func TestWhatCannotBeIsNamed(t *testing.T) {
	word := func(w string) Arg { return Arg{Word: w} }
	num := func(v float64) Arg { return Arg{Range: Exactly(v)} }
	doubt := func(v, by float64) Arg { return Arg{Range: Around(v, by)} }
	for _, c := range []struct {
		function string
		args     Args
		reason   string
	}{
		// A load voltage above, at, or within its doubt not below rest.
		{"load_test", Args{"rest_voltage": num(12.5), "load_voltage": num(12.6)}, "the voltage under load, 12.6 V, is not below that at rest, 12.5 V: no load was drawn, a charger is connected, or a probe was elsewhere"},
		{"load_test", Args{"rest_voltage": num(12.5), "load_voltage": num(12.5)}, "the voltage under load, 12.5 V, is not below that at rest, 12.5 V: no load was drawn, a charger is connected, or a probe was elsewhere"},
		// Negative resistance, or one that the doubt hides.
		{"internal_resistance", Args{"first_voltage": num(11), "second_voltage": num(12), "second_current": num(100)}, "the voltage rises from 11 V to 12 V under the heavier current: a resistance cannot be negative, so the readings are swapped or a charger is connected"},
		{"internal_resistance", Args{"first_voltage": doubt(12.6, 0.1), "second_voltage": doubt(12.5, 0.1), "second_current": num(20)}, "the two voltages differ by less than their doubt: take a heavier load or a finer meter"},
		{"internal_resistance", Args{"first_voltage": num(12.6), "second_voltage": num(12.5), "second_current": num(0)}, "the second current, 0 A, must be the heavier one; the first is 0 A"},
		{"internal_resistance", Args{"first_voltage": num(12.6), "second_voltage": num(12.5), "first_current": doubt(10, 2), "second_current": doubt(12, 2)}, "the two currents differ by less than 0.5 A beside their doubt: take a heavier load"},
		{"starter_voltage", Args{"rest_voltage": num(12.6), "current": num(150), "battery_resistance": num(-1)}, "resistance is -1 mΩ, expected 0 mΩ to 100000 mΩ: a resistance cannot be negative"},
		{"starter_voltage", Args{"rest_voltage": num(12.6), "current": num(1500), "battery_resistance": num(10)}, "1500 A cannot flow over these resistances from 12.6 V: it would leave -2.4 V at the starter"},
		// Colder than the freezing point of that state of charge.
		{"charge_from_voltage", Args{"rest_voltage": num(11.6), "chemistry": word("flooded"), "battery_temp": num(-18)}, "a battery of 0 to 7.7 % freezes at -14.8 to -7 °C and it is at -18 °C: look for ice and bulges, let it thaw indoors, then read again"},
		{"voltage_from_charge", Args{"state_of_charge": num(0), "battery_temp": num(-20)}, "a battery of 0 % freezes at -12.1 to -7 °C and it is at -20 °C: look for ice and bulges, let it thaw indoors, then read again"},
		{"charge_from_gravity", Args{"gravity": num(1.14), "acid_temp": num(-25)}, "acid of 1.103 freezes at -8.2 to -7.4 °C: at -25 °C it was ice, so one of the two readings is wrong"},
		{"load_test", Args{"rest_voltage": num(11.6), "load_voltage": num(9), "chemistry": word("flooded"), "battery_temp": num(-18)}, "a battery of 0 to 7.7 % freezes at -14.8 to -7 °C and it is at -18 °C: look for ice and bulges, let it thaw indoors, then read again"},
		{"load_floor", Args{"battery_temp": num(-19)}, "no load test is published below -18 °C, and the battery is at -19 °C: let it warm up first"},
		// Ratings that nothing leads to.
		{"convert_rating", Args{"rating": num(300), "from": word("jis"), "to": word("sae")}, "nothing published leads to or from a JIS rating: look the size code up in its maker's list, or go by the capacity"},
		{"load_current", Args{"rating": num(300)}, "a rating without its standard cannot be halved: a DIN number means far more than the same number in SAE; give standard, or capacity instead"},
		{"load_current", Args{"standard": word("en")}, "there is a standard but no rating: give rating, or capacity instead"},
		{"load_current", Args{}, "there is nothing to go by: give rating and standard, or capacity"},
		{"rating_resistance", Args{"rating": num(300), "standard": word("jis")}, "a JIS rating fixes the current and not the voltage: no resistance follows from it"},
		{"rating_resistance", Args{"rating": num(600), "standard": word("en"), "rest_voltage": num(9)}, "a battery that rests at 9 V cannot hold the floor of 9.6 V under load: charge it first"},
		// A loop of drops that does not add up.
		{"loop_sum", Args{"posts": num(10.4), "positive_drop": num(0.2), "solenoid_drop": num(0.1), "motor_voltage": num(7.9), "earth_drop": num(0.2)}, "the parts of the loop come to 8.4 V and the posts to 10.4 V: they do not add up, so a probe was on the wrong point"},
		{"loop_sum", Args{"posts": num(10.4), "positive_drop": num(0.2), "solenoid_drop": num(0.1), "motor_voltage": num(9.7), "earth_drop": num(0.2), "cranks": word("one")}, "the parts of the loop come to 10.2 V and the posts to 10.4 V: they do not add up, so a probe was on the wrong point"},
		// No current is proved.
		{"current_by_engine", Args{"engine": word("small_petrol"), "turned": word("no"), "fell": num(2)}, "on a stall or a click the engine's class says nothing of the current"},
		{"current_by_engine", Args{"engine": word("small_petrol"), "turned": word("yes"), "fell": doubt(0.5, 0.1)}, "the posts fell by 0.5 V only: under 0.5 V no current is proved"},
		{"current_by_matching", Args{"rest_voltage": num(12.6), "crank_voltage": num(10.5), "pile_voltage": num(11), "pile_current": num(100)}, "the pile brings the posts to 11 V and the crank to 10.5 V: set the pile nearer"},
		{"current_by_matching", Args{"rest_voltage": doubt(12.6, 0.2), "crank_voltage": num(12.3), "pile_voltage": doubt(12.3, 0.15), "pile_current": num(100)}, "the voltage under the pile differs from that at rest by less than their doubt"},
		{"current_by_shunt", Args{"crank_drop": num(200), "known_drop": num(0), "known_current": num(10)}, "drop under the known load is 0 mV, expected 0.01 mV to 18000 mV: it can be zero within its doubt, so take a heavier load or a finer meter"},
		{"current_by_cable", Args{"drop": num(0.2), "size": num(25), "length": num(0)}, "cable length is 0 m, expected 0.01 m to 100 m: a cable of no length has no drop of its own"},
		{"drop_per_100_amps", Args{"drop": num(0.2), "current": num(0)}, "current is 0 A, expected 0.1 A to 3000 A: a drop without a current says nothing of the path"},
		// Rows that are not there.
		{"cable_drop", Args{"size": num(30), "length": num(1), "current": num(100)}, "cable size is 30 mm2, expected one of 0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150 (mm2)"},
		{"fuse_current", Args{"rating": num(1), "size": word("mini"), "voltage": num(1)}, "fuse rating is 1 A, expected one of 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30 (A)"},
		{"fuse_current", Args{"rating": num(10), "voltage": num(12000)}, "voltage across the fuse is 12000 mV, expected 0 mV to 300 mV: a whole fuse cannot lose so much: it is blown, or a probe is elsewhere"},
		{"slow_charge", Args{"plates": num(8)}, "a cell has one negative plate more than positive ones, so 8 plates cannot be"},
		{"slow_charge", Args{"plates": num(8.5)}, "plates are counted: give a whole number"},
		// Charging.
		{"charging_voltage", Args{"battery_temp": num(55)}, "at 55 °C a battery is not charged: at 50 °C charging stops until it has cooled"},
		{"charging_time", Args{"capacity": num(70), "from": num(80), "to": num(60), "current": num(10)}, "from 80 % to 60 % there may be nothing to charge: the charge wanted must be the greater one"},
		{"charge_response", Args{"minutes": num(5), "voltage": num(11), "current": num(5), "charger_current": num(5), "rest_voltage": num(12)}, "the posts stand at 11 V on charge and stood at 12 V at rest: the charger does not reach them, or the readings are swapped"},
		{"regulated_voltage", Args{"rest_voltage": num(12.0), "running_voltage": num(14), "loads": word("on"), "system": word("conventional")}, "the battery rests at 12 V: a charging system is not judged on a battery under 12.4 V, so charge it first"},
		// Standing.
		{"days_until_no_start", Args{"capacity": num(70), "draw": num(50), "state_of_charge": num(50)}, "at 50 % the battery may be below the 75 % that a start needs already"},
		{"days_until_no_start", Args{"capacity": num(70), "draw": num(0), "self_discharge": num(0)}, "without a draw and without self-discharge it lasts for ever: give a draw of 0.01 mA or more"},
		{"discharge_time", Args{"capacity": num(70), "current": num(0)}, "steady current is 0 A, expected 0.001 A to 3000 A: without a current the battery lasts for ever"},
		// Another system, reversed leads, no number.
		{"charge_from_voltage", Args{"rest_voltage": num(25.2)}, "rest voltage is 25.2 V, expected 0 V to 18 V: this is a 24 V system, or a slip"},
		{"charge_from_voltage", Args{"rest_voltage": num(-12.5)}, "rest voltage is -12.5 V, expected 0 V to 18 V: the leads are the wrong way round, or the battery is reversed"},
		{"charge_from_voltage", Args{"rest_voltage": num(math.NaN())}, "rest voltage is not a finite number"},
		{"charge_from_voltage", Args{"rest_voltage": {Range: Range{12, 12.5, math.Inf(1)}}}, "rest voltage is not a finite number"},
		{"charge_from_voltage", Args{"rest_voltage": {Range: Range{12.5, 12.4, 12.6}}}, "rest voltage: the best value must lie between the two ends"},
		{"charge_from_gravity", Args{"gravity": num(1265), "acid_temp": num(20)}, "specific gravity is 1265, expected 1 to 1.35: it is typed against water: 1.265, not 1265"},
	} {
		_, err := Find(c.function).Run(c.args)
		var no *Impossible
		require.ErrorAs(t, err, &no, "%s %v", c.function, c.args)
		assert.Equal(t, c.reason, no.Reason, c.function)
	}
}

// The Go functions refuse words they do not know as well.
func TestUnknownWordsAreNamed(t *testing.T) {
	one := Exactly(1)
	for what, err := range map[string]error{
		"battery type": second(ChargeFromVoltage(Exactly(12.5), "lithium", Exactly(20))),
		"law":          second(ReserveFromCapacity(Exactly(60), "lithium")),
		"Peukert":      second(PeukertPower("lithium")),
		"charge":       second(ChargingVoltage("lithium", Exactly(20))),
		"time":         second(ChargingTime(Exactly(60), Exactly(10), Exactly(90), Exactly(5), "lithium")),
		"standard":     second(ConvertRating(Exactly(500), "xyz", SAE)),
		"other":        second(ConvertRating(Exactly(500), SAE, "xyz")),
		"test":         second(RatingTestOf("xyz")),
		"hydrometer":   second(CorrectedGravity(Exactly(1.25), Exactly(20), "15c")),
		"full gravity": second(ChargeFromGravity(Exactly(1.25), Exactly(20), "27c", "1.300")),
		"AGM acid":     second(CompareCharge(Exactly(12.5), AGM, Exactly(1.25), Exactly(20), "27c", "unsure")),
		"path":         second(AllowedDrop("roof", nil)),
		"lead":         second(ChargingDrop("roof")),
		"ripple":       second(RippleLimit("roof")),
		"engine":       second(CurrentByEngine("steam", true, one)),
		"fuse":         second(FuseCurrent("glass", 10, one)),
		"venting":      second(Ventilation(one, Exactly(60), "open")),
	} {
		var no *Impossible
		assert.ErrorAs(t, err, &no, what)
	}
}

func second[T any](_ T, err error) error { return err }

func TestRunNamesWhatIsMissingOrUnknown(t *testing.T) {
	_, err := Find("load_test").Run(Args{"rest_voltage": {Range: Exactly(12.5)}})
	var missing *MissingError
	require.ErrorAs(t, err, &missing)
	assert.EqualError(t, err, "load_test also needs load_voltage")
	_, err = Find("crank_floor").Run(Args{"temp": {Range: Exactly(20)}})
	assert.EqualError(t, err, `crank_floor takes no "temp"`)
	_, err = Find("rating_test").Run(Args{"standard": {Word: "xyz"}})
	assert.EqualError(t, err, `standard is "xyz": expected one of sae, en, en2, iec, din, jis, ca, hca`)
}

func TestShow(t *testing.T) {
	for want, got := range map[string]string{
		"12.55 V": show(12.55, "V"), "0.002 V": show(0.002, "V"), "-18 °C": show(-18, "°C"), "0 V": show(0, "V"),
		"1500 A": show(1500, "A"), "0.3 V": show(0.1+0.2, "V"), "7.7 %": show(7.684, "%"), "100000 mΩ": show(100000, "mΩ"), "1.265": show(1.265, "1"),
	} {
		assert.Equal(t, want, got)
	}
}
