package report

import (
	"fmt"
	"math"
	"strings"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// builder makes records by hand, in the shapes that the engine gives them. The
// scenario is invented: a van with a corroded positive clamp, repaired and
// proved in a second round.
type builder struct {
	rec   *engine.Record
	tree  *engine.Tree
	round int
	seq   int
	at    time.Time
}

func build(title string) *builder {
	tree := &engine.Tree{
		Name: "no-start", Title: title, Edition: 3, Author: "A. Trainer", Review: engine.Review{By: "B. Foreman", Day: "2031-02-01"}, Changed: "2031-01-20",
		Hash: "sha256:" + strings.Repeat("0a1b2c3d", 8),
	}
	begun := time.Date(2031, 3, 4, 9, 2, 0, 0, time.UTC)
	return &builder{
		tree: tree, at: begun, round: 1,
		rec: &engine.Record{
			Tree: tree, Begun: begun, Kit: engine.Kit{Meter: "workshop", Has: []string{"meter", "clamp", "charger"}},
			Rounds: []engine.RoundRecord{{Tree: tree}},
		},
	}
}

// done finishes the record.
func (b *builder) done(next *engine.Prompt) *engine.Record {
	b.rec.Ended, b.rec.Next = b.at, next
	return b.rec
}

func (b *builder) volts(id, ask, red, black string) *engine.Reading {
	return b.reading(&engine.Reading{ID: id, Ask: ask, Domain: eval.Domain{Unit: unitOf("V"), Span: [2]float64{-15, 18}}, Red: red, Black: black})
}

func (b *builder) choice(id, ask string, choices ...string) *engine.Reading {
	return b.reading(&engine.Reading{ID: id, Ask: ask, Domain: eval.Domain{Kind: eval.Choice, Choices: choices}})
}

func (b *builder) fact(r *engine.Reading) *engine.Reading { r.Fact = true; return r }

func (b *builder) reading(r *engine.Reading) *engine.Reading {
	r.Index = len(b.tree.Readings)
	b.tree.Readings = append(b.tree.Readings, r)
	return r
}

func (b *builder) step(id, title string, kind engine.Kind) *engine.Step {
	s := &engine.Step{Index: len(b.tree.Steps), ID: id, Title: title, Kind: kind}
	b.tree.Steps = append(b.tree.Steps, s)
	return s
}

func (b *builder) finding(f *engine.Finding) *engine.Finding {
	f.Index = len(b.tree.Findings)
	b.tree.Findings = append(b.tree.Findings, f)
	return f
}

func unitOf(name string) *unit.Unit {
	u, ok := unit.Lookup(name)
	if !ok {
		panic("no unit " + name)
	}
	return u
}

// took is a measured number: value and doubt in the reading's unit.
func (b *builder) took(s *engine.Step, r *engine.Reading, value, doubt float64) engine.Take {
	u := r.Unit
	text := fmt.Sprintf("%.2f %s ± %.2f %s", value, u.Name, doubt, u.Name)
	return b.take(engine.Take{
		Step: s, Reading: r, Text: text, State: "taken", How: "settled display, workshop meter",
		Best: u.Base(value), Lo: u.Base(value - doubt), Hi: u.Base(value + doubt),
	})
}

// said is a choice.
func (b *builder) said(s *engine.Step, r *engine.Reading, choice string) engine.Take {
	return b.take(engine.Take{Step: s, Reading: r, Text: choice, State: "taken", How: "seen", Answer: engine.Answer{Choice: []string{choice}}})
}

func (b *builder) take(t engine.Take) engine.Take {
	b.seq++
	t.Seq, t.Round, t.At = b.seq, b.round, b.at.Add(4*time.Minute)
	b.rec.Takes = append(b.rec.Takes, t)
	return t
}

// visit passes a step a few minutes later.
func (b *builder) visit(s *engine.Step, e *engine.Explanation, takes ...engine.Take) {
	b.at = b.at.Add(4 * time.Minute)
	if e != nil {
		e.Step, e.Round = s, b.round
	}
	r := &b.rec.Rounds[len(b.rec.Rounds)-1]
	r.Steps = append(r.Steps, engine.Visit{Step: s, Takes: takes, Explanation: e, At: b.at})
}

// next begins the next round: everything taken so far that is not a fact is
// stale.
func (b *builder) next(r *engine.Result) {
	b.rec.Rounds[len(b.rec.Rounds)-1].Result = r
	for i := range b.rec.Takes {
		b.rec.Takes[i].Stale = !b.rec.Takes[i].Reading.Fact
	}
	b.rec.Rounds = append(b.rec.Rounds, engine.RoundRecord{Tree: b.tree})
	b.round++
	b.at = b.at.Add(40 * time.Minute)
}

// read is a take as an explanation shows it.
func read(t engine.Take, place string) engine.Fact {
	return engine.Fact{Reading: t.Reading, Ask: t.Reading.Ask, Text: t.Text, Place: place, How: t.How, Best: t.Best, Lo: t.Lo, Hi: t.Hi, Assumed: t.State == "assumed"}
}

// against holds a take against a limit in the reading's unit.
func against(t engine.Take, is string, lo, hi float64, label, holds, margin, source string) engine.Comparison {
	u := t.Reading.Unit
	return engine.Comparison{
		Left: text.Lower(t.Reading.Ask), Value: t.Text, Is: is, Limit: label, Holds: holds, Margin: margin, Source: source,
		Drawn: true, Best: t.Best, Lo: t.Lo, Hi: t.Hi, LimitLo: u.Base(lo), LimitHi: u.Base(hi), UnitName: u.Name, Reading: t.Reading,
	}
}

// van is the readings, steps and findings of the sample.
type van struct {
	rest, crank, path, joint                 *engine.Reading
	chemistry, odometer, turned, ice         *engine.Reading
	restStep, look, crankStep, pathStep, fix *engine.Step
	clamp, cable, worn, clear                *engine.Finding
}

func (b *builder) van() van {
	v := van{
		chemistry: b.fact(b.choice("chemistry", "Type on the battery's label", "flooded", "efb", "agm", "gel")),
		odometer:  b.fact(b.reading(&engine.Reading{ID: "odometer", Ask: "Odometer", Domain: eval.Domain{Unit: unitOf("m"), Span: [2]float64{0, 1e10}}})),
		ice:       b.choice("ice", "Ice in the battery", "none", "seen"),
		rest:      b.volts("rest_voltage", "Battery voltage at rest", "battery_positive_post", "battery_negative_post"),
		crank:     b.volts("crank_voltage", "Voltage at the posts while cranking", "battery_positive_post", "battery_negative_post"),
		turned:    b.choice("turned", "How the engine turned", "normally", "slowly", "not at all"),
		path:      b.volts("positive_drop", "Voltage drop over the whole positive path", "battery_positive_post", "starter_feed_stud"),
		joint:     b.volts("joint_drop", "Voltage drop between positive post and clamp", "battery_positive_post", "battery_positive_clamp"),
		look:      b.step("first_look", "First look", engine.Inspect),
		restStep:  b.step("rest", "Rest voltage", engine.Measure),
		crankStep: b.step("crank", "Crank and read at the posts", engine.Crank),
		pathStep:  b.step("positive", "Positive path while cranking", engine.Crank),
		fix:       b.step("split_positive", "Split the positive path", engine.Crank),
	}
	v.pathStep.Take = []*engine.Reading{v.path}
	v.crankStep.Leaves = []string{"fuel_pump_fuse_out"}
	v.clamp = b.finding(&engine.Finding{
		ID: "positive_joint", Title: "High resistance between the positive post and its clamp", Faults: []string{"positive_joint_resistance"},
		Action: "clean_joint", ProveBy: "positive",
		Cautions: []string{
			"Ignition off and key away before a clamp is loosened; take the negative clamp off first and fit it last.",
			"Follow the vehicle's own instructions for disconnecting the battery.",
		},
	})
	v.cable = b.finding(&engine.Finding{ID: "positive_cable", Title: "High resistance in the positive cable"})
	v.worn = b.finding(&engine.Finding{ID: "worn_out", Title: "Battery worn out"})
	v.clear = b.finding(&engine.Finding{ID: "no_fault_found", Title: "No fault found while tested", ProveBy: "crank"})
	return v
}

// finished is the whole sample: a finding, its repair, and the round that
// proves it.
func finished() *engine.Record {
	b := build("Vehicle will not start")
	v := b.van()
	b.rec.Notes = []engine.Note{
		{At: b.at, Step: "first_look", Text: "vehicle: delivery van, diesel, workshop order 1187"},
		{At: b.at.Add(time.Minute), Step: "first_look", Text: "customer: It groans in the morning and clicks after the second try"},
		{At: b.at.Add(20 * time.Minute), Step: "positive", Text: "White growth under the positive clamp, felt warm after the crank"},
		{At: b.at.Add(21 * time.Minute), Text: "declined: new clamp, the old one was cleaned and kept"},
		{At: b.at.Add(22 * time.Minute), Text: "advice: look at the joint again in a year"},
	}
	b.firstRound(v)
	b.secondRound(v)
	return b.done(&engine.Prompt{Tree: b.tree, Round: 2, Cranks: 3, Result: b.rec.Rounds[1].Result})
}

func (b *builder) firstRound(v van) {
	chem, odo, ice := b.said(v.look, v.chemistry, "flooded"), b.took(v.look, v.odometer, 148210000, 0), b.said(v.look, v.ice, "none")
	b.rec.Takes[1].Text = "148,210 km"
	b.visit(v.look, &engine.Explanation{
		Claim: "Nothing forbids testing.", Facts: []engine.Fact{read(chem, ""), read(ice, "")},
		Rules:  []engine.Comparison{{Left: "ice in the battery", Value: "none", Is: "is", Limit: "none", Holds: "clear", Source: "definition"}},
		NotYet: "Whether the battery is good.", Next: "Rest voltage, because it shows how much charge there is.", Sure: "Clear.",
	}, chem, odo, ice)
	rest := b.took(v.restStep, v.rest, 12.46, 0.08)
	b.visit(v.restStep, restExplained(rest), rest)
	crank, turned := b.took(v.crankStep, v.crank, 11.12, 0.07), b.said(v.crankStep, v.turned, "slowly")
	b.visit(v.crankStep, crankExplained(crank, turned), crank, turned)
	path := b.took(v.pathStep, v.path, 1.84, 0.02)
	b.visit(v.pathStep, pathExplained(path), path)
	joint := b.took(v.fix, v.joint, 1.52, 0.02)
	b.visit(v.fix, jointExplained(joint, v), joint)
	b.rec.Undone, b.rec.Cranks = 1, 3
	b.next(&engine.Result{
		Finding: v.clamp, Certainty: engine.Firm,
		Close: []engine.CloseCall{{
			Step: v.restStep, How: "same action", Margin: 0.06, Doubt: 0.08, Unit: "V",
			Text: "At \"Rest voltage\" the readings are too close to a limit to call (the margin is 0.8 times the doubt); every way leads to the same action.",
		}},
		Remedy:   "Clean the post and the inside of the clamp to bright metal, fit and tighten, and protect the joint against acid.",
		Customer: "The battery can do its work, but the clamp on its positive post let too little current through to the starter because it was corroded. The clamp has to be cleaned and tightened; a new battery would not have helped.",
		Open:     "Whether anything else is wrong shows only when the starter gets its full current again.",
		Cleared:  []*engine.Finding{v.cable},
		NotTested: []engine.NotTested{
			{Finding: v.worn, Why: "not asked on this way: no load test was needed to find this fault"},
		},
		CanGoOn: true,
	})
}

func (b *builder) secondRound(v van) {
	ice := b.said(v.look, v.ice, "none")
	b.visit(v.look, nil, ice)
	crank, turned := b.took(v.crankStep, v.crank, 11.42, 0.07), b.said(v.crankStep, v.turned, "normally")
	b.visit(v.crankStep, crankExplained(crank, turned), crank, turned)
	path := b.took(v.pathStep, v.path, 0.31, 0.01)
	b.visit(v.pathStep, provedExplained(path), path)
	b.rec.Rounds[1].Result = &engine.Result{
		Finding: v.clear, Certainty: engine.Firm,
		Customer:  "After the repair the engine turned as it should and the joint lost no more voltage than it may. No other fault was found while it was tested.",
		NotTested: []engine.NotTested{{Finding: v.worn, Why: "not asked on this way"}},
	}
	b.rec.Readings = []engine.ReadingState{
		{Reading: v.rest, State: "stale"}, {Reading: v.crank, State: "taken"},
		{Reading: v.joint, State: "unable", Take: &engine.Take{Reading: v.joint, Text: "could not be taken: cover riveted on"}},
	}
}

func restExplained(rest engine.Take) *engine.Explanation {
	const practice = "common practice, no source"
	return &engine.Explanation{
		Claim: "Charged enough to test, though only just.", Facts: []engine.Fact{read(rest, "at the battery posts")},
		Rules: []engine.Comparison{
			against(rest, "is at or above", 1, 1, "1.00 V (no voltage)", "clear", "11.46 V, many times the doubt", practice),
			against(rest, "is too close to", 12.4, 12.4, "12.40 V (charged enough to test)", "too close to call", "0.06 V, 0.8 times the doubt", practice),
			against(rest, "is below", 13.1, 13.1, "13.10 V (charged by something else)", "clear", "0.64 V, 8 times the doubt", practice),
		},
		Foil: "Charging first was not chosen, because both ways lead to the crank test.", Flip: "A reading 0.07 V lower would have led to charging first.",
		Sure: "Close, and settled so: both sides of the limit lead to the same step.", NotYet: "Whether the battery is good under load.",
		Next: "Crank and read at the posts, because that shows the battery at its real work.",
	}
}

func crankExplained(crank, turned engine.Take) *engine.Explanation {
	return &engine.Explanation{
		Claim: "The battery holds up while cranking.", Facts: []engine.Fact{read(crank, "at the battery posts"), read(turned, "")},
		Rules: []engine.Comparison{
			against(crank, "is at or above", 9.55, 9.62, "9.60 V ± 0.03 V (floor while cranking at 19 °C)", "clear", "1.50 V, many times the doubt", "common practice, no source"),
		},
		Foil: "A failed battery was not chosen, because the posts stayed above the floor.", Flip: "A reading of 9.55 V or less would have led to the load test.",
		Sure: "Clear.", NotYet: "Whether the battery would hold a full load test.", Next: "The positive path, because the engine's speed must have another reason.",
	}
}

func pathExplained(path engine.Take) *engine.Explanation {
	return &engine.Explanation{
		Claim: "Too much voltage is lost on the positive side.", Facts: []engine.Fact{read(path, "from the positive post to the feed stud")},
		Rules: []engine.Comparison{
			against(path, "is above", 0.38, 0.52, "0.45 V ± 0.07 V (allowed positive drop)", "clear", "1.39 V, many times the doubt", "TM 10-3930-671-24, Volt Drop Tests"),
		},
		Foil: "The earth path was not chosen, because the positive path alone explains the loss.", Flip: "A drop of 0.36 V or less would have led to the earth path.",
		Sure: "Clear.", Next: "Split the positive path, because joint, cable and contact lie on it.",
	}
}

func jointExplained(joint engine.Take, v van) *engine.Explanation {
	return &engine.Explanation{
		Branch: &engine.Branch{Text: "joint_drop > joint_allowed", To: engine.Target{Finding: v.clamp}},
		Claim:  "The joint at the positive post is at fault.", Facts: []engine.Fact{read(joint, "from the post itself to the clamp")},
		Rules: []engine.Comparison{
			against(joint, "is above", 0.1, 0.1, "0.10 V (allowed over one joint)", "clear", "1.42 V, many times the doubt", "common practice, no source"),
		},
		Foil: "The cable was not chosen, because the joint alone loses nearly all of it.", Flip: "A drop of 0.10 V or less would have led to the cable.",
		Sure: "Clear.", Clears: []string{"High resistance in the positive cable"}, Next: "Finding: high resistance between the positive post and its clamp.",
	}
}

func provedExplained(path engine.Take) *engine.Explanation {
	e := pathExplained(path)
	e.Claim = "The positive side is good now."
	e.Rules[0].Is, e.Rules[0].Holds, e.Rules[0].Margin = "is at or below", "clear", "0.07 V, 7 times the doubt"
	e.Foil, e.Flip, e.Next = "The joint was not chosen again, because the drop is now within what is allowed.", "A drop of 0.53 V or more would have led back to the joint.", "Finding: no fault found while tested."
	return e
}

// running is a walk that was left after its first steps.
func running() *engine.Record {
	b := build("Vehicle will not start")
	v := b.van()
	ice := b.said(v.look, v.ice, "none")
	b.visit(v.look, nil, ice)
	rest := b.take(engine.Take{
		Step: v.restStep, Reading: v.rest, Text: "12.30 V or more", State: "taken", How: "lowest hold, workshop meter",
		Best: 12.3, Lo: 12.22, Hi: 18,
	})
	b.visit(v.restStep, restExplained(rest), rest)
	b.rec.PutBack, b.rec.Back = []string{"fuel_pump_fuse_out"}, map[string]string{"fuel_pump_fuse_out": "Ignition off, and the fuse back in its slot."}
	b.rec.Paused = 1
	return b.done(&engine.Prompt{
		Tree: b.tree, Round: 1, Step: v.crankStep, Fewest: 2, Most: 5,
		Fields:   []engine.Field{{Reading: v.crank, Name: "crank_voltage", Before: &engine.Take{Text: "10.90 V ± 0.07 V"}}, {Reading: v.turned, Name: "turned", Optional: true}},
		Cautions: []string{"Gear in neutral or park, brake on, wheels chocked, nobody in front, behind or under the vehicle."},
		Possible: []*engine.Finding{v.clamp, v.cable, v.worn},
	})
}

// hostile is a record whose every text tries to be something else.
func hostile(text string) *engine.Record {
	b := build(text)
	b.tree.Name, b.tree.Author, b.tree.Review.Said, b.tree.Changed, b.tree.Hash = text, text, text, text, text
	r := b.volts(text, text, text, text)
	c := b.fact(b.choice(text, text, text))
	s := b.step(text, text, engine.Measure)
	s.Leaves = []string{text}
	f := b.finding(&engine.Finding{ID: text, Title: text, Faults: []string{text}, Action: text, ProveBy: text, Cautions: []string{text}, Stop: true})
	num, word := b.took(s, r, 1, 0.1), b.said(s, c, text)
	num.Text, num.How = text, text
	rules := []engine.Comparison{
		against(num, text, 2, 2, text, "clear", text, text),
		against(num, text, 0.5, 0.7, text, "too close to call", text, text),
		against(num, text, 1e9, 1e9, text, "clear", text, text),
	}
	b.visit(s, &engine.Explanation{
		Branch: &engine.Branch{Text: text}, Claim: text, Facts: []engine.Fact{read(num, text), read(word, text)}, Rules: rules,
		Foil: text, Flip: text, Sure: text, Clears: []string{text}, NotYet: text, Next: text, Provisional: true,
	}, num, word)
	b.rec.Notes = []engine.Note{{At: b.at, Step: text, Text: text}, {At: b.at, Text: "vehicle: " + text}, {At: b.at, Text: "declined: " + text}}
	b.rec.Kit = engine.Kit{Meter: text, Has: []string{text}}
	b.rec.PutBack, b.rec.Back = []string{text}, map[string]string{text: text}
	b.rec.Dropped = []engine.Take{num}
	b.rec.Readings = []engine.ReadingState{{Reading: r, State: "unable", Take: &num}}
	result := &engine.Result{
		Finding: f, Certainty: engine.Likely, Close: []engine.CloseCall{{Step: s, Text: text, How: text, Margin: 1, Doubt: math.Inf(1)}},
		Remedy: text, Customer: text, Open: text, Cleared: []*engine.Finding{f}, NotTested: []engine.NotTested{{Finding: f, Why: text}},
	}
	b.rec.Rounds[0].Result = result
	b.next(result)
	b.take(engine.Take{Step: s, Reading: r, Text: text, How: text, State: "taken"})
	return b.done(&engine.Prompt{
		Tree: b.tree, Round: 2, Step: s, Fewest: 1, Most: 2, Gate: &engine.Rule{Why: text}, Cautions: []string{text},
		Fields: []engine.Field{{Reading: r, Before: &num}}, Possible: []*engine.Finding{f},
	})
}
