package engine

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// slip is one wrong edit of the tree in testdata/slips, as a trainer makes them. The first
// fault told must stand on the line of the edit and name what puts it right.
type slip struct {
	what     string
	old, new string // old stands once in the file; the fault is on the line on which new ends or the one where it begins
	cure     string // stands in the message or its notes
	at       string // where something is left out, what lacks it: the fault stands on its line
}

var slips = []slip{
	// Signs and words of guards.
	{"= for ==", `chemistry == "agm"`, `chemistry = "agm"`, `write ==`, ``},
	{"is for ==", `chemistry == "agm"`, `chemistry is "agm"`, `write ==`, ``},
	{"is not for !=", `chemistry != "gel"`, `chemistry is not "gel"`, `write !=`, ``},
	{"<> for !=", `chemistry != "gel"`, `chemistry <> "gel"`, `write !=`, ``},
	{"≠ for !=", `chemistry != "gel"`, `chemistry ≠ "gel"`, `write !=`, ``},
	{"=> for >=", `earth_drop >= earth_allowed`, `earth_drop => earth_allowed`, `write >=`, ``},
	{"=< for <=", `earth_drop <= earth_allowed`, `earth_drop =< earth_allowed`, `write <=`, ``},
	{"≥ for >=", `earth_drop >= earth_allowed`, `earth_drop ≥ earth_allowed`, `write >=`, ``},
	{"≤ for <=", `earth_drop <= earth_allowed`, `earth_drop ≤ earth_allowed`, `write <=`, ``},
	{"words for <", `crank_voltage < limits.floor`, `crank_voltage below limits.floor`, `write <`, ``},
	{"words for <", `crank_voltage < limits.floor`, `crank_voltage is less than limits.floor`, `write <`, ``},
	{"words for >=", `earth_drop >= earth_allowed`, `earth_drop above earth_allowed`, `write >`, ``},
	{"AND", `known(crank_current) and earth_drop >=`, `known(crank_current) AND earth_drop >=`, `write and`, ``},
	{"Or", `fuse_blown or wet`, `fuse_blown Or wet`, `write or`, ``},
	{"In", `chemistry != "gel"`, `chemistry In ["agm"]`, `write in`, ``},
	{"a choice without quotes behind a word of several bytes", `chemistry != "gel"`, `"µΩ" == "µΩ" or turned == not at all`, `write "not at all"`, ``},
	{"NOT", `not known(crank_current)`, `NOT known(crank_current)`, `write not`, ``},
	{"one &", `known(crank_current) and earth_drop >=`, `known(crank_current) & earth_drop >=`, `write and`, ``},
	{"one |", `fuse_blown or wet`, `fuse_blown | wet`, `write or`, ``},
	{"a yes-no reading held against a word", `fuse_blown or wet`, `'fuse_blown == "yes" or wet'`, `write fuse_blown`, ``},
	{"a yes-no reading held against no", `fuse_blown or wet`, `'wet or fuse_blown == "no"'`, `write not fuse_blown`, ``},
	{"a yes-no reading held against true", `fuse_blown or wet`, `fuse_blown == true or wet`, `write fuse_blown`, ``},
	{"a choice without quotes", `chemistry == "agm"`, `chemistry == agm`, `write "agm"`, ``},
	{"a choice without quotes, of two words", `turned == "not at all"`, `turned == not at all`, `write "not at all"`, ``},
	{"a second choice without its reading", `chemistry != "gel"`, `chemistry == "agm" or "flooded"`, `chemistry in ["agm", "flooded"]`, ``},
	{"in without brackets", `chemistry != "gel"`, `chemistry in "agm"`, `in ["agm"`, ``},
	{"known without brackets", `not known(crank_current)`, `not known crank_current`, `known(crank_current)`, ``},
	{"curly quotes in a guard", `chemistry == "agm"`, `chemistry == “agm”`, `curly quote`, ``},
	{"a dash for minus", `rest_voltage - crank_voltage`, `rest_voltage – crank_voltage`, `write -`, ``},
	{"a limit without limits.", `crank_voltage < limits.floor`, `crank_voltage < floor`, `write "limits.floor"`, ``},
	{"a figure in a guard", `crank_voltage < limits.floor`, `crank_voltage < 9.6 V`, `under limits`, ``},
	{"a figure with a comma in a guard", `crank_voltage < limits.floor`, `'crank_voltage < 9,6 V'`, `under limits`, ``},
	{"a bare figure in a guard", `crank_voltage < limits.floor`, `crank_voltage < 9.6`, `as a limit`, ``},
	{"a choice that there is not", `chemistry == "agm"`, `chemistry == "AGM"`, `did you mean "agm"?`, ``},
	{"a misspelt reading", `crank_voltage < limits.floor`, `crank_volts < limits.floor`, `did you mean "crank_voltage"?`, ``},
	{"a misspelt limit", `crank_voltage < limits.floor`, `crank_voltage < limits.flor`, `did you mean "floor"?`, ``},
	{"limit for limits", `crank_voltage < limits.floor`, `crank_voltage < limit.floor`, `did you mean "limits"?`, ``},
	{"a bracket that is not closed", `not known(crank_current)`, `not known(crank_current`, `bracket`, ``},
	{"if in the guard", `crank_voltage < limits.floor`, `if crank_voltage < limits.floor`, `leave out`, ``},
	{"half a comparison", `known(crank_current) and earth_drop >= earth_allowed`, `known(crank_current) and earth_drop >=`, `ends too early`, ``},

	// Numbers and units.
	{"a comma in a limit", `is: 12.4 V`, `is: 12,4 V`, `12.4 V`, ``},
	{"a comma in a limit, on a line of its own", `is: 0.5 V`, `is: 0,5 V`, `0.5 V`, ``},
	{"a comma in a span", `span: [-1, 2.5]`, `span: [-1, 2,5]`, `2.5`, ``},
	{"a comma in a point", `[21, 9.6]`, `[21, 9,6]`, `9.6`, ``},
	{"a comma in minutes", `minutes: 1.5`, `minutes: 1,5`, `1.5`, ``},
	{"a unit that there is not", `unit: °C`, `unit: Celsius degrees`, `°C`, ``},
	{"a unit in words", `unit: V, span: [-15, 18]`, `unit: volts DC, span: [-15, 18]`, `V`, ``},
	{"a limit without a unit", `is: 12.4 V`, `is: 12.4`, `has no unit here`, `- {below: limits.charged`},
	{"a unit that does not exist in a limit", `is: 12.4 V`, `is: 12.4 Volz`, `volt`, ``},
	{"a span with units", `span: [-15, 18]`, `span: [-15 V, 18 V]`, `without its unit`, ``},
	{"a span the wrong way round", `span: [-15, 18]`, `span: [18, -15]`, `lower end comes first`, ``},
	{"a hard space in a limit", `is: 12.4 V`, "is: 12.4\u00a0V", `hard space`, ``},
	{"a limit of another sort", `below: limits.charged`, `below: limits.path`, `resistance`, ``},
	{"a bare limit in bands", `below: limits.charged`, `below: 12.4 V`, `under limits`, ``},
	{"below without limits.", `below: limits.charged`, `below: charged`, `write "limits.charged"`, ``},

	// Names and keys.
	{"a wrong use", `use: [yard]`, `use: [yards]`, `did you mean "yard"?`, ``},
	{"use without brackets", `use: [yard]`, `use: yard`, `[yard]`, ``},
	{"a wrong target", `to: worn, say`, `to: wornout, say`, `did you mean "worn"?`, ``},
	{"a wrong begin", `begin: rest`, `begin: start`, `"rest"`, ``},
	{"a wrong take", `take: [rest_voltage]`, `take: [rest-voltage]`, `did you mean "rest_voltage"?`, ``},
	{"take without brackets", `take: [rest_voltage]`, `take: rest_voltage`, `[rest_voltage]`, ``},
	{"a wrong kind", `kind: crank`, `kind: cranking`, `did you mean "crank"?`, ``},
	{"a kind in capitals", `kind: crank`, `kind: Crank`, `did you mean "crank"?`, ``},
	{"a wrong key", `  bands:`, `  band:`, `did you mean "bands"?`, ``},
	{"a key in capitals", `    why: A flat`, `    Why: A flat`, `did you mean "why"?`, ``},
	{"next for to", `{otherwise: again}`, `{otherwise: again, next: worn}`, `remove it`, ``},
	{"goto for to", `to: worn, say`, `goto: worn, say`, `to`, ``},
	{"a wrong point", `black: negative_post`, `black: negativ_post`, `did you mean "negative_post"?`, ``},
	{"points of a table with a colon", `points: [[-18, 8.5], [21, 9.6]]`, `points: [-18: 8.5, 21: 9.6]`, `write [-18, 8.5]`, ``},
	{"a point that no list has", `black: negative_post`, `black: body`, `points:`, ``},
	{"a wrong state", `vehicle: {key: key_off}`, `vehicle: {key: off_key}`, `states:`, ``},
	{"a state that YAML takes for false", `vehicle: {key: key_off}`, `vehicle: {key: off}`, `"off"`, ``},
	{"a wrong piece of equipment", `needs: [clamp]`, `needs: [clamps]`, `did you mean "clamp"?`, ``},
	{"a wrong hold", `hold: settled`, `hold: steady`, `settled`, ``},
	{"a name with a capital", `  charged: {is`, `  Charged: {is`, `small letters`, ``},
	{"a name with a hyphen", `  charged: {is`, `  charged-enough: {is`, `_`, ``},
	{"a short name that is taken", `short: crank,`, `short: rest,`, `taken by "rest_voltage"`, ``},
	{"a fault that is in no list", `faults: [battery_worn]`, `faults: [battery_wornout]`, `did you mean "battery_worn"?`, ``},
	{"a wrong next round", `tree: slips, keep`, `tree: slip, keep`, `did you mean "slips"?`, ``},
	{"prove_by of nothing", `prove_by: earth`, `prove_by: earths`, `did you mean "earth"?`, ``},
	{"prove_by of a reading that nobody takes", `prove_by: earth`, `prove_by: never_taken`, `takes it`, ``},
	{"clears what is no finding", `clears: [strap]`, `clears: [straps]`, `did you mean "strap"?`, ``},
	{"safer in other words", `safer: below`, `safer: lower`, `below or above`, ``},
	{"no source", `, source: "TM, p. 5"}`, `}`, `source`, ``},
	{"a case that is missing", `{normally: fuse, slowly: crank_again, not at all: look}`, `{normally: fuse, slowly: crank_again}`, `"not at all"`, ``},
	{"a case that is no choice", `{normally: fuse, slowly: crank_again, not at all: look}`, `{normal: fuse, normally: fuse, slowly: crank_again, not at all: look}`, `did you mean "normally"?`, ``},
	{"no way on for not sure", `    unsure: {to: no_fault}`, `    why: It matters.`, `unsure`, `  turns:`},
	{"the last band with a limit", `- {to: crank, say: Charged}`, `- {below: limits.floor_cold, to: crank, say: Charged}`, `last`, ``},
	{"bands that do not ascend", `- {below: limits.none, to: no_fault}`, `- {below: limits.path_high, to: no_fault}`, `ascend`, `- {below: limits.charged`},
	{"if in the step", `    to: no_fault # look`, `    if: wet`, `branches:`, ``},
	{"take on a decide step", `    kind: decide`, "    kind: decide\n    take: [wet]", `inspect`, ``},
	{"choices beside yes_no", `yes_no: true, fact: true`, `yes_no: true, choices: [blown, whole], fact: true`, `choices`, ``},
	{"span beside choices", `choices: [flooded, agm, gel]`, `choices: [flooded, agm, gel], span: [0, 2]`, `span`, ``},
	{"a round without keep", `keep: facts`, `keep: all`, `keep: facts`, ``},

	// YAML.
	{"a comma in cautions", `cautions: [Rings and watch off. Keep clear of the fan.]`, `cautions: [Rings and watch off, keep clear of the fan.]`, `quotes round the whole`, ``},
	{"a comma in choices", `not at all]`, `barely, but not at all]`, `quotes round the whole`, ``},
	{"brackets in choices", `choices: [normally, slowly, not at all]`, `choices: [normally (first, second try), slowly, not at all]`, `quotes round the whole`, ``},
	{"yes and no as choices", `choices: [flooded, agm, gel]`, `choices: [yes, no]`, `"yes"`, ``},
	{"a question mark inside braces", `ask: "Is it wet?"`, `ask: Is it wet?, x`, `quotes`, ``},
	{"a colon in a text", `    why: A flat`, `    why: Note: a flat`, `quotes round the whole`, ``},
	{"a tab", "    why: A flat", "\twhy: A flat", `blanks`, ``},
	{"no blank behind the colon", `    title: Rest voltage`, `    title:Rest voltage`, `title: Rest voltage`, ``},
	{"one blank too few", `    title: Rest voltage`, `   title: Rest voltage`, `indent`, ``},
	{"a quote that is not closed", `ask: "Is it wet?"`, `ask: "Is it wet?`, `quote`, ``},
	{"a bracket that is not closed in a list", `needs: [clamp]`, `needs: [clamp`, `bracket`, ``},
	{"a brace that is not closed", `{otherwise: again}`, `{otherwise: again`, `bracket`, ``},
	{"a guard with a comma in braces", `if: crank_voltage < limits.floor`, `if: crank_voltage < limits.floor, wet`, `quotes`, ``},
	{"curly quotes round a text", `title: Crank at the posts`, `title: “Crank at the posts”`, `curly quote`, ``},
	{"curly quotes round a choice", `choices: [flooded, agm, gel]`, `choices: [flooded, “agm”, gel]`, `curly quote`, ``},
	{"a hard space before a key", "    why: A flat", "\u00a0   why: A flat", `hard space`, ``},
	{"a hard space behind a colon", `    title: Rest voltage`, "    title:\u00a0Rest voltage", `hard space`, ``},
	{"an entry without its dash", `      - {below: limits.none, to: no_fault}`, `      {below: limits.none, to: no_fault}`, `"- "`, ``},
	{"a dash without its blank", `      - {below: limits.none, to: no_fault}`, `      -{below: limits.none, to: no_fault}`, `blank`, ``},
	{"a key given twice", `    title: Rest voltage`, "    title: Rest voltage\n    title: Rest", `twice`, ``},
	{"True", `fact: true, short: wet`, `fact: True, short: wet`, `small letters`, ``},
	{"yes for true", `fact: true, short: wet`, `fact: yes, short: wet`, `true`, ``},
	{"a name in braces that there is not", `{limits.charged}`, `{limits.chargd}`, `did you mean "charged"?`, ``},
	{"a brace in a text that is not closed", `{limits.charged} or more`, `{limits.charged or more`, `not closed`, ``},
}

// TestSlips makes every wrong edit alone.
func TestSlips(t *testing.T) {
	var files []Source
	for _, name := range []string{"yard.yaml", "slips.yaml", "inner.yaml", "faults.yaml"} {
		data, err := os.ReadFile("testdata/slips/" + name)
		require.NoError(t, err)
		files = append(files, Source{Name: name, Data: data})
	}
	_, faults := Load(files)
	require.Empty(t, faults.Sorted(), "the tree before any edit")
	good := string(files[1].Data)
	failed := 0
	for _, s := range slips {
		if s.old == s.new {
			continue
		}
		failed += one(t, s, files, good)
	}
	t.Logf("%d slips, %d of them told elsewhere or without a cure", len(slips), failed)
}

func one(t *testing.T, s slip, files []Source, good string) (failed int) {
	t.Run(s.what, func(t *testing.T) {
		require.Equal(t, 1, strings.Count(good, s.old), s.old)
		edited := append([]Source{}, files...)
		text := strings.Replace(good, s.old, s.new, 1)
		edited[1].Data = []byte(text)
		begins := strings.Index(good, s.old)
		if s.at == "" {
			s.at = s.new
		} else {
			begins = strings.Index(text, s.at)
		}
		first := strings.Count(text[:begins], "\n") + 1
		last := first + strings.Count(s.at, "\n")
		lib, faults := Load(edited)
		var b bytes.Buffer
		faults.Print(&b)
		ok := assert.True(t, lib.Tree("slips") == nil && !faults.Empty(), "taken without a word")
		if ok {
			f := faults.Sorted()[0]
			ok = assert.Equal(t, edited[1].Name, f.Place.File, b.String()) &&
				assert.True(t, first <= f.Place.Line && f.Place.Line <= last, b.String()) &&
				assert.Contains(t, fmt.Sprint(f.Message, f.Notes), s.cure, b.String())
		}
		if !ok {
			failed = 1
		}
	})
	return failed
}
