package engine

import (
	"slices"
	"strings"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// How an explanation is made: from the trace of the decision and the answers as
// they stood, slot by slot, so that every number in it is one that decided.

// visit books one decision with its explanation.
func (w *Walk) visit(d *decision) {
	v := Visit{Step: d.step, At: w.now, Explanation: w.explain(d)}
	if w.quiet {
		w.visits = append(w.visits, v)
		return
	}
	for _, l := range w.s.log[d.from:d.to] {
		v.Takes = append(v.Takes, w.takeOf(w.s, l))
	}
	w.visits = append(w.visits, v)
}

func (w *Walk) explain(d *decision) *Explanation {
	s := w.s
	x := &Explanation{Step: d.step, Branch: d.branch, Round: s.round, Provisional: d.how == bySafer || d.how == byNominal}
	if w.quiet {
		return x
	}
	x.Claim = claim(d, &s.env)
	atoms := deciding(d)
	x.Facts = w.facts(d, atoms)
	for _, i := range atoms {
		x.Rules = append(x.Rules, w.comparison(d.step.prog.Atoms[i], d.trace[i]))
	}
	if d.rule != nil {
		x.Rules = w.ruleComparisons(d.rule)
	}
	if x.Claim == "" {
		x.Claim = fromRules(d, x.Rules)
	}
	w.foil(d, x)
	x.Sure = sure(d)
	for _, f := range d.clears() {
		x.Clears = append(x.Clears, f.Title)
	}
	x.NotYet = w.notYet(d)
	x.Next = next(d)
	return x
}

// ruleComparisons lists what kept a hazard rule from holding.
func (w *Walk) ruleComparisons(r *Rule) []Comparison {
	prog := r.Holds.Program()
	trace := make([]eval.Trace, len(prog.Atoms))
	prog.Run(&w.s.env, trace)
	var out []Comparison
	for _, i := range r.Holds.Deciding(trace) {
		out = append(out, w.comparison(prog.Atoms[i], trace[i]))
	}
	return out
}

// claim is what the branch comes to: the author's words, or where it leads.
func claim(d *decision, env *eval.Env) string {
	if !d.branch.Say.Empty() && d.how != byBetter {
		return text.Stop(d.branch.Say.Over(env))
	}
	if f := d.branch.To.Finding; f != nil {
		return text.Stop(f.Title)
	}
	switch d.how {
	case byUnable:
		return text.Stop(d.step.Title + ": could not be done")
	case byBetter, bySafer, byNominal:
		return text.Stop(d.step.Title + ": too close to call; going on to " + quoted(targetTitle(d.branch.To)))
	case byUnsure:
		return text.Stop(d.step.Title + ": not sure")
	}
	return ""
}

// fromRules makes a claim of what decided, where the author made none.
func fromRules(d *decision, rules []Comparison) string {
	for _, r := range rules {
		if r.Limit != "" {
			return text.Stop(text.Capital(r.Left + " " + r.Is + " " + r.Limit))
		}
	}
	return text.Stop(d.step.Title + ": done")
}

func quoted(s string) string { return "\"" + s + "\"" }

// clears lists what the branch rules out: nothing when it was taken on a close
// call, since the other side may be true.
func (d *decision) clears() []*Finding {
	if d.how == byVerdict || d.how == bySame {
		return d.branch.Clears
	}
	return nil
}

// readable turns a guard into words.
func readable(text string) string {
	return strings.NewReplacer("limits.", "", "_", " ", "==", "is", "!=", "is not", `"`, "").Replace(text)
}

// deciding lists the comparisons that carried the branch, or that kept the one
// not taken from holding when a rule has no guard of its own.
func deciding(d *decision) []int {
	if d.trace == nil {
		return nil
	}
	if d.branch.Index < 0 || d.how == byUnsure || d.how == byBetter {
		return openAtoms(d)
	}
	if d.branch.Guard == nil {
		return nil
	}
	atoms := d.branch.Guard.Deciding(d.trace)
	if d.how != byVerdict {
		for _, i := range openAtoms(d) {
			if !containsInt(atoms, i) {
				atoms = append(atoms, i)
			}
		}
	}
	return atoms
}

func openAtoms(d *decision) []int {
	var out []int
	for i, t := range d.trace {
		of := d.step.prog.Atoms[i].Of
		if (t.Verdict == eval.Open || t.Verdict == eval.Unknown) && (of == nil || of.Speaks(d.trace) == i) {
			out = append(out, i)
		}
	}
	return out
}

func containsInt(list []int, x int) bool {
	for _, v := range list {
		if v == x {
			return true
		}
	}
	return false
}

func targetTitle(to Target) string {
	if to.Finding != nil {
		return text.Lower(to.Finding.Title)
	}
	if to.Step != nil {
		return text.Lower(to.Step.Title)
	}
	return "nothing"
}

// sure says how far the branch can be relied on and what settled it.
func sure(d *decision) string {
	switch d.how {
	case byVerdict:
		if hasAssumed(d) {
			return "It holds for everything that can be true, an assumed range included."
		}
		return "It holds for everything that can be true of these readings."
	case bySame:
		return "Too close to call, but every way it can fall leads to the same action, so nothing more need be measured."
	case byBetter:
		if d.limit != nil {
			return "Too close to call with this meter: a better test decides instead."
		}
		return "Too close to call: a better test decides instead."
	case bySafer:
		c := CloseCall{}
		c.Margin, c.Doubt, c.Unit = closest(d)
		return "Too close to call: the safer side was taken, so this is provisional." + ratio(c.Margin, c.Doubt)
	case byNominal:
		return "Too close to call: the best value was taken, so this is provisional."
	case byUnsure:
		return "\"Not sure\" leaves this open; the walk goes the way the tree keeps for that."
	case byUnable:
		return "Not tested: " + d.why + "."
	}
	return "A hazard rule does not hold: " + text.Stop(d.why)
}

func hasAssumed(d *decision) bool {
	for _, t := range d.trace {
		if t.Diff.Assumed {
			return true
		}
	}
	return false
}

// notYet says what this decision tells nothing about.
func (w *Walk) notYet(d *decision) string {
	var out []string
	for _, l := range w.s.log[d.from:d.to] {
		if c := l.reading.Cannot; !c.Empty() && l.value.State == eval.Taken {
			if s := text.Stop(text.Capital(c.Over(&w.s.env))); !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return strings.Join(out, " ")
}

func next(d *decision) string {
	to := d.branch.To
	if to.Finding != nil {
		return ""
	}
	s := "Next: " + text.Lower(to.Step.Title)
	return text.Stop(s)
}

// Brief is the explanation in one line: the claim and the comparison that was
// nearest to falling the other way.
func (x *Explanation) Brief() string {
	b := strings.TrimSuffix(x.Claim, ".")
	var best *Comparison
	for i := range x.Rules {
		r := &x.Rules[i]
		if r.Limit == "" || best != nil && (!r.Drawn || best.Drawn && best.nearness() <= r.nearness()) {
			continue
		}
		best = r
	}
	if best != nil && best.Drawn && !x.plain() && !strings.HasPrefix(text.Lower(b), best.Left+" "+best.Is) {
		b += ": " + strings.TrimSuffix(best.short(), ".")
	}
	if x.Provisional {
		b += " (provisional)"
	}
	return text.Stop(b)
}

// plain reports whether the author's claim says it all: that of a branch taken
// because none of the others holds.
func (x *Explanation) plain() bool {
	return x.Branch.Guard != nil && x.Branch.Guard.Otherwise && !x.Branch.Say.Empty()
}

// Lines is the whole explanation, one slot a line, in the fixed order.
func (x *Explanation) Lines() []string {
	out := []string{x.Claim}
	add := func(label, text string) {
		if text != "" {
			out = append(out, label+text)
		}
	}
	for _, f := range x.Facts {
		add("Read: ", f.sentence())
	}
	for _, r := range x.Rules {
		add("Held against: ", r.sentence())
	}
	add("", x.Foil)
	add("", x.Flip)
	add("How sure: ", x.Sure)
	if len(x.Clears) > 0 {
		add("Ruled out: ", text.Stop(text.Lower(strings.Join(x.Clears, "; "))))
	}
	add("Not shown by this: ", x.NotYet)
	add("", x.Next)
	return out
}
