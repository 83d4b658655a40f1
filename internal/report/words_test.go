package report

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/text"
)

func TestSentencesJoin(t *testing.T) {
	assert.Equal(t, "First. Second! Third?", sentences("first", "", "second!", "third?"))
	assert.Empty(t, sentences("", " "))
}

func TestCertaintyIsSaidInWords(t *testing.T) {
	missing := []engine.Missing{{Text: "voltage under load: no load tester"}}
	for want, r := range map[string]*engine.Result{
		"is firm: ":      {Certainty: engine.Firm},
		"came too close": {Certainty: engine.Likely},
		"not read: voltage under load: no load tester": {Certainty: engine.Likely, Missing: missing},
	} {
		r.Finding = &engine.Finding{}
		assert.Contains(t, standing(r), want)
	}
}

func TestRemarksOnATake(t *testing.T) {
	for want, take := range map[string]engine.Take{
		"":                                      {State: "taken", Text: "none"},
		"assumed, not measured":                 {State: "assumed"},
		"looked odd, asked about and confirmed": {State: "taken", Answer: engine.Answer{Sure: true}},
		"out of date since later work":          {State: "skipped", Text: "skipped", Stale: true},
	} {
		assert.Equal(t, want, remark(take))
	}
}

func TestWhatProvesTheRepair(t *testing.T) {
	rec := finished()
	d, tree := &draft{rec: rec}, rec.Tree
	tree.Steps = append(tree.Steps, &engine.Step{ID: "collapse", Title: "After the collapse: does it climb back?"})
	for by, want := range map[string]string{
		"":             "",
		"crank":        "After the work take the same test again: Crank and read at the posts.",
		"rest_voltage": "After the work take the same reading again: Battery voltage at rest.",
		"collapse":     "Go through the tests again after the work.",
	} {
		assert.Equal(t, want, d.proof(tree, &engine.Result{Finding: &engine.Finding{ProveBy: by}}))
	}
	assert.Empty(t, d.proof(tree, &engine.Result{Finding: &engine.Finding{ProveBy: "crank", Stop: true}}))
	open := &engine.Result{Finding: &engine.Finding{ProveBy: "collapse"}, Open: "They are still to be proved at the first crank on the new battery."}
	assert.Equal(t, "At the first crank on the new battery.", d.proof(tree, open))
}

func TestKitAndCountsInWords(t *testing.T) {
	assert.Equal(t, "everything the tree asks for", equipment(engine.Kit{}))
	assert.Equal(t, "nothing but the meter", equipment(engine.Kit{Has: []string{}}))
	assert.Equal(t, "load tester and lamp", equipment(engine.Kit{Has: []string{"load_tester", "lamp"}}))
	for n, want := range []string{"none", "once", "twice", "3 times"} {
		assert.Equal(t, want, times(n))
	}
	assert.Empty(t, clock{}.at(time.Time{}))
}

func TestStepsToCome(t *testing.T) {
	assert.Empty(t, left(&engine.Prompt{}))
	assert.Equal(t, "; 1 step with a question to come", left(&engine.Prompt{Fewest: 1, Most: 1}))
	assert.Equal(t, "; 2 to 5 steps with a question to come", left(&engine.Prompt{Fewest: 2, Most: 5}))
}

// rests is a decision that ended a round, on some facts and comparisons.
func rests(b *engine.Branch, facts []engine.Fact, rules ...engine.Comparison) engine.Visit {
	return engine.Visit{Explanation: &engine.Explanation{Step: &engine.Step{Branches: []*engine.Branch{b, {}}}, Branch: b, Facts: facts, Rules: rules}}
}

func TestTheCustomerHearsTheReadingThatProvesTheFinding(t *testing.T) {
	b := build("tree")
	v := b.van()
	path, joint := b.took(v.pathStep, v.path, 1.84, 0.02), b.took(v.fix, v.joint, 0.05, 0.01)
	good := against(joint, "is at or below", 0.92, 0.92, "0.92 V", "clear", "", "")
	bad := against(path, "is above", 0.45, 0.45, "0.45 V", "clear", "", "")
	round := engine.RoundRecord{Tree: b.tree, Result: &engine.Result{Finding: v.cable}}
	by := func(proveBy string, rules ...engine.Comparison) string {
		v.cable.ProveBy = proveBy
		round.Steps = []engine.Visit{rests(&engine.Branch{Guard: &eval.Guard{}}, []engine.Fact{read(joint, ""), read(path, "")}, rules...)}
		return decidedBy(round)
	}
	want := "The reading that decided this was 1.84 V ± 0.02 V (voltage drop over the whole positive path)"
	assert.Equal(t, want, by("positive_drop", good, bad), "not the first, which only clears the joint")
	assert.Equal(t, want, by("positive_drop", bad, good))
	assert.Equal(t, want, by("positive", bad, good), "a step proves it by what it takes")
	assert.Equal(t, want, by("positive_drop", good), "it was half of the limit")
	assert.Equal(t, want, by("positive", good), "what is within its limit proves no cable")
	high := against(joint, "is above", 0.02, 0.02, "0.02 V", "clear", "", "")
	assert.Contains(t, by("positive", high), "voltage drop between positive post and clamp", "of the step's readings it is the one that was too high")
	assert.Contains(t, by("rest", good, bad), "What settled it last: voltage drop over the whole positive path (1.84 V ± 0.02 V) is above 0.45 V")
	assert.Len(t, deciding(round), 3, "a lead, and the circuit and the scale of that reading alone")
}

func TestWhatOnlyRulesAnotherFindingOutDecidedNothing(t *testing.T) {
	b := build("tree")
	v := b.van()
	v.clamp.ProveBy = "joint_drop"
	joint, rest := b.took(v.fix, v.joint, 0.05, 0.01), b.took(v.restStep, v.rest, 12.6, 0.06)
	good := against(joint, "is at or below", 0.1, 0.1, "0.10 V", "clear", "", "")
	full := against(rest, "is at or above", 12.4, 12.4, "12.40 V", "clear", "", "")
	for name, c := range map[string]struct {
		branch engine.Branch
		rules  []engine.Comparison
		want   string
	}{
		"the proof of a finding that is cleared": {engine.Branch{Clears: []*engine.Finding{v.clamp}}, []engine.Comparison{good}, ""},
		"the rest of several readings":           {engine.Branch{Text: "otherwise"}, []engine.Comparison{good, full}, ""},
		"the rest of one reading":                {engine.Branch{Text: "otherwise"}, []engine.Comparison{full}, "What settled it last: battery voltage at rest (12.60 V ± 0.06 V) is at or above 12.40 V"},
	} {
		c.branch.Guard = &eval.Guard{}
		round := engine.RoundRecord{Tree: b.tree, Result: &engine.Result{Finding: v.worn}, Steps: []engine.Visit{rests(&c.branch, nil, c.rules...)}}
		assert.Equal(t, c.want, decidedBy(round), name)
	}
}

func TestTheCustomerHearsWhatDecided(t *testing.T) {
	turned := &engine.Reading{ID: "turned", Ask: "Did the engine turn?", Domain: eval.Domain{Kind: eval.Choice, Choices: []string{"slowly", "normally"}}}
	only := &engine.Branch{}
	putBack := &engine.Step{Branches: []*engine.Branch{only}}
	answer := rests(&engine.Branch{Guard: &eval.Guard{}}, []engine.Fact{{Reading: turned, Ask: turned.Ask, Text: "slowly"}},
		engine.Comparison{Left: "turned", Reading: turned, Value: "slowly", Is: "is", Limit: "slowly", Holds: "clear"})
	round := engine.RoundRecord{Steps: []engine.Visit{answer, {Explanation: &engine.Explanation{Step: putBack, Branch: only}}}}
	assert.Equal(t, "What decided this was “Did the engine turn?”: slowly", decidedBy(round))
	hazard := engine.Visit{Explanation: &engine.Explanation{Step: putBack, Branch: &engine.Branch{Index: -1}}}
	round.Steps = append(round.Steps, hazard)
	assert.Empty(t, decidedBy(round), "a hazard rule ended it, not the reading before")
	assert.Empty(t, decidedBy(engine.RoundRecord{}))
}

func TestWhatBecameOfTheOtherFindings(t *testing.T) {
	named := func(title string) *engine.Finding { return &engine.Finding{Title: title} }
	r := &engine.Result{
		Finding: &engine.Finding{Title: "Locked engine", Faults: []string{"engine_seized"}},
		Cleared: []*engine.Finding{named("bad strap")},
		NotTested: []engine.NotTested{
			{Finding: named("Worn starter"), Why: "could not be taken: no clamp"}, {Finding: named("Worn battery"), Why: "not asked on this way"},
			{Finding: named("Flat battery"), Why: "not asked on this way"}, {Finding: named("Kicks back"), Why: "tested, neither found nor ruled out"},
		},
	}
	got := others(r)
	assert.Equal(t, []part{
		list{lead: "Ruled out:", items: []item{{text: "Bad strap"}}},
		list{lead: "Could not be tested (no clamp):", items: []item{{text: "Worn starter"}}},
		para{text: "2 other findings were not looked for, because this one was found first. What was read neither shows nor rules out 1 other finding. The JSON form of this report has the names."},
	}, got)
	r.Finding.Faults = nil
	assert.Contains(t, others(r)[2].(para).text, "2 other findings were not looked for. What")
	r.Finding.Stop = true
	assert.Equal(t, []part{para{text: "The tests stopped at this finding, so nothing else was tested."}}, others(r))
}

func TestAStopIsNotCalledFirm(t *testing.T) {
	stop := &engine.Finding{Stop: true}
	assert.Empty(t, standing(&engine.Result{Finding: stop, Certainty: engine.Firm}))
	assert.NotEmpty(t, standing(&engine.Result{Finding: stop, Certainty: engine.Likely}))
	assert.NotEmpty(t, standing(&engine.Result{Finding: &engine.Finding{}, Certainty: engine.Firm}))
}

func TestWhatIsStillChangedIsNoOrderToChangeIt(t *testing.T) {
	rec := running()
	rec.PutBack = []string{"negative_lead_off"}
	assert.Equal(t, "Still changed on the vehicle, and to be undone before it is used: negative lead off", (&draft{rec: rec}).openWork())
}

func TestASuspicionIsReported(t *testing.T) {
	rec := running()
	assert.NotContains(t, render(t, forms["txt"], rec), "Suspected")
	rec.Suspected = []*engine.Finding{{ID: "strap", Title: "Bad strap"}, {ID: "worn", Title: "Worn battery"}}
	assert.Contains(t, render(t, forms["txt"], rec), "Suspected, and its test taken first: Bad strap; worn battery.")
	assert.Equal(t, []string{"strap", "worn"}, NewDocument(rec).Suspected)
}

func TestWhatRemainsIsSaidOnce(t *testing.T) {
	text := strings.Join(strings.Fields(render(t, forms["txt"], finished())), " ")
	assert.Equal(t, 1, strings.Count(strings.ToLower(text), "whether anything else is wrong shows only"))
}

func TestAHazardAskedAgainIsComparedOnlyWhereItChanged(t *testing.T) {
	for after, rows := range map[string]int{"none": 0, "seen": 1} {
		b := build("tree")
		v := b.van()
		v.ice.Hazard = true
		b.said(v.look, v.ice, "none")
		b.next(nil)
		b.said(v.look, v.ice, after)
		assert.Len(t, (&draft{rec: b.rec}).beforeAfter().parts, rows, after)
	}
}

func TestATitleInsideASentenceKeepsItsAbbreviation(t *testing.T) {
	assert.Equal(t, "Worn battery; bad strap; AGM battery", titles([]string{"Worn battery", "Bad strap", "AGM battery"}))
	assert.Empty(t, text.Lower(""))
}

func TestAScaleIsNotDrawnTwice(t *testing.T) {
	both, one := volts(12.21, 0.08, 12.4), volts(12.21, 0.08, 12.8)
	var d drawings
	assert.Len(t, d.add([]part{scales([]engine.Comparison{both, one})[0], para{}}), 2)
	assert.Empty(t, d.add([]part{scales([]engine.Comparison{one})[0]}), "its limit is there already")
	assert.Len(t, d.add([]part{scales([]engine.Comparison{volts(12.21, 0.08, 12.1)})[0]}), 1)
}

// Later rounds are named for what they are, and what only somebody's word decided
// in them is left out.
func TestTheCustomerHearsWhatEachRoundWas(t *testing.T) {
	fitted := &engine.Reading{ID: "fitted", Ask: "Is it in?", Domain: eval.Domain{Kind: eval.Choice, Choices: []string{"in", "not yet"}}}
	word := rests(&engine.Branch{Guard: &eval.Guard{}}, []engine.Fact{{Reading: fitted, Ask: fitted.Ask, Text: "in"}},
		engine.Comparison{Left: "fitted", Reading: fitted, Value: "in", Is: "is", Limit: "in", Holds: "clear"})
	volts := &engine.Reading{ID: "rest", Ask: "Battery voltage at rest", Red: "post", Black: "post"}
	read := rests(&engine.Branch{Guard: &eval.Guard{}}, []engine.Fact{{Reading: volts, Ask: volts.Ask, Text: "12.7 V"}},
		engine.Comparison{Left: "battery voltage at rest", Reading: volts, Value: "12.7 V", Is: "is above", Limit: "12.4 V", Holds: "clear", Drawn: true})
	start, fit := &engine.Tree{Title: "Will not start"}, &engine.Tree{Title: "Fit a battery"}
	round := func(tr *engine.Tree, v engine.Visit) engine.RoundRecord {
		return engine.RoundRecord{Tree: tr, Steps: []engine.Visit{v}, Result: &engine.Result{Finding: &engine.Finding{Title: "Found"}}}
	}
	d := &draft{rec: &engine.Record{Rounds: []engine.RoundRecord{round(start, word), round(fit, word), round(start, read)}}}
	assert.Equal(t, []string{
		"Found. What decided this was “Is it in?”: in.",
		"The next part of the work was “Fit a battery”. Found.",
		"The vehicle was then tested again. Found. What settled it last: battery voltage at rest (12.7 V) is above 12.4 V.",
	}, d.customerWords()[:3])
}
