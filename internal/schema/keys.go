package schema

import (
	"deadflat/internal/engine"
	"deadflat/internal/unit"
)

// object is one kind of mapping in a file, with the keys that it may hold.
type object struct {
	name string
	says string
	keys []key
	// rules are what holds between the keys.
	rules []shape
}

// key is one key: what it means to a trainer, and what may stand behind it.
type key struct {
	name string
	need bool
	of   shape
	says string
}

const (
	must = true
	may  = false
)

// objects are all of them. The order is the one of the language guide.
var objects = []object{
	{
		name: "tree", says: "A decision tree.",
		keys: append([]key{
			{"tree", must, fileName(), "The tree's name: small letters, digits, hyphens and _."},
			{"title", must, text(), "What the person sees: \"Vehicle will not start\"."},
			{"summary", may, text(), "What the tree is for, in a sentence or two."},
			{"edition", must, whole(1), "1, 2, ... Raise it whenever the tree says something else than before. A job keeps the edition it was walked on."},
			{"author", may, text(), "Who wrote it."},
			{"reviewed", may, either(text(), one("review")), "Who has tried it, and when. Without it, or with words in its place, the tree is a draft."},
			{"changed", may, text(), "What this edition changed."},
			{"use", may, list(fileName()), "Shared files whose readings, limits, hazard rules and findings this tree uses: [common]."},
			{"begin", must, name(), "The step that comes first."},
			{"parameters", may, table(text()), "Names that a tree which runs this one gives it: `reading`, `limit` or `value` for one declared here, which stands when nobody runs the tree; anything else is words, for `{NAME}` in texts."},
			{"steps", must, table(one("any_step")), "The steps by their names. A step is one thing to do, with the ways that lead on from it."},
		}, declarations...),
	},
	{
		name: "review", says: "Who has tried a tree, and when.",
		keys: []key{
			{"by", must, text(), "Who has tried it."},
			{"day", must, shape{"type": "string", "pattern": `^[0-9]{4}-[0-9]{2}-[0-9]{2}`}, "On what day: 2026-03-31."},
		},
	},
	{
		name: "shared", says: "Declarations that several trees use.",
		keys: append([]key{
			{"shared", must, fileName(), "The name by which a tree takes these declarations in: `use: [NAME]`."},
			{"title", may, text(), "What stands in this file."},
		}, declarations...),
	},
	{
		name: "reading", says: "One thing that a person measures, looks at or is asked.",
		keys: []key{
			{"ask", may, text(), "The question, or the name of the reading: \"Battery voltage at rest\". Required, here or in what this is like."},
			{"short", may, text().with("pattern", `^\S+$`), "The one word by which it is typed: `rest 12.6`. No other reading may have it, and it may not look like a unit. Required, here or in what this is like."},
			{"like", may, name(), "Copies the keys of another reading; what is written here wins. One level only."},
			{"unit", may, usually(unit.Names()...), "The unit of a number. It needs a span."},
			{"span", may, pair(decimal()), "Lowest and highest that can be typed at all, in the unit. Wide enough for a fault, too narrow for a slip."},
			{"choices", may, list(text()).with("minItems", 2).with("maxItems", 60), "The answers of a choice, in the order in which they are shown. Put \"yes\" and \"no\" in quotes."},
			{"several", may, truth(), "Any number of the choices may hold at once, or none: at most 6 choices. A guard asks `\"left\" in lamps`."},
			{"yes_no", may, truth(), "A choice of no and yes. In a guard its bare name is enough."},
			{"about", may, each(text()), "Help for single choices."},
			{"fact", may, truth(), "Lasts the whole job. Anything else is out of date after a charge, a repair or a jump."},
			{"hazard", may, truth(), "Somebody can get hurt if it is answered carelessly: it takes a deliberate key, never Enter alone."},
			{"optional", may, truth(), "May be skipped. A guard must then first ask known(...)."},
			{"unsure", may, truth(), "\"not sure\" is an answer (choices only). A step that decides on it needs a way `unsure`."},
			{"probe", may, one("probe"), "Where the two probes go. The meter is then set to volts."},
			{"clamp", may, text(), "Where the current clamp goes: one of the points."},
			{"meter", may, oneOf("volts_dc", "volts_ac", "amps_clamp", "amps_dc", "ohms", "thermometer", "hydrometer", "none"), "What takes the reading, where probe or clamp do not say it."},
			{"vehicle", may, each(text()), "How the vehicle stands meanwhile: `{key: key_off, doors: closed}`. The words stand under states."},
			{"hold", may, either(oneOf("settled", "plateau", "lowest", "highest", "ripple", "first"), shape{"type": "string", "pattern": "^at: "}), "What of a moving display counts: settled, plateau, lowest, highest, ripple, first, or \"at: 15 s\"."},
			{"also_out_by", may, quantity(), "How far the way of measuring may be out, beside the meter. A difference: `3 K`, `0.05 V`."},
			{"needs", may, words(), "Equipment without which it is not asked."},
			{"sees", may, text(), "What is looked at: one of the words under sees."},
			{"how", may, text(), "How to take it. Names in braces are worked out when it is shown: `{limits.charged}`."},
			{"slips", may, text(), "What goes wrong most often."},
			{"cannot", may, text(), "What this reading cannot tell."},
			{"good", may, text(), "What a good one reads."},
			{"odd", may, list(one("odd")), "Questions asked before an unlikely answer is believed."},
			{"assume", may, one("assume"), "The wide range that stands in for a number nobody can take."},
		},
		rules: []shape{
			{"not": shape{"required": []string{"unit", "choices"}}},
			{"dependentRequired": shape{"span": []string{"unit"}, "several": []string{"choices"}}},
			{"anyOf": []shape{{"required": []string{"unit", "span"}}, {"required": []string{"choices"}}, {"required": []string{"yes_no"}}, {"required": []string{"like"}}}},
			{"anyOf": []shape{{"required": []string{"ask", "short"}}, {"required": []string{"like"}}}},
		},
	},
	{
		name: "picture", says: "A picture beside a step.",
		keys: []key{
			{"file", must, text(), "A PNG or JPEG file in the folder of this file."},
			{"text", must, text(), "What it shows, where it cannot be shown."},
		},
	},
	{
		name: "probe", says: "Where the probes go.",
		keys: []key{
			{"red", must, text(), "The point for the red probe."},
			{"black", must, text(), "The point for the black probe."},
		},
	},
	{
		name: "odd", says: "A question before an unlikely answer is believed.",
		keys: []key{
			{"if", must, text(), "When the question is asked: a guard."},
			{"ask", must, text(), "The question: \"Are the meter leads the right way round?\""},
		},
	},
	{
		name: "assume", says: "A wide range for a number that nobody can take.",
		keys: []key{
			{"by", must, name(), "The choice that the range depends on."},
			{"ranges", must, each(pair(quantity())), "For every choice the lowest and the highest, with units."},
			{"if", may, text(), "A guard that must hold for the range to be used."},
			{"source", must, text(), "Where the ranges come from. \"common practice, no source\" where there is none."},
		},
	},
	{
		name: "limit", says: "A number that decides, with its origin: one number, a table over a reading, or one number for each choice.",
		keys: []key{
			{"is", may, quantity(), "The number with its unit: `12.4 V`, `0.002 V/A`."},
			{"table", may, one("points"), "A table over a number, in straight lines between its points. It needs a unit."},
			{"unit", may, usually(unit.Names()...), "The unit of the table's numbers."},
			{"by", may, name(), "The choice that the limit depends on. It needs cases."},
			{"cases", may, each(quantity()), "The limit for every choice."},
			{"title", may, text(), "What the limit means, in the middle of a sentence: \"charged enough to test\"."},
			{"source", must, text(), "A standard or handbook with its place; or \"common practice, no source\", \"from memory\", \"definition\"."},
			{"safer", may, oneOf("below", "above"), "The side that is taken when a reading is too close and there is no better test."},
			{"better", may, name(), "The step that is taken first when a reading is too close."},
		},
		rules: []shape{
			{"oneOf": []shape{{"required": []string{"is"}}, {"required": []string{"table", "unit"}}, {"required": []string{"by", "cases"}}}},
		},
	},
	{
		name: "points", says: "A table over a number.",
		keys: []key{
			{"over", must, name(), "The reading that the limit runs over."},
			{"points", must, list(pair(decimal())).with("minItems", 2), "[reading, limit] in their units, ascending."},
			{"outside", must, shape{"const": "hold_end"}, "Outside the points the end values hold."},
		},
	},
	{
		name: "value", says: "A named sum of readings and limits.",
		keys: []key{
			{"is", may, text(), "The sum: `limits.path_resistance * crank_current`."},
			{"first_known", may, list(text()), "Several sums: the first whose readings are known counts."},
			{"unit", must, usually(unit.Names()...), "The unit it is shown in."},
			{"title", may, text(), "What it is, in the middle of a sentence."},
		},
		rules: []shape{{"oneOf": []shape{{"required": []string{"is"}}, {"required": []string{"first_known"}}}}},
	},
	{
		name: "rule", says: "A hazard rule: it must hold before every step of its kinds.",
		keys: []key{
			{"id", must, name(), "The rule's name."},
			{"kinds", must, list(oneOf(kinds()...)), "The kinds of step that it guards."},
			{"holds", must, text(), "The guard that must be true, beyond doubt. Its readings are asked for if need be."},
			{"else", must, name(), "The finding at which the walk ends if it does not hold."},
			{"why", must, text(), "What could happen."},
		},
	},
	{
		name: "step", says: "One thing to do, and the ways that lead on from it.",
		keys: append([]key{
			{"kind", may, oneOf(kindsButTree()...), "What the person does: measure, load, crank, inspect, charge, repair, jump, wait, retest (read again) or decide (nothing). Required, here or in what this is like."},
			{"title", may, text(), "The heading. Required, here or in what this is like."},
			{"like", may, name(), "Copies the keys of another step; what is written here wins. One level only."},
			{"do", may, text(), "What to do, in one or two sentences."},
			{"picture", may, one("picture"), "A picture beside the step, in reports and on sheets."},
			{"why", may, text(), "Why it is done."},
			{"cautions", may, words(), "Shown before anything else."},
			{"take", may, list(name()), "Readings, in the order in which they are asked for. Asking stops when one way is certain."},
			{"together", may, truth(), "One act gives all readings: ask for them in one go."},
			{"record", may, list(name()), "Readings kept for the report. They decide nothing."},
			{"minutes", may, decimal().with("minimum", 0), "How long it takes."},
			{"act", may, text(), "What is done to the vehicle: one of the words under acts."},
			{"for", may, text(), "How long it is done: `15 s`."},
			{"needs", may, words(), "Equipment. Without it the way `unable` is taken."},
			{"leaves", may, words(), "What has to be put back later: words under undone."},
			{"restores", may, words(), "What this puts back."},
			{"better", may, name(), "The step to take first when it is too close to call here."},
			{"unable", may, one("side_way"), "The way on when a reading could not be taken."},
			{"unsure", may, one("side_way"), "The way on when \"not sure\" leaves it open."},
			{"bands", may, list(one("band")).with("minItems", 1), "Ways by how high a number is, from low to high. The last takes the rest."},
			{"cases", may, each(either(name(), one("case_way"))), "A way for every choice."},
			{"branches", may, list(one("branch")).with("minItems", 1), "Ways by guards. Exactly one must hold, whatever is answered."},
			{"by", may, text(), "The number or sum that the bands, or the choice that the cases go by."},
		}, way("The one way on: a step or a finding.", may)...),
		rules: []shape{
			{"dependentSchemas": shape{
				"bands":  shape{"anyOf": []shape{{"required": []string{"by"}}, {"required": []string{"like"}}}},
				"cases":  shape{"anyOf": []shape{{"required": []string{"by"}}, {"required": []string{"like"}}}},
				"by":     shape{"anyOf": []shape{{"required": []string{"bands"}}, {"required": []string{"cases"}}, {"required": []string{"like"}}}},
				"say":    shape{"anyOf": []shape{{"required": []string{"to"}}, {"required": []string{"like"}}}},
				"clears": shape{"anyOf": []shape{{"required": []string{"to"}}, {"required": []string{"like"}}}},
			}},
			{"anyOf": []shape{{"required": []string{"kind", "title"}}, {"required": []string{"like"}}}},
			// One way of deciding; a copied one is not seen here.
			{"oneOf": []shape{{"required": []string{"to"}}, {"required": []string{"bands"}}, {"required": []string{"cases"}}, {"required": []string{"branches"}},
				{"required": []string{"like"}, "not": shape{"anyOf": []shape{{"required": []string{"to"}}, {"required": []string{"bands"}}, {"required": []string{"cases"}}, {"required": []string{"branches"}}}}}}},
		},
	},
	{
		name: "run", says: "A step that runs another tree and comes back.",
		keys: []key{
			{"kind", may, shape{"const": string(engine.SubTree)}, "tree: run another tree here."},
			{"title", may, text(), "The heading."},
			{"like", may, name(), "Copies the keys of another step; what is written here wins. One level only."},
			{"run", may, fileName(), "The tree to run."},
			{"with", may, each(text()), "What each parameter of that tree stands for here: the name of a reading or value, `limits.NAME`, or words."},
			{"prefix", may, name(), "Findings that do not stand under cases become findings of this tree, with this and _ before their names."},
			{"cases", may, each(name()), "For every finding of that tree the step or finding to go on with here."},
		},
		rules: []shape{{"anyOf": []shape{{"required": []string{"kind", "run", "cases"}}, {"required": []string{"kind", "run", "prefix"}}, {"required": []string{"like"}}}}},
	},
	{
		name: "side_way", says: "The way on when a step could not decide.",
		keys: []key{
			{"to", must, name(), "A step or a finding."},
			{"say", may, text(), "What the explanation says."},
			{"likely", may, truth(), "Findings beyond this way may lack what they rest on: they are likely then, not firm."},
		},
	},
	{
		name: "band", says: "One band of numbers.",
		keys: append([]key{
			{"below", may, text(), "The limit under which this band lies: `limits.charged`. The last band has none."},
		}, way("A step or a finding.", must)...),
	},
	{
		name: "case_way", says: "The way for one choice, with what the explanation says.",
		keys: way("A step or a finding.", must),
	},
	{
		name: "branch", says: "One way with its guard.",
		keys: append([]key{
			{"if", may, text(), "The guard: `earth_drop > earth_allowed and complaint == \"silence\"`. In braces and brackets put it in quotes."},
			{"otherwise", may, name(), "The step or finding when none of the other guards holds."},
		}, way("A step or a finding.", may)...),
		rules: []shape{{"oneOf": []shape{{"required": []string{"if", "to"}}, {"required": []string{"otherwise"}, "not": shape{"anyOf": []shape{{"required": []string{"if"}}, {"required": []string{"to"}}}}}}}},
	},
	{
		name: "finding", says: "One end of a tree: what is at fault, and what to do.",
		keys: []key{
			{"title", must, text(), "What was found."},
			{"action", must, text(), "What is done about it, in one word: findings with one action need not be told apart."},
			{"faults", may, list(name()), "Faults of the list of faults that it may stand for."},
			{"rests_on", may, list(either(text(), one("any_of"))), "Readings, or done(STEP). Without one of them, taken on this job and fresh, the finding is likely, not firm."},
			{"remedy", may, sentences(), "What to do, for the person at the vehicle."},
			{"customer", may, sentences(), "The same for the owner, in plain words."},
			{"prove_by", may, name(), "The step or reading that proves the repair."},
			{"open", may, sentences(), "What this finding leaves unproved."},
			{"cautions", may, words(), "Shown first."},
			{"stop", may, truth(), "Nothing more is done to this vehicle."},
			{"weight", may, decimal().with("minimum", 0), "How common it is beside the others."},
			{"then", may, one("then"), "The round that follows once it is put right."},
		},
	},
	{
		name: "any_of", says: "Evidence of which one will do.",
		keys: []key{{"one_of", must, list(text()), "Readings, or done(STEP)."}},
	},
	{
		name: "sentence", says: "A sentence with a condition.",
		keys: []key{
			{"when", must, text(), "The guard: the sentence is said when it holds and all its names can be worked out."},
			{"say", must, text(), "The sentence."},
		},
	},
	{
		name: "then", says: "The next round.",
		keys: []key{
			{"tree", must, fileName(), "The tree to walk next."},
			{"keep", must, shape{"const": "facts"}, "Facts are kept, readings are taken again."},
			{"first", may, shape{"enum": engine.Firsts}, "What is done before it: `repair` if nothing stands here."},
		},
	},
	{
		name: "fault_list", says: "The list of faults that findings name.",
		keys: []key{{"faults", must, list(one("fault")), "The faults."}},
	},
	{
		name: "fault", says: "One fault.",
		keys: []key{
			{"id", must, name(), "The fault's name."},
			{"title", must, text(), "What it is."},
			{"group", may, text(), "What it belongs to: battery, joints and cables, ..."},
		},
	},
	{
		name: "worked_cases", says: "Worked cases of a tree: what is read, and what must come out.",
		keys: []key{
			{"cases", must, fileName(), "The tree they belong to."},
			{"about", may, text(), "What is in this file."},
			{"usual", may, each(typed()), "Answers that stand in for everything a case does not mention."},
			{"list", must, list(one("worked_case")), "The cases."},
		},
	},
	{
		name: "worked_case", says: "One worked case.",
		keys: []key{
			{"case", must, text(), "What it is about. No two cases have one name."},
			{"from", must, text(), "Where it comes from: a handbook with its page, a vehicle, or \"invented\"."},
			{"meter", must, oneOf("basic", "workshop", "calibrated"), "The meter that the readings were taken with."},
			{"without", may, words(), "Equipment that is not at hand."},
			{"readings", may, each(typed()), "What would be typed: NAME for the first time it is asked, STEP.NAME at one step, STEP.done, STEP.unable."},
			{"finding", must, name(), "The finding that must come out."},
			{"certainty", may, oneOf(string(engine.Firm), string(engine.Likely)), "How far it can be relied on."},
			{"way", may, words(), "The steps that ask something, in order."},
			{"forms", may, whole(1), "How many pages there may be at most."},
			{"clears", may, list(name()), "Findings that must have been ruled out."},
			{"asks_not", may, list(name()), "Readings that must not be asked for."},
			{"left", may, list(name()), "Steps at which the walk is left for a night."},
		},
	},
}

// declarations are the keys that trees and shared files have in common.
var declarations = []key{
	{"readings", may, table(one("reading")), "What a person measures, looks at or is asked, by names that guards use."},
	{"limits", may, table(one("limit")), "The numbers that decide. Guards name them: `limits.charged`."},
	{"values", may, table(one("value")), "Named sums of readings and limits."},
	{"before", may, list(one("rule")), "Hazard rules."},
	{"findings", may, table(one("finding")), "Where the tree can end."},
	{"points", may, words(), "Places that a probe or a clamp can touch."},
	{"states", may, each(words()), "How the vehicle can stand: `key: [key_off, key_on]`."},
	{"acts", may, words(), "What can be done to the vehicle."},
	{"sees", may, words(), "What can be looked at."},
	{"equipment", may, words(), "What a kit may hold."},
	{"undone", may, either(each(text()), words()), "What a step may leave to be put back, and the sentence that says how: `fuse_out: Put the fuse back in its slot.` In a list, what only steps put back."},
}

// way is what stands in every branch.
func way(to string, need bool) []key {
	return []key{
		{"to", need, name(), to},
		{"say", may, text(), "What the explanation says when this way is taken."},
		{"clears", may, list(name()), "Findings that this way rules out."},
		{"likely", may, truth(), "Findings beyond this way may lack what they rest on: they are likely then, not firm."},
	}
}

// sentences is a text, or a list of sentences of which each may have a condition.
func sentences() shape { return either(text(), list(either(text(), one("sentence")))) }

// typed is an answer as a person types it.
func typed() shape { return shape{"type": []string{"string", "number"}} }

func kinds() []string {
	var out []string
	for _, k := range engine.Kinds {
		out = append(out, string(k))
	}
	return out
}

func kindsButTree() []string { return kinds()[:len(engine.Kinds)-1] }
