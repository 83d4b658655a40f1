package engine

import (
	"fmt"
	"math"
	"strings"

	"deadflat/internal/eval"
	"deadflat/internal/unit"
)

// How an explanation is made: from the trace of the decision and the answers as
// they stood, slot by slot, so that every number in it is one that decided.

// visit books one decision with its explanation.
func (w *Walk) visit(d *decision) {
	v := Visit{Step: d.step, At: w.now, Explanation: w.explain(d)}
	for _, l := range w.s.log[d.from:d.to] {
		v.Takes = append(v.Takes, w.takeOf(w.s, l))
	}
	w.visits = append(w.visits, v)
}

func (w *Walk) explain(d *decision) *Explanation {
	s := w.s
	x := &Explanation{Step: d.step, Branch: d.branch, Round: s.round, Claim: claim(d, &s.env), Provisional: d.how == bySafer || d.how == byNominal}
	atoms := deciding(d)
	x.Facts = w.facts(d, atoms)
	for _, i := range atoms {
		x.Rules = append(x.Rules, w.comparison(d, i))
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

// claim is what the branch comes to: the author's words, or where it leads.
func claim(d *decision, env *eval.Env) string {
	if !d.branch.Say.Empty() && d.how != byBetter {
		return sentence(d.branch.Say.Over(env))
	}
	if f := d.branch.To.Finding; f != nil {
		return sentence(f.Title)
	}
	switch d.how {
	case byUnable:
		return sentence(d.step.Title + ": could not be done")
	case byBetter, bySafer, byNominal:
		return sentence(d.step.Title + ": too close to call; going on to " + quoted(targetTitle(d.branch.To)))
	case byUnsure:
		return sentence(d.step.Title + ": not sure")
	}
	return ""
}

// fromRules makes a claim of what decided, where the author made none.
func fromRules(d *decision, rules []Comparison) string {
	for _, r := range rules {
		if r.Limit != "" {
			return sentence(upperFirst(r.Left + " " + r.Is + " " + r.Limit))
		}
	}
	return sentence(d.step.Title + ": done")
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

func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?") {
		return s
	}
	return s + "."
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
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
		if t.Verdict == eval.Open || t.Verdict == eval.Unknown {
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

// facts lists the readings that the deciding comparisons looked at, and those
// taken at the step.
func (w *Walk) facts(d *decision, atoms []int) []Fact {
	s := w.s
	var out []Fact
	seen := map[*Reading]bool{}
	add := func(r *Reading, v *eval.Value) {
		if seen[r] || v.State == eval.NotAsked {
			return
		}
		seen[r] = true
		l := s.latest(r)
		f := Fact{Reading: r, Ask: r.Ask, Assumed: v.State == eval.Assumed, Place: place(r)}
		f.Best = v.Best
		f.Lo, f.Hi = v.Range()
		if r.Number() {
			f.Lo, f.Hi = math.Max(f.Lo, math.Min(r.Span[0], f.Best)), math.Min(f.Hi, math.Max(r.Span[1], f.Best))
		}
		f.Text = valueText(r, v)
		f.How = w.howTaken(r, v, l)
		out = append(out, f)
	}
	for _, i := range atoms {
		for _, v := range d.step.decide.prog.Atoms[i].Vars() {
			add(s.t.scope.byVar[v], &s.env.Values[v.Slot])
		}
	}
	if d.rule != nil {
		for _, r := range d.rule.Needs {
			add(r, &s.env.Values[r.Index])
		}
	}
	for i := range s.log[d.from:d.to] {
		l := &s.log[d.from+i]
		add(l.reading, &l.value)
	}
	return out
}

// valueText is an answer with its doubt.
func valueText(r *Reading, v *eval.Value) string {
	switch v.State {
	case eval.Skipped, eval.Unable, eval.Unsteady, eval.OverRange, eval.NotAsked:
		return stateWords(v.State)
	}
	if !r.Number() {
		if v.Set == 1<<uint(len(r.Choices))-1 && len(r.Choices) > 1 {
			return "not sure"
		}
		return strings.Join((&eval.Var{Choices: r.Choices}).Words(v.Set), " or ")
	}
	lo, hi := v.Range()
	if v.State == eval.Assumed {
		return show(lo, r.Unit) + " to " + show(hi, r.Unit) + ", assumed"
	}
	switch {
	case hi >= r.Span[1] && v.Above > v.Below:
		return showPlain(v.Best, r.Unit) + " or more (lowest hold)"
	case lo <= r.Span[0] && v.Below > v.Above:
		return showPlain(v.Best, r.Unit) + " or less (highest hold)"
	}
	return showDoubt(v.Best, lo, hi, r.Unit)
}

// place says where a reading was taken.
func place(r *Reading) string {
	switch {
	case r.Red != "":
		return "from " + words(r.Red) + " to " + words(r.Black)
	case r.Clamp != "":
		return "clamp round " + words(r.Clamp)
	}
	return ""
}

func (w *Walk) howTaken(r *Reading, v *eval.Value, l *taken) string {
	switch v.State {
	case eval.Assumed:
		if r.Assume != nil {
			return "assumed from " + lowerFirst(r.Assume.By.Ask) + " (" + r.Assume.Source + ")"
		}
		return "assumed"
	case eval.Unable, eval.Skipped, eval.Unsteady, eval.OverRange:
		if l != nil {
			return l.why
		}
		return ""
	}
	var parts []string
	switch {
	case l != nil && l.ans != nil && l.ans.Held != "":
		parts = append(parts, l.ans.Held+" hold")
	case r.Meter != "none" && r.Hold != "":
		parts = append(parts, holdWords(r.Hold))
	}
	switch {
	case r.Meter != "none" && w.meter != nil:
		parts = append(parts, w.meter.Name+" meter")
	case r.Sees != "":
		parts = append(parts, "seen")
	case len(parts) == 0:
		parts = append(parts, "asked")
	}
	return strings.Join(parts, ", ")
}

func holdWords(h string) string {
	switch h {
	case "settled":
		return "settled display"
	case "plateau":
		return "figure the display keeps returning to"
	case "ripple":
		return "alternating part"
	case "first":
		return "first moment"
	case "lowest", "highest":
		return h + " hold"
	}
	return strings.Replace(h, "at: ", "after ", 1)
}

// takeOf lays out one answer for reading.
func (w *Walk) takeOf(s *state, l taken) Take {
	t := Take{Seq: l.seq, Reading: l.reading, Step: l.step, Round: s.round, State: takeState(l.value.State),
		Text: valueText(l.reading, &l.value), How: w.howTaken(l.reading, &l.value, &l), Best: l.value.Best,
		Stale: l.epoch != s.epoch && !l.reading.Fact}
	if l.ans != nil {
		t.Answer = *l.ans
	}
	t.Lo, t.Hi = l.value.Range()
	if l.reading.Number() {
		t.Lo, t.Hi = math.Max(t.Lo, math.Min(l.reading.Span[0], t.Best)), math.Min(t.Hi, math.Max(l.reading.Span[1], t.Best))
	}
	if l.value.State == eval.Unable && l.why != "" {
		t.Text += ": " + l.why
	}
	return t
}

func takeState(s eval.State) string {
	return [...]string{"", "taken", "assumed", "skipped", "unable", "unsteady", "over range"}[s]
}

// comparison lays out one deciding comparison.
func (w *Walk) comparison(d *decision, i int) Comparison {
	a, t := d.step.decide.prog.Atoms[i], d.trace[i]
	c := Comparison{Holds: t.Verdict.String()}
	switch a.Kind {
	case eval.OneOf:
		v := &w.s.env.Values[a.Var.Slot]
		r := w.s.t.scope.byVar[a.Var]
		c.Left, c.Value, c.Reading = nameOf(a.Var), valueText(r, v), r
		c.Is, c.Limit = "is", strings.Join(a.Var.Words(a.Set), " or ")
		if t.Verdict == eval.False {
			c.Is = "is not"
		}
		if c.Value == c.Limit {
			c.Value = ""
		}
		return c
	case eval.KnownIs:
		c.Left, c.Is = nameOf(a.Var), "is known"
		if t.Verdict == eval.False {
			c.Is = "is not known"
		}
		return c
	case eval.DoneIs:
		c.Left, c.Is = w.s.t.stepBorn(a.Step).Title, "was done"
		if t.Verdict == eval.False {
			c.Is = "was not done"
		}
		return c
	}
	return w.numbers(a, t)
}

func (t *Tree) stepBorn(i int) *Step {
	for _, s := range t.Steps {
		if s.born == i {
			return s
		}
	}
	return t.Begin
}

// sides puts the reading on the left and the limit on the right, whichever way
// the author wrote it.
func sides(a *eval.Atom) (reading, limit *eval.Linear, written string) {
	reading, limit, written = a.Left, a.Right, a.Written
	if len(a.Left.Terms) == 0 && len(a.Right.Terms) > 0 || len(a.Left.Limits) > 0 && len(a.Right.Limits) == 0 && onlyLimits(a.Left) {
		reading, limit = a.Right, a.Left
		written = map[string]string{"<": ">", "<=": ">=", ">": "<", ">=": "<="}[a.Written]
	}
	return
}

// onlyLimits reports whether a sum holds no plain reading.
func onlyLimits(l *eval.Linear) bool {
	for _, t := range l.Terms {
		if t.Table == nil && t.Cases == nil {
			return false
		}
	}
	return true
}

func (w *Walk) numbers(a *eval.Atom, t eval.Trace) Comparison {
	s := w.s
	left, right, written := sides(a)
	l, r := left.Over(s.env.Values), right.Over(s.env.Values)
	u := w.unitFor(a)
	c := Comparison{Left: w.nameOf(left), Holds: t.Verdict.String(), UnitName: u.Name}
	if t.Verdict == eval.Unknown {
		c.Limit = w.limitName(right)
		return c
	}
	lo, hi := l.Lo, l.Hi
	if len(left.Terms) == 1 && left.Terms[0].Var != nil {
		rd := s.t.scope.byVar[left.Terms[0].Var]
		c.Reading = rd
		c.Value = valueText(rd, &s.env.Values[left.Terms[0].Var.Slot])
		lo, hi = math.Max(lo, math.Min(rd.Span[0], l.Best)), math.Min(hi, math.Max(rd.Span[1], l.Best))
	} else {
		c.Value = showDoubt(l.Best, l.Lo, l.Hi, u)
	}
	c.Is = isWords(written, t)
	if t.Verdict == eval.Open {
		c.Is = "is too close to"
	}
	c.Limit = limitText(r, u)
	if name := w.limitName(right); name != "" {
		c.Limit += " (" + name + ")"
	}
	margin, doubt := t.Margin()
	c.Margin = marginText(margin, doubt, u)
	c.Source = sourceOf(a.Diff)
	c.Drawn, c.Best, c.Lo, c.Hi, c.LimitLo, c.LimitHi = true, l.Best, lo, hi, r.Lo, r.Hi
	return c
}

// isWords says on which side of the limit the best value lies.
func isWords(written string, t eval.Trace) string {
	holds := t.Nominal
	switch written {
	case "<", ">=":
		if holds == (written == "<") {
			return "is below"
		}
		return "is at or above"
	case ">", "<=":
		if holds == (written == ">") {
			return "is above"
		}
		return "is at or below"
	}
	if holds {
		return "is exactly"
	}
	return "is not"
}

func limitText(r eval.Interval, u *unit.Unit) string {
	if showPlain(r.Lo, u) == showPlain(r.Hi, u) {
		return showPlain(r.Best, u)
	}
	return showPlain(r.Best, u) + ", itself between " + showPlain(r.Lo, u) + " and " + showPlain(r.Hi, u)
}

// marginText is the distance to the limit, and how many times the doubt it is.
func marginText(margin, doubt float64, u *unit.Unit) string {
	m := showWidth2(margin, u)
	switch {
	case doubt < 1e-9:
		return m
	case margin >= doubt*99:
		return m + ", far beyond any doubt"
	}
	return fmt.Sprintf("%s, %.1f times the doubt", m, margin/doubt)
}

// showWidth2 prints a difference without rounding it up.
func showWidth2(x float64, u *unit.Unit) string {
	if u.Dim.Point {
		u, _ = unit.Lookup("K")
	}
	return showPlain(x, u)
}

func sourceOf(l *eval.Linear) string {
	var out []string
	for _, lim := range l.Limits {
		if lim.Source != "" && !containsString(out, lim.Source) {
			out = append(out, lim.Source)
		}
	}
	return strings.Join(out, "; ")
}

func containsString(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// unitFor is the unit a comparison is shown in: that of a reading or limit in it.
func (w *Walk) unitFor(a *eval.Atom) *unit.Unit {
	for _, side := range []*eval.Linear{a.Left, a.Right} {
		for _, t := range side.Terms {
			if t.Var != nil && t.Table == nil && t.Cases == nil && t.Var.Dim == side.Dim {
				return t.Var.Unit
			}
		}
		for _, l := range side.Limits {
			if l.Unit.Dim == side.Dim {
				return l.Unit
			}
		}
	}
	for _, name := range unit.Names() {
		if u, _ := unit.Lookup(name); u != nil && u.Dim == a.Left.Dim && u.Base(1) == 1 {
			return u
		}
	}
	u, _ := unit.Lookup("1")
	return u
}

// nameOf names a sum by its readings.
func (w *Walk) nameOf(l *eval.Linear) string {
	if len(l.Terms) == 1 && l.Terms[0].Var != nil && l.Terms[0].Table == nil && l.Terms[0].Cases == nil {
		return nameOf(l.Terms[0].Var)
	}
	if d := w.s.t.scope.values[l.Text]; d != nil {
		return titleOf(d)
	}
	return readable(l.Text)
}

// nameOf is what a sentence calls a reading: its title, or its short form where
// the title is a question.
func nameOf(v *eval.Var) string {
	if strings.HasSuffix(v.Title, "?") {
		id := v.ID
		if _, name, ok := strings.Cut(id, "."); ok {
			id = name
		}
		return words(id)
	}
	return lowerFirst(v.Title)
}

func (w *Walk) limitName(l *eval.Linear) string {
	if d := w.s.t.scope.values[l.Text]; d != nil {
		return titleOf(d)
	}
	if !onlyLimits(l) {
		return readable(l.Text)
	}
	var out []string
	for _, lim := range l.Limits {
		name := lim.Title
		if name == "" {
			name = words(lim.ID)
		}
		if !containsString(out, name) {
			out = append(out, name)
		}
	}
	return strings.Join(out, ", ")
}

func targetTitle(to Target) string {
	if to.Finding != nil {
		return lowerFirst(to.Finding.Title)
	}
	if to.Step != nil {
		return lowerFirst(to.Step.Title)
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
	return "A hazard rule does not hold: " + sentence(d.why)
}

func ratio(margin, doubt float64) string {
	if doubt <= 0 {
		return ""
	}
	return fmt.Sprintf(" The margin is %.1f times the doubt.", margin/doubt)
}

func hasAssumed(d *decision) bool {
	for _, t := range d.trace {
		if t.Diff.Assumed {
			return true
		}
	}
	return false
}

// closest is the open comparison with the smallest margin for its doubt.
func closest(d *decision) (margin, doubt float64, unitName string) {
	best := math.Inf(1)
	for i, t := range d.trace {
		a := d.step.decide.prog.Atoms[i]
		if t.Verdict != eval.Open || a.Kind != eval.Compare {
			continue
		}
		m, dt := t.Margin()
		if f := m / math.Max(dt, 1e-12); f < best {
			best, margin, doubt = f, m, dt
			unitName = a.Diff.Dim.String()
		}
	}
	return
}

// closeText is one close call in a sentence.
func closeText(d *decision, c *CloseCall) string {
	b := "At \"" + d.step.Title + "\" the readings are too close to a limit to call"
	if c.Doubt > 0 {
		b += fmt.Sprintf(" (the margin is %.1f times the doubt)", c.Margin/c.Doubt)
	}
	switch d.how {
	case bySame:
		return b + "; every way leads to the same action."
	case byBetter:
		return b + "; the better test \"" + targetTitle(d.branch.To) + "\" was taken instead."
	case byUnsure:
		return "At \"" + d.step.Title + "\" the answer was \"not sure\"."
	}
	b += "; the walk went on to \"" + targetTitle(d.branch.To) + "\""
	switch {
	case c.Matters:
		return b + ", and the other side would have ended in another action."
	case c.Ends != "":
		return b + ", and where the other side ends is not known without more readings."
	}
	return b + ", and the other side ends in the same action."
}

// notYet says what this decision tells nothing about.
func (w *Walk) notYet(d *decision) string {
	var out []string
	for _, l := range w.s.log[d.from:d.to] {
		if c := l.reading.Cannot; !c.Empty() && l.value.State == eval.Taken {
			out = append(out, sentence(upperFirst(c.Over(&w.s.env))))
		}
	}
	return strings.Join(out, " ")
}

func next(d *decision) string {
	to := d.branch.To
	if to.Finding != nil {
		return ""
	}
	s := "Next: " + lowerFirst(to.Step.Title)
	return sentence(s)
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
	if best != nil && !strings.HasPrefix(lowerFirst(b), best.Left+" "+best.Is) {
		b += ": " + strings.TrimSuffix(best.short(), ".")
	}
	if x.Provisional {
		b += " (provisional)"
	}
	return sentence(b)
}

// nearness is the margin over the width of what can be true; small is near.
func (c *Comparison) nearness() float64 {
	return math.Abs(c.Best-(c.LimitLo+c.LimitHi)/2) / math.Max(c.Hi-c.Lo, 1e-9)
}

// short is the comparison without margin and source.
func (c *Comparison) short() string {
	return strings.Join(strings.Fields(c.Left+" "+c.Value+" "+c.Is+" "+c.Limit), " ")
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
		add("Ruled out: ", sentence(lowerFirst(strings.Join(x.Clears, "; "))))
	}
	add("Not shown by this: ", x.NotYet)
	add("", x.Next)
	return out
}

func (f *Fact) sentence() string {
	s := lowerFirst(f.Ask) + ": " + f.Text
	if strings.HasSuffix(f.Ask, "?") {
		s = f.Ask + " " + upperFirst(f.Text)
	}
	var extra []string
	for _, e := range []string{f.Place, f.How} {
		if e != "" {
			extra = append(extra, e)
		}
	}
	if len(extra) > 0 {
		s += " (" + strings.Join(extra, ", ") + ")"
	}
	return sentence(s)
}

func (c *Comparison) sentence() string {
	s := c.short()
	if c.Margin != "" {
		s += ", by " + c.Margin
	}
	if c.Source != "" {
		s += ". Source: " + c.Source
	}
	return sentence(s)
}
