package tests

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/unit"
)

// Outside check of every unit the program reads, against GNU Units (Debian
// package "units"), a program by other hands with its own table of definitions,
// driven live. Both work in float64, so they may part in the last places.

// inGNU says how GNU Units writes a value of each of our units and the base unit
// it converts to; %s stands for the number.
var inGNU = map[string][2]string{
	"V":    {"(%s) volt", "volt"},
	"mV":   {"(%s) millivolt", "volt"},
	"A":    {"(%s) ampere", "ampere"},
	"mA":   {"(%s) milliampere", "ampere"},
	"V/A":  {"(%s) volt/ampere", "volt/ampere"},
	"mV/A": {"(%s) millivolt/ampere", "volt/ampere"},
	"Ω":    {"(%s) ohm", "volt/ampere"},
	"mΩ":   {"(%s) milliohm", "volt/ampere"},
	"°C":   {"tempC(%s)", "tempC"},
	"°F":   {"tempF(%s)", "tempC"},
	"K":    {"(%s) kelvin", "kelvin"},
	"s":    {"(%s) second", "second"},
	"min":  {"(%s) minute", "second"},
	"h":    {"(%s) hour", "second"},
	"d":    {"(%s) day", "second"},
	"rpm":  {"(%s) rpm", "revolution/minute"},
	"Ah":   {"(%s) ampere hour", "ampere second"},
	"mAh":  {"(%s) milliampere hour", "ampere second"},
	"%":    {"(%s) percent", "1"},
	"m":    {"(%s) meter", "meter"},
	"cm":   {"(%s) centimeter", "meter"},
	"mm":   {"(%s) millimeter", "meter"},
	"mm2":  {"(%s) millimeter^2", "meter^2"},
	"m3/h": {"(%s) meter^3/hour", "meter^3/second"},
	"N m":  {"(%s) newton meter", "newton meter"},
	"V/K":  {"(%s) volt/kelvin", "volt/kelvin"},
	"mV/K": {"(%s) millivolt/kelvin", "volt/kelvin"},
	"1":    {"(%s)", "1"},
}

// asTyped holds spellings a person uses, with the unit each must mean.
var asTyped = map[string]string{
	"volts": "V", "millivolts": "mV", "amps": "A", "milliamps": "mA", "ohms": "Ω", "milliohms": "mΩ", "mohm": "mΩ",
	"volts per amp": "V/A", "celsius": "°C", "degrees c": "°C", "fahrenheit": "°F", "f": "°F", "kelvin": "K",
	"seconds": "s", "minutes": "min", "hours": "h", "days": "d", "revs per minute": "rpm", "amp hours": "Ah",
	"milliamp hours": "mAh", "per cent": "%", "metres": "m", "centimetres": "cm", "millimetres": "mm",
	"sq mm": "mm2", "cubic metres per hour": "m3/h", "newton metres": "N m", "volts per kelvin": "V/K", "millivolts per kelvin": "mV/K",
}

// gnuUnits converts each question, {from, to}, in one run of GNU Units.
func gnuUnits(t *testing.T, questions [][2]string) []float64 {
	path, err := exec.LookPath("units")
	if err != nil {
		const missing = `GNU Units is not installed (Debian package "units"): the outside check of units was not made`
		if os.Getenv("CI") == "true" {
			t.Fatal(missing)
		}
		t.Skip(missing)
	}
	var lines strings.Builder
	for _, q := range questions {
		fmt.Fprintf(&lines, "%s\n%s\n", q[0], q[1])
	}
	cmd := exec.Command(path, "--terse", "--quiet", "--output-format", "%.17g")
	cmd.Stdin = strings.NewReader(lines.String())
	cmd.Env = append(os.Environ(), "LC_ALL=C", "UNITSFILE=", "MYUNITSFILE=/dev/null")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	answers := strings.Fields(string(out))
	require.Len(t, answers, len(questions), "%s", out)
	values := make([]float64, len(answers))
	for i, a := range answers {
		values[i], err = strconv.ParseFloat(a, 64)
		require.NoError(t, err, "%v gave %q", questions[i], a)
	}
	return values
}

// lastPlaces is how far two float64 workings of a conversion may part. GNU Units
// goes through kelvins for a temperature, whose 273.15 cost more of them.
func lastPlaces(question [2]string, value float64) float64 {
	if strings.HasPrefix(question[0], "temp") {
		return 4e-13 + 1e-15*math.Abs(value)
	}
	return 4e-15 * math.Abs(value)
}

func TestUnitsAgreeWithGNUUnits(t *testing.T) {
	for _, name := range unit.Names() {
		require.Contains(t, inGNU, name, "a new unit needs its line in this check")
	}
	numbers := []string{"0", "1", "12.55", "-18", "68", "0.002", "12550", "-200.5", "0.1", "8.8", "1000000"}
	type conversion struct {
		typed, unit string
		ours        float64
	}
	var (
		ours      []conversion
		questions [][2]string
	)
	ask := func(number, spelling, name string) {
		u, ok := unit.Lookup(name)
		require.True(t, ok, name)
		typed := strings.TrimSpace(number + " " + spelling)
		got, err := unit.ParseTyped(typed, u)
		require.NoError(t, err, typed)
		require.Same(t, u, got.Unit, typed)
		ours = append(ours, conversion{typed, name, got.Unit.Base(got.Value)})
		questions = append(questions, [2]string{fmt.Sprintf(inGNU[name][0], number), inGNU[name][1]})
	}
	for _, name := range unit.Names() {
		for _, number := range numbers {
			spelling := name
			if name == "1" {
				spelling = ""
			}
			ask(number, spelling, name)
		}
	}
	for spelling, name := range asTyped {
		ask("12.55", spelling, name)
	}
	for i, theirs := range gnuUnits(t, questions) {
		c := ours[i]
		assert.InDelta(t, theirs, c.ours, lastPlaces(questions[i], theirs), "%s: GNU Units was asked for %s in %s", c.typed, questions[i][0], questions[i][1])
	}
}

// And back: what is printed in a unit is what GNU Units converts the base to.
func TestUnitsAgreeWithGNUUnitsOnTheWayBack(t *testing.T) {
	back := map[string]string{"°C": "tempC", "°F": "tempF", "1": "1"}
	var (
		names     []string
		bases     []float64
		questions [][2]string
	)
	for _, name := range unit.Names() {
		for _, base := range []float64{0.35, -18, 12.55, 14400} {
			to, from := inGNU[name][1], "(%s) "+inGNU[name][1]
			if to == "tempC" {
				from = "tempC(%s)"
			}
			target, ok := back[name]
			if !ok {
				target = strings.TrimPrefix(inGNU[name][0], "(%s) ")
			}
			names, bases = append(names, name), append(bases, base)
			questions = append(questions, [2]string{fmt.Sprintf(from, strconv.FormatFloat(base, 'f', -1, 64)), target})
		}
	}
	for i, theirs := range gnuUnits(t, questions) {
		u, ok := unit.Lookup(names[i])
		require.True(t, ok)
		assert.InDelta(t, theirs, u.From(bases[i]), lastPlaces(questions[i], theirs), "%v in base units as %s", bases[i], names[i])
	}
}
