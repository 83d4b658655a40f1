package tests

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/unit"
)

// doubtTree has a limit that 12.4 V by itself clears, and 12.4 V ± 0.05 V does not.
const doubtTree = `tree: doubt
title: Two readings
edition: 1
begin: amps
readings:
  current: {ask: Current in the lead, short: drawn, unit: A, span: [0, 400], clamp: lead}
  rest: {ask: Voltage, short: rest, unit: V, span: [0, 18], probe: {red: plus, black: minus}}
points: [plus, minus, lead]
limits:
  some: {is: 20 A, source: definition}
  full: {is: 12.3 V, source: definition, safer: below}
steps:
  amps: {kind: measure, title: Read the clamp, take: [current], by: current, bands: [{below: limits.some, to: volts}, {to: drawn}]}
  volts: {kind: measure, title: Read the voltage, take: [rest], by: rest, bands: [{below: limits.full, to: low}, {to: high}]}
findings:
  drawn: {title: Drawn, action: look}
  low: {title: Low, action: charge}
  high: {title: High, action: none}
`

// TestADoubtIsReadAlikeEverywhere types each text on every way into the program.
// The doubt of the workshop meter is added: 0.3 % and 0.02 V; of its clamp up to 60 A
// 2 % and 0.3 A.
func TestADoubtIsReadAlikeEverywhere(t *testing.T) {
	folder, env := home(t)
	write := func(name, text string) string {
		path := filepath.Join(folder, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	tree := write("doubt.yaml", doubtTree)
	lib, faults := engine.Load([]engine.Source{{Name: "doubt.yaml", Data: []byte(doubtTree)}})
	require.True(t, faults.Empty(), "%s", printed(faults))
	meter := engine.FindMeter("workshop")

	volt, _ := unit.Lookup("V")
	for _, c := range []struct {
		volts          string
		value, outBy   float64
		amps           string
		ampsAt, ampsBy float64
		certainty      string
	}{
		{"12.4", 12.4, 0, "0", 0, 0, "firm"},
		{"12.4 V", 12.4, 0, "-0.2 A", -0.2, 0, "firm"},
		{"12.4 +/- 0.05", 12.4, 0.05, "-0.2", -0.2, 0, "likely"},
		{"12.4 ± 1 %", 12.4, 0.124, "-0.3 ± 0.1", -0.3, 0.1, "likely"},
		{"12.3..12.5", 12.4, 0.1, "0.1 to 0.3", 0.2, 0.1, "likely"},
		{"12.3 to 12.5", 12.4, 0.1, "1 ± 5 %", 1, 0.05, "likely"},
		{"12400 mV ± 50 mV", 12.4, 0.05, "200 mA", 0.2, 0, "likely"},
		{"12.3 V..12.5 V", 12.4, 0.1, "1,5", 1.5, 0, "likely"},
	} {
		name := c.volts + ", " + c.amps
		wantVolts := [3]float64{c.value - c.outBy - 0.02 - 0.003*c.value, c.value, c.value + c.outBy + 0.02 + 0.003*c.value}
		wide := c.ampsBy + 0.3 + 0.02*max(c.ampsAt, -c.ampsAt)
		wantAmps := [3]float64{max(c.ampsAt-wide, min(0, c.ampsAt)), c.ampsAt, c.ampsAt + wide}
		same := func(way string, takes []take) {
			t.Helper()
			require.Len(t, takes, 2, "%s: %s", way, name)
			for i, want := range [][3]float64{wantAmps, wantVolts} {
				got := [3]float64{takes[i].Low.Value, takes[i].Best.Value, takes[i].High.Value}
				for k := range want {
					assert.InDelta(t, want[k], got[k], 1e-9, "%s: %s: %v", way, name, got)
				}
			}
		}

		r, err := unit.ParseRange(c.volts, volt)
		require.NoError(t, err)
		assert.InDelta(t, c.outBy, r.Hi-r.Best, 1e-9, "calc: %s", name)

		w := engine.NewWalk(lib.Tree("doubt"), meter, engine.Kit{})
		for _, line := range []string{"drawn " + c.amps + " rest " + c.volts} {
			p := w.Next()
			typed, refusal := p.Tree.ParseLine(p.Fields, line, p.Meter)
			require.Nil(t, refusal, "%s: %v", line, refusal)
			require.Len(t, typed, 2, line)
			for _, a := range typed {
				_, err := w.Answer(engine.Event{Do: engine.DoAnswer, Reading: a.Reading.ID, Answer: &a.Answer})
				require.NoError(t, err)
			}
		}
		var walked []take
		for _, k := range w.Record().Takes {
			walked = append(walked, take{Best: quantity{k.Best}, Low: quantity{k.Lo}, High: quantity{k.Hi}})
		}
		same("one line", walked)

		job := filepath.Join(folder, fmt.Sprintf("%x.job", name))
		runIn(t, folder, env, c.amps+"\n"+c.volts+"\n", "walk", "doubt", "--tree", tree, "--plain", "--kit", "all", "--meter", "workshop", "--job", job)
		same("plain walk", reported(t, runIn(t, folder, env, "", "report", job, "--as", "json").stdout))

		table := "current;rest\n" + c.amps + ";" + c.volts + "\n"
		decided := runIn(t, folder, env, table, "decide", "doubt", "-", "--tree", tree, "--meter", "workshop", "--json")
		same("decide, CSV", reported(t, decided.stdout))
		row, err := json.Marshal(map[string]string{"current": c.amps, "rest": c.volts})
		require.NoError(t, err)
		decided = runIn(t, folder, env, string(row)+"\n", "decide", "doubt", "-", "--tree", tree, "--meter", "workshop", "--json")
		same("decide, JSON", reported(t, decided.stdout))

		write("doubt.cases.yaml", fmt.Sprintf("cases: doubt\nlist:\n  - {case: it, from: invented, meter: workshop, readings: {current: %q, rest: %q}, finding: high, certainty: %s}\n", c.amps, c.volts, c.certainty))
		proved := runIn(t, folder, env, "", "prove", tree)
		assert.NotContains(t, proved.stdout+proved.stderr, "case-", "%s", name)
		assert.Contains(t, proved.stdout, "1 worked case", "%s", name)
		require.NoError(t, os.Remove(filepath.Join(folder, "doubt.cases.yaml")))
	}

	for typed, says := range map[string]string{"-0.5 A": "outside what is possible", "5 ± 1 ± 1": "more than one doubt", "3..2": "the first end is the greater one"} {
		o := runIn(t, folder, env, "", "decide", "doubt", "--tree", tree, "--meter", "workshop", "--set", "current="+typed)
		assert.Equal(t, 1, o.code, typed)
		assert.Contains(t, o.stdout+o.stderr, says)
		_, refusal := lib.Tree("doubt").ReadingNamed("current").Parse(typed, meter)
		require.NotNil(t, refusal)
		assert.Contains(t, refusal.Reason, says)
	}
}

type quantity struct{ Value float64 }

// take is what is held against what was typed, of a report in JSON.
type take struct{ Best, Low, High quantity }

func reported(t *testing.T, text string) []take {
	var doc struct {
		Takes  []take
		Record struct{ Takes []take } // in decide's envelope
	}
	require.NoError(t, json.Unmarshal([]byte(text), &doc), text)
	return append(doc.Takes, doc.Record.Takes...)
}
