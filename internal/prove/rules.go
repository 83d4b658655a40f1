package prove

import (
	"fmt"
	"strings"
)

// Rule is one thing that is demanded of a tree. Bad and Good are the bodies of
// small trees that use the shared declarations of SampleShared; a line of three
// dashes stands between two files. The first breaks the rule, the second is the same
// tree put right.
type Rule struct {
	ID, Title, Reason string
	Bad, Good         string
	Remark            bool // worth a look; a tree is no less sound for it
}

// RuleNamed finds a rule; nil if there is none.
func RuleNamed(id string) *Rule {
	for i := range Rules {
		if Rules[i].ID == id {
			return &Rules[i]
		}
	}
	return nil
}

// RuleIDs lists the names of all rules.
func RuleIDs() []string {
	out := make([]string, len(Rules))
	for i := range Rules {
		out[i] = Rules[i].ID
	}
	return out
}

// SampleShared is what the samples of the rules use.
const SampleShared = `shared: sample
readings:
  rest: {ask: Battery voltage at rest, short: rest, unit: V, span: [0, 18], probe: {red: plus, black: minus}}
  load: {ask: Voltage under load, short: load, unit: V, span: [0, 18], probe: {red: plus, black: minus}}
  temp: {ask: Temperature, short: temp, unit: °C, span: [-40, 70]}
  amps: {ask: Current, short: current, unit: A, span: [0, 900], optional: true}
  clamp: {ask: The clamp, short: clamp, choices: [tight, loose, burnt]}
  case: {ask: The case, short: case, choices: [sound, cracked], hazard: true}
points: [plus, minus]
undone: [fuse_out]
limits:
  flat: {is: 12 V, source: "common practice, no source"}
  charged: {is: 12.4 V, source: "common practice, no source"}
  many: {is: 300 A, source: "common practice, no source"}
before:
  - {id: sound_case, kinds: [charge, load], holds: 'case == "sound"', else: cracked, why: A cracked battery can burst.}
findings:
  cracked: {title: Cracked case, action: replace, stop: true}
  good: {title: Battery good, action: none}
  flat_battery: {title: Battery flat, action: charge}
`

// SampleFaults is the list of faults that the samples use.
const SampleFaults = `faults:
  - {id: battery_flat, title: Flat battery, group: battery}
`

const head = `tree: sample-tree
title: A sample
edition: 1
use: [sample]
begin: look
`

const oneLimit = `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`

// Rules lists what is demanded of a tree, in the order of the language guide.
var Rules = []Rule{
	{
		ID:     "gap",
		Title:  "every answer has a branch",
		Reason: "An answer that no branch takes leaves a person standing at the vehicle with no way on.",
		Bad: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.charged, to: flat_battery}
      - {if: rest > limits.charged, to: good}
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.charged, to: flat_battery}
      - {if: rest >= limits.charged, to: good}
`,
	},
	{
		ID:     "overlap",
		Title:  "no answer has two branches",
		Reason: "There is no first match: where two branches hold, the tree says two things of one vehicle.",
		Bad: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.charged, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
	},
	{
		ID:     "not-taken",
		Title:  "a reading is taken before it decides",
		Reason: "A reading that nobody was asked for on some way is not known there, and the walk stops.",
		Bad: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: under_load}
  under_load:
    kind: decide
    title: Under load
    branches:
      - {if: load < limits.flat, to: flat_battery}
      - {if: load >= limits.flat, to: good}
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: under_load}
  under_load:
    kind: load
    title: Under load
    take: [load]
    branches:
      - {if: load < limits.flat, to: flat_battery}
      - {if: load >= limits.flat, to: good}
`,
	},
	{
		ID:     "stale",
		Title:  "nothing is decided on what was read before the vehicle changed",
		Reason: "A charge, a repair or a jump makes every probed reading and every hazard answer old news.",
		Bad: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    to: charge
  charge:
    kind: charge
    title: Charge it
    to: judge
  judge:
    kind: decide
    title: Did it come back?
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    to: charge
  charge:
    kind: charge
    title: Charge it
    to: judge
  judge:
    kind: retest
    title: Did it come back?
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
	},
	{
		ID:     "stale-after-pause",
		Title:  "nothing is decided on what was read before a long pause",
		Reason: "Wherever something is asked the walk may be left for an hour or more and be taken up again. What was read before no longer describes the vehicle, so a step decides on facts or on what it takes itself.",
		Bad: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    to: joint
  joint:
    kind: inspect
    title: The clamp
    take: [clamp]
    to: judge
  judge:
    kind: decide
    title: Judge it
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    to: joint
  joint:
    kind: inspect
    title: The clamp
    take: [clamp]
    to: judge
  judge:
    kind: measure
    title: Judge it
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
	},
	{
		ID:     "unknown-reading",
		Title:  "a reading that may be missing is asked after with known first",
		Reason: "An optional reading may be skipped and others cannot be taken; a guard on such a one must say what then.",
		Bad: head + `steps:
  look:
    kind: measure
    title: Current
    together: true
    take: [amps]
    branches:
      - {if: amps > limits.many, to: flat_battery}
      - {if: amps <= limits.many, to: good}
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Current
    together: true
    take: [amps]
    branches:
      - {if: known(amps) and amps > limits.many, to: flat_battery}
      - {if: not known(amps) or amps <= limits.many, to: good}
`,
	},
	{
		ID:     "dead-step",
		Title:  "every step can be come to",
		Reason: "A step that no answers lead to is a test that nobody will ever do, and mostly the sign of a wrong guard before it.",
		Bad: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: low}
      - {if: rest >= limits.flat, to: good}
  low:
    kind: decide
    title: How low?
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: again}
  again:
    kind: retest
    title: Once more
    take: [rest]
    to: good
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: low}
  low:
    kind: decide
    title: How low?
    branches:
      - {if: rest < limits.charged, to: again}
      - {if: rest >= limits.charged, to: good}
  again:
    kind: retest
    title: Once more
    take: [rest]
    to: good
`,
	},
	{
		ID:     "dead-branch",
		Title:  "every branch can be taken",
		Reason: "A branch that no answers take decides nothing; it hides what the step really does.",
		Bad: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
      - {if: rest < limits.flat and rest > limits.charged, to: good}
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
	},
	{
		ID:     "dead-finding",
		Title:  "every finding of the tree can be come to",
		Reason: "A fault that the tree names and never finds is one that it silently passes over.",
		Bad: head + `findings:
  joint: {title: Bad joint, action: clean}
steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: low}
      - {if: rest >= limits.flat, to: good}
  low:
    kind: decide
    title: How low?
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: joint}
`,
		Good: head + `findings:
  joint: {title: Bad joint, action: clean}
steps:
  look:
    kind: inspect
    title: Joint and rest voltage
    take: [clamp, rest]
    branches:
      - {if: 'clamp != "tight"', to: joint}
      - {if: 'clamp == "tight" and rest < limits.flat', to: flat_battery}
      - {if: 'clamp == "tight" and rest >= limits.flat', to: good}
`,
	},
	{
		ID:     "asks-again",
		Title:  "a step asks something that is not fresh already",
		Reason: "What is fresh is passed without asking, so the step never shows. If the reading is wanted again the step is a retest, else it is a decide.",
		Remark: true,
		Bad: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    to: judge
  judge:
    kind: measure
    title: Judge it
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    to: judge
  judge:
    kind: decide
    title: Judge it
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
	},
	{
		ID:     "unguarded",
		Title:  "a step that charges, loads, cranks or jumps has a hazard rule",
		Reason: "The walk holds every hazard rule before such a step; where no rule names its kind, nothing is asked before hands act.",
		Bad: head + `steps:
  look:
    kind: crank
    title: Crank it
    take: [load]
    branches:
      - {if: load < limits.flat, to: flat_battery}
      - {if: load >= limits.flat, to: good}
`,
		Good: head + `before:
  - {id: clear, kinds: [crank], holds: 'case == "sound"', else: cracked, why: A cracked battery can burst.}
steps:
  look:
    kind: crank
    title: Crank it
    take: [load]
    branches:
      - {if: load < limits.flat, to: flat_battery}
      - {if: load >= limits.flat, to: good}
`,
	},
	{
		ID:     "hazard-rule",
		Title:  "a hazard rule can be asked, can hold and can fail",
		Reason: "A rule that looks at the take of one step cannot be asked elsewhere; one that never holds forbids the step, one that never fails guards nothing.",
		Bad: head + `before:
  - {id: clear, kinds: [crank], holds: 'case == "sound" and case == "cracked"', else: cracked, why: A cracked battery can burst.}
steps:
  look:
    kind: crank
    title: Crank it
    take: [load]
    to: good
`,
		Good: head + `before:
  - {id: clear, kinds: [crank], holds: 'case == "sound"', else: cracked, why: A cracked battery can burst.}
steps:
  look:
    kind: crank
    title: Crank it
    take: [load]
    to: good
`,
	},
	{
		ID:     "left-open",
		Title:  "what can be left undone at a finding has a sentence that says how it is put back",
		Reason: "A fuse left out or a charger left on goes home with the customer. A job is not closed while something is open: the walk lists it with the sentence that stands under `undone`. A word without a sentence must be put back by a step on every way.",
		Bad: head + `steps:
  look:
    kind: inspect
    title: Pull the fuse
    leaves: [fuse_out]
    to: read
  read:
    kind: measure
    title: Read
    take: [rest]
    to: good
`,
		Good: head + `undone:
  fuse_out: Put the fuse back in its slot.
steps:
  look:
    kind: inspect
    title: Pull the fuse
    leaves: [fuse_out]
    to: read
  read:
    kind: measure
    title: Read
    take: [rest]
    to: good
`,
	},
	{
		ID:     "bare-finding",
		Title:  "a finding that names faults says what to do and how to prove it",
		Reason: "Without a remedy nobody knows what to repair, and without `prove_by` nobody knows that it was repaired. A finding with `stop: true` needs no proof.",
		Bad: head + `findings:
  joint: {title: Flat, action: charge, faults: [battery_flat]}
steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: joint}
      - {if: rest >= limits.flat, to: good}
`,
		Good: head + `findings:
  joint: {title: Flat, action: charge, faults: [battery_flat], remedy: Charge it., prove_by: rest}
steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: joint}
      - {if: rest >= limits.flat, to: good}
`,
	},
	{
		ID:     "unused-limit",
		Title:  "a limit is used by something",
		Reason: "A limit that decides nothing misleads whoever changes it.",
		Bad: head + `limits:
  spare: {is: 11 V, source: "common practice, no source"}
steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.flat, to: flat_battery}
      - {if: rest >= limits.flat, to: good}
`,
		Good: head + `limits:
  spare: {is: 11 V, source: "common practice, no source"}
steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.spare, to: flat_battery}
      - {if: rest >= limits.spare, to: good}
`,
	},
	{
		ID:     "limit-outside-span",
		Title:  "a limit lies inside the span of the reading it is held against",
		Reason: "No answer can ever lie on its other side, so the comparison is decided before anything is read.",
		Bad: head + `limits:
  lorry: {is: 24 V, source: "common practice, no source"}
steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.lorry, to: flat_battery}
      - {otherwise: good}
`,
		Good: head + `limits:
  lorry: {is: 16 V, source: "common practice, no source"}
steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    branches:
      - {if: rest < limits.lorry, to: flat_battery}
      - {otherwise: good}
`,
	},
	{
		ID:     "limits-too-close",
		Title:  "two limits of one step stand further apart than the meter's doubt",
		Reason: "Between limits that stand closer than a workshop meter can tell apart, no reading is ever certain.",
		Bad: head + `limits:
  hair: {is: 12.03 V, source: "common practice, no source"}
steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    by: rest
    bands:
      - {below: limits.flat, to: flat_battery}
      - {below: limits.hair, to: cracked}
      - {to: good}
`,
		Good: head + `steps:
  look:
    kind: measure
    title: Rest voltage
    take: [rest]
    by: rest
    bands:
      - {below: limits.flat, to: flat_battery}
      - {below: limits.charged, to: cracked}
      - {to: good}
`,
	},
	{
		ID:     "handover",
		Title:  "the next round can use the facts it is handed",
		Reason: "A fact is handed over by its name. If the next tree measures it in another unit, offers other words or takes it for no fact, the answer means something else there.",
		Bad: head + handing("rating: {ask: Rating on the label, short: rating, unit: A, span: [50, 2000], fact: true}") + `---
tree: next
title: The next round
edition: 1
use: [sample]
begin: again
readings:
  rating: {ask: Rating on the label, short: rating, unit: Ah, span: [10, 300], fact: true}
steps:
  again:
    kind: measure
    title: Rating
    take: [rating]
    to: good
`,
		Good: head + handing("rating: {ask: Rating on the label, short: rating, unit: A, span: [50, 2000], fact: true}") + `---
tree: next
title: The next round
edition: 1
use: [sample]
begin: again
readings:
  rating: {ask: Rating on the label, short: rating, unit: A, span: [50, 2000], fact: true}
steps:
  again:
    kind: measure
    title: Rating
    take: [rating]
    to: good
`,
	},
	{
		ID:     "case",
		Title:  "every worked case comes out as it says",
		Reason: "A worked case is a vehicle of which it is known what must come out. When it comes out otherwise, the tree or the case is wrong.",
		Bad: head + oneLimit + `---
cases: sample-tree
list:
  - {case: a flat one, from: invented, meter: workshop, readings: {rest: 11.2 V}, finding: good}
`,
		Good: head + oneLimit + `---
cases: sample-tree
list:
  - {case: a flat one, from: invented, meter: workshop, readings: {rest: 11.2 V}, finding: flat_battery}
`,
	},
	{
		ID:     "case-file",
		Title:  "a file of worked cases is written as such a file is",
		Reason: "A case has a name, says where it comes from, with which meter it was read, what was read and what must come out. Names must be those of the tree.",
		Bad: head + oneLimit + `---
cases: sample-tree
list:
  - {case: a flat one, meter: workshop, readings: {rest: 11.2 V}, finding: flat_battery}
`,
		Good: head + oneLimit + `---
cases: sample-tree
list:
  - {case: a flat one, from: invented, meter: workshop, readings: {rest: 11.2 V}, finding: flat_battery}
`,
	},
	{
		ID:     "undecided",
		Title:  "a step is simple enough to be proved",
		Reason: "The work is bounded. What was given up is named, and was tried at the limits and their neighbours only; that is no proof.",
		Bad: head + crowded(18) + `    branches:
      - {if: '` + eachLowOrHot(18) + `', to: flat_battery}
      - {otherwise: good}
`,
		Good: head + crowded(2) + `    branches:
      - {if: '` + eachLowOrHot(2) + `', to: flat_battery}
      - {otherwise: good}
`,
	},
}

// handing is a tree that hands a reading to the tree "next".
func handing(reading string) string {
	return `readings:
  ` + reading + `
findings:
  mended: {title: Put right, action: none, then: {tree: next, keep: facts}}
steps:
  look:
    kind: measure
    title: Rating
    take: [rating]
    to: mended
`
}

// crowded declares n pairs of readings and a step that takes them.
func crowded(n int) string {
	var readings, takes strings.Builder
	for i := range n {
		fmt.Fprintf(&readings, "  v%d: {ask: Voltage %d, short: p%d, unit: V, span: [0, 18]}\n  w%d: {ask: Another %d, short: q%d, unit: V, span: [0, 18]}\n", i, i, i, i, i, i)
		fmt.Fprintf(&takes, ", v%d, w%d", i, i)
	}
	return "readings:\n" + readings.String() + `steps:
  look:
    kind: measure
    title: Many voltages
    take: [` + takes.String()[2:] + "]\n"
}

// eachLowOrHot is a guard that falls into 2 to the n boxes.
func eachLowOrHot(n int) string {
	parts := make([]string, n)
	for i := range parts {
		parts[i] = fmt.Sprintf("(v%d < limits.flat or w%d < limits.flat)", i, i)
	}
	return strings.Join(parts, " and ")
}
