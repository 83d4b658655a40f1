package engine

import (
	"maps"
	"slices"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// FieldOf is one field of a step: a reading it takes or records.
type FieldOf struct {
	Reading  *Reading
	Slot     int // of the take at this step when a guard names it, else -1
	Optional bool

	step   *Step
	index  int  // among the fields of all steps
	record bool // for the report, decides nothing
}

// pending is an answer that waits for the step that asks for it.
type pending struct {
	ok    bool
	any   bool // good whatever has happened to the vehicle since (a batch gives it so)
	epoch int
	seq   int
	ans   *Answer
	value eval.Value
}

// sample is one answer in use.
type sample struct {
	reading *Reading
	step    *Step
	field   int // index of the field, -1 for a hazard check
	seq     int
	epoch   int
	ans     *Answer
	value   eval.Value
	why     string // of what could not be taken
}

// how says by what a branch was chosen.
type how uint8

const (
	byVerdict how = iota // one branch holds for everything that can be true
	bySame               // too close, but every way leads to the same action
	byBetter             // too close: the better test is taken
	bySafer              // too close: the safer side
	byNominal            // too close, and the author named no safer side
	byUnsure             // "not sure" left it open
	byUnable             // it could not be done
	byHazard             // a hazard rule does not hold
)

// decision is one branch taken.
type decision struct {
	step   *Step
	branch *Branch
	how    how
	others []int  // numbers of the branches that could hold, of a close call
	why    string // of byUnable
	rule   *Rule
	trace  []eval.Trace // of the step's program
	from   int          // number of samples before the step
	to     int
	limit  *eval.Limit // the limit whose safer side was taken, or whose better test
}

// fork is the state just before a close call, kept to see where the other side
// would have led.
type fork struct {
	at    int // index into decisions
	state *state
}

// state is a walk at one moment: the fold of its events over one round.
type state struct {
	t     *Tree
	meter *Meter
	kit   *Kit
	round int

	env   eval.Env
	epoch int
	at    *Step
	end   *Finding
	stuck string
	gate  *Rule

	bare   []pending // by reading
	fields []pending // by field
	doneIn []bool    // by step: an early "done"
	gates  map[gateAnswer]pending
	unable map[*Step]string

	log       []sample
	decisions []decision
	traces    []eval.Trace // room for the traces of all decisions
	forks     []fork
	keepForks bool
	batch     bool   // nobody can be asked: an optional field that is not given is skipped
	asked     []bool // by field: asked and answered in this round
	from      int
	cranks    int
	open      []string // temporary changes not yet put back, the last one first
	shown     *Step    // the step whose page somebody has seen last, and answered
	said      []string
	left      func(*decision) // called for each decision while the answers stand as they were

	suspect     *Finding
	unsuspected *state       // the walk when it was suspected
	handed      []eval.Value // what the round began with: the facts of the one before
}

func newState(t *Tree, m *Meter, kit *Kit) *state {
	s := &state{t: t, meter: m, kit: kit, round: 1}
	s.env.Values = make([]eval.Value, t.slots)
	s.handed = make([]eval.Value, t.slots)
	s.env.Done = make([]bool, len(t.Steps))
	s.bare = make([]pending, len(t.Readings))
	s.fields = make([]pending, t.fields)
	s.doneIn = make([]bool, len(t.Steps))
	s.asked = make([]bool, t.fields)
	s.unable = map[*Step]string{}
	s.gates = map[gateAnswer]pending{}
	s.keepForks = true
	s.at = t.Begin
	return s
}

// reset makes the state as new without giving up its memory.
func (s *state) reset() {
	clear(s.env.Values)
	clear(s.env.Done)
	clear(s.bare)
	clear(s.fields)
	clear(s.doneIn)
	clear(s.asked)
	clear(s.unable)
	clear(s.gates)
	s.log, s.decisions, s.traces, s.forks = s.log[:0], s.decisions[:0], s.traces[:0], s.forks[:0]
	s.open, s.said = s.open[:0], s.said[:0]
	s.epoch, s.cranks, s.from = 0, 0, 0
	s.at, s.end, s.stuck, s.gate = s.t.Begin, nil, "", nil
	s.suspect, s.unsuspected, s.shown = nil, nil, nil
}

// clone copies the state for a look down another way.
func (s *state) clone() *state {
	c := *s
	c.env.Values = slices.Clone(s.env.Values)
	c.env.Done = slices.Clone(s.env.Done)
	c.bare, c.fields = slices.Clone(s.bare), slices.Clone(s.fields)
	c.doneIn, c.asked = slices.Clone(s.doneIn), slices.Clone(s.asked)
	c.log, c.decisions, c.traces = slices.Clone(s.log), slices.Clone(s.decisions), nil
	c.gates, c.unable = maps.Clone(s.gates), maps.Clone(s.unable)
	c.open, c.said, c.forks = slices.Clone(s.open), nil, nil
	c.keepForks, c.left = false, nil
	return &c
}

// has reports whether the kit holds all of some equipment.
func (s *state) has(needs []string) bool {
	if s.kit.Has == nil {
		return true
	}
	for _, n := range needs {
		if !slices.Contains(s.kit.Has, n) {
			return false
		}
	}
	return true
}

// kitChanged asks again for what could not be taken, now that the kit has what it needs.
func (s *state) kitChanged() {
	for _, r := range s.t.Readings {
		if v := &s.env.Values[r.Index]; v.State == eval.Unable && len(r.Needs) > 0 && s.has(r.Needs) {
			*v = eval.Value{}
		}
	}
}

// missing names the first thing the kit lacks.
func (s *state) missing(needs []string) string {
	for _, n := range needs {
		if s.kit.Has != nil && !slices.Contains(s.kit.Has, n) {
			return text.Spoken(n)
		}
	}
	return ""
}

// advance goes on from step to step until something must be asked, the round
// ends, or the tree has nothing to decide on.
func (s *state) advance() {
	for s.at != nil && s.stuck == "" {
		st := s.at
		if !s.has(st.Needs) && st.Unable != nil {
			s.leave(decision{step: st, branch: st.Unable, how: byUnable, why: "there is no " + s.missing(st.Needs)})
			continue
		}
		if why, ok := s.unable[st]; ok {
			delete(s.unable, st)
			s.markUnable(st, why)
			continue
		}
		if s.waiting(st) {
			return
		}
	}
}

// waiting goes through one step: its hazard rules, its fields, its decision. It
// reports whether an answer is needed first.
func (s *state) waiting(st *Step) bool {
	s.gate = nil
	if !s.fresh(st) {
		for _, r := range st.rules {
			switch s.check(r, st) {
			case ask:
				s.gate = r
				return true
			case ended:
				return false
			}
		}
	}
	open, gone := s.fill(st)
	if gone {
		return false
	}
	if open {
		clear := s.certain(st)
		if !clear.stops() && (clear == nil || st.Together || s.recording(st)) && !(s.batch && s.skipOptional(st)) {
			s.shown = st
			return true
		}
	}
	if s.asksDone(st) {
		return true
	}
	s.doneIn[st.Index] = false
	if fd := s.unusable(st); fd != nil && st.Unable != nil {
		why := text.Lower(fd.Reading.Ask) + ": " + stateWords(s.env.Values[fd.Reading.Index].State)
		s.leave(decision{step: st, branch: st.Unable, how: byUnable, why: why})
		return false
	}
	s.decide(st)
	return false
}

// stops reports whether a branch ends all work, which no question holds up.
func (b *Branch) stops() bool { return b != nil && b.To.Finding != nil && b.To.Finding.Stop }

// asksDone reports whether the step asks to be done.
func (s *state) asksDone(st *Step) bool {
	return len(st.fields) == 0 && st.Kind != Decide && !s.doneIn[st.Index] || s.mustShow(st) && !s.certain(st).stops()
}

// mustShow reports whether the step puts back something that is open and nobody has
// seen that yet. Such a step is never passed over, whatever was said beforehand; but
// nobody is there to see a row of a table, or the other side of a close call.
func (s *state) mustShow(st *Step) bool {
	return s.shown != st && s.keepForks && !s.batch && slices.ContainsFunc(st.Restores, func(w string) bool { return slices.Contains(s.open, w) })
}

// fresh reports whether every field of the step is known and need not be asked.
func (s *state) fresh(st *Step) bool {
	if len(st.fields) == 0 {
		return st.Kind == Decide
	}
	for i := range st.fields {
		if !s.passes(&st.fields[i]) {
			return false
		}
	}
	return true
}

// passes reports whether a field needs no answer: it is fresh, or it was passed
// over or could not be taken since the vehicle last changed. A retest and a step that
// changes the vehicle want readings of their own.
func (s *state) passes(fd *FieldOf) bool {
	v := &s.env.Values[fd.Reading.Index]
	if v.Stale || v.State == eval.NotAsked {
		return false
	}
	return !fd.step.Kind.Anew() || s.asked[fd.index]
}

type checked int

const (
	holdsOK checked = iota
	ask
	ended
)

// check holds a hazard rule against what is known, consuming waiting answers.
func (s *state) check(r *Rule, st *Step) checked {
	for {
		switch r.Holds.Eval(&s.env) {
		case eval.True:
			return holdsOK
		case eval.False, eval.Open:
			s.leave(decision{step: st, branch: r.branch(), how: byHazard, rule: r, why: r.Why})
			return ended
		}
		next := s.gateField(r)
		if next == nil {
			s.leave(decision{step: st, branch: r.branch(), how: byHazard, rule: r, why: r.Why})
			return ended
		}
		if !s.consume(next, st) {
			return ask
		}
	}
}

// branch is the way a rule sends the walk when it does not hold.
func (r *Rule) branch() *Branch {
	return &Branch{Index: -1, Text: "not (" + r.Text + ")", To: Target{Finding: r.Else}, Place: r.Place}
}

// gateField is the next reading that a rule needs and that is not fresh; nil
// when what is missing could not be taken.
func (s *state) gateField(r *Rule) *Reading {
	for _, q := range r.Needs {
		v := &s.env.Values[q.Index]
		if v.Stale || v.State == eval.NotAsked {
			return q
		}
	}
	return nil
}

// consume uses an early answer for a hazard check.
func (s *state) consume(r *Reading, st *Step) bool {
	p, own := s.gates[gateAnswer{st, r}]
	if own {
		delete(s.gates, gateAnswer{st, r})
	} else if p = s.bare[r.Index]; !p.ok || !s.timely(&s.bare[r.Index], r) {
		return false
	} else {
		s.bare[r.Index].ok = false
	}
	s.put(sample{reading: r, step: st, field: -1, seq: p.seq, ans: p.ans, value: p.value})
	return true
}

// gateAnswer is where an early answer to a hazard check belongs: before one step.
type gateAnswer struct {
	step    *Step
	reading *Reading
}

// guards reports whether a hazard rule of the step looks at the reading.
func (st *Step) guards(r *Reading) bool {
	return slices.ContainsFunc(st.rules, func(rule *Rule) bool { return slices.Contains(rule.Needs, r) })
}

// timely reports whether an early answer still says something of the vehicle.
func (s *state) timely(p *pending, r *Reading) bool {
	if p.any || r.Fact || p.epoch == s.epoch {
		return true
	}
	p.ok = false
	if s.batch {
		return false
	}
	s.said = append(s.said, "the early answer for "+r.Short+" is from before the vehicle changed and is not used")
	return false
}

// fill consumes waiting answers for the step's fields. open reports that a field
// still needs one; gone that the step was left because equipment is missing.
func (s *state) fill(st *Step) (open, gone bool) {
	for i := range st.fields {
		fd := &st.fields[i]
		if s.passes(fd) || s.consumeField(fd) {
			continue
		}
		if why := s.missing(fd.Reading.Needs); why != "" {
			switch {
			case fd.Optional || fd.Reading.Assume != nil:
				s.put(sample{reading: fd.Reading, step: st, field: fd.index, value: eval.Value{State: eval.Unable}, why: "there is no " + why})
				continue
			case st.Unable != nil:
				s.leave(decision{step: st, branch: st.Unable, how: byUnable, why: "there is no " + why})
				return false, true
			}
		}
		open = true
	}
	return open, false
}

// recording reports whether the step still wants a reading for the report, which
// is asked for however early the decision is clear.
func (s *state) recording(st *Step) bool {
	for i := range st.fields {
		if fd := &st.fields[i]; fd.record && !s.passes(fd) {
			return true
		}
	}
	return false
}

// skipOptional passes over the optional fields of a step when no other is open.
func (s *state) skipOptional(st *Step) bool {
	for i := range st.fields {
		if fd := &st.fields[i]; !fd.Optional && !s.passes(fd) {
			return false
		}
	}
	for i := range st.fields {
		if fd := &st.fields[i]; !s.passes(fd) {
			s.put(sample{reading: fd.Reading, step: st, field: fd.index, value: eval.Value{State: eval.Skipped}})
		}
	}
	return true
}

func (s *state) consumeField(fd *FieldOf) bool {
	p := &s.fields[fd.index]
	if !p.ok {
		p = &s.bare[fd.Reading.Index]
		if !p.ok || !s.timely(p, fd.Reading) || !s.retaken(p, fd) {
			return false
		}
	}
	s.put(sample{reading: fd.Reading, step: fd.step, field: fd.index, seq: p.seq, ans: p.ans, value: p.value, why: textOf(p.ans)})
	p.ok = false
	return true
}

// retaken reports whether an early answer may stand for a retest: not when the
// reading has been taken before, since then it is from before the retest.
func (s *state) retaken(p *pending, fd *FieldOf) bool {
	if !fd.step.Kind.Anew() || s.env.Values[fd.Reading.Index].State == eval.NotAsked {
		return true
	}
	p.ok = false
	if !s.batch {
		s.said = append(s.said, "the early answer for "+fd.Reading.Short+" is from before this "+string(fd.step.Kind)+" and is not used")
	}
	return false
}

func textOf(a *Answer) string {
	if a == nil {
		return ""
	}
	return a.State
}

// put books an answer.
func (s *state) put(t sample) {
	t.epoch = s.epoch
	s.log = append(s.log, t)
	s.env.Values[t.reading.Index] = t.value
	if t.field >= 0 {
		s.asked[t.field] = true
		for i := range t.step.fields {
			if fd := &t.step.fields[i]; fd.index == t.field && fd.Slot >= 0 {
				s.env.Values[fd.Slot] = t.value
			}
		}
	}
}

// changed makes every reading that is not a fact stale, but for those taken at
// this step, which describe the vehicle as it is now.
func (s *state) changed(st *Step) {
	s.epoch++
	for i := range s.env.Values {
		if i >= len(s.t.Readings) || !s.t.Readings[i].Fact {
			s.env.Values[i].Stale = s.env.Values[i].State != eval.NotAsked
		}
	}
	if st == nil {
		return
	}
	for i := s.from; i < len(s.log); i++ {
		if l := &s.log[i]; l.step == st && l.field >= 0 {
			l.epoch = s.epoch
			s.env.Values[l.reading.Index].Stale = false
			for j := range st.fields {
				if fd := &st.fields[j]; fd.index == l.field && fd.Slot >= 0 {
					s.env.Values[fd.Slot].Stale = false
				}
			}
		}
	}
}

// assume lets the wide range of the engine's class stand in for a reading of the
// step that was not taken.
func (s *state) assume(st *Step) {
	for i := range st.fields {
		r := st.fields[i].Reading
		v := &s.env.Values[r.Index]
		if r.Assume == nil || v.State == eval.Taken || v.State == eval.Assumed || v.State == eval.NotAsked {
			continue
		}
		by := &s.env.Values[r.Assume.By.Index]
		if !by.Known() || r.Assume.If != nil && r.Assume.If.Eval(&s.env) != eval.True {
			continue
		}
		s.setAssumed(r, by.Set, &st.fields[i])
	}
}

func (s *state) setAssumed(r *Reading, set uint64, fd *FieldOf) {
	lo, hi, first := 0.0, 0.0, true
	for i, c := range r.Assume.By.Choices {
		if set&(1<<uint(i)) == 0 {
			continue
		}
		a := r.Assume.Ranges[c]
		if first {
			lo, hi, first = a[0], a[1], false
			continue
		}
		lo, hi = min(lo, a[0]), max(hi, a[1])
	}
	mid := (lo + hi) / 2
	v := eval.Value{Best: mid, Below: mid - lo, Above: hi - mid, State: eval.Assumed}
	s.env.Values[r.Index] = v
	if fd.Slot >= 0 {
		s.env.Values[fd.Slot] = v
	}
	for i := len(s.log) - 1; i >= 0; i-- {
		if s.log[i].reading == r {
			s.log[i].value = v
			break
		}
	}
}

// markUnable leaves a step that could not be done.
func (s *state) markUnable(st *Step, why string) {
	for i := range st.fields {
		// What was taken before and is only out of date is asked for again later.
		fd := &st.fields[i]
		if !s.passes(fd) && !s.env.Values[fd.Reading.Index].Stale {
			s.put(sample{reading: fd.Reading, step: st, field: fd.index, value: eval.Value{State: eval.Unable}, why: why})
		}
	}
	s.leave(decision{step: st, branch: st.Unable, how: byUnable, why: why})
}

// unusable is a needed field of the step whose reading would not settle or went
// over the meter's range; nil if there is none.
func (s *state) unusable(st *Step) *FieldOf {
	for i := range st.fields {
		fd := &st.fields[i]
		v := &s.env.Values[fd.Reading.Index]
		if !fd.Optional && fd.Reading.Assume == nil && !v.Stale && (v.State == eval.Unsteady || v.State == eval.OverRange) {
			return fd
		}
	}
	return nil
}

// leave takes a branch out of a step.
func (s *state) leave(d decision) {
	st := d.step
	d.from, d.to = s.from, len(s.log)
	s.from = len(s.log)
	s.decisions = append(s.decisions, d)
	if s.left != nil {
		s.left(&s.decisions[len(s.decisions)-1])
	}
	if d.how != byHazard && d.how != byUnable {
		s.env.Done[st.declared] = true
		s.cranks += s.cranked(&d)
		unseen := s.mustShow(st)
		s.leaveOpen(st.Leaves...)
		if !unseen {
			s.open = slices.DeleteFunc(s.open, func(w string) bool { return slices.Contains(st.Restores, w) })
		}
	}
	if d.how == byUnable && s.shown == st {
		s.leaveOpen(st.Leaves...) // a reading could not be taken: by then it may have been changed
	}
	s.gate = nil
	s.at, s.end = d.branch.To.Step, d.branch.To.Finding
	if s.suspect != nil {
		s.afterSuspect()
	}
}

// leaveOpen notes temporary changes that are to be put back, the last one first.
func (s *state) leaveOpen(words ...string) {
	for _, w := range words {
		if !slices.Contains(s.open, w) {
			s.open = slices.Insert(s.open, 0, w)
		}
	}
}

// cranked counts the cranks that the answers of a step took: one for a step whose
// fields come of one act, else one for each probed reading.
func (s *state) cranked(d *decision) int {
	if d.step.Kind != Crank && d.step.Kind != Jump {
		return 0
	}
	n := 0
	for i := range s.log[d.from:d.to] {
		l := &s.log[d.from+i]
		if l.field < 0 || l.seq == 0 || l.value.State != eval.Taken || s.usedBefore(d.from+i) {
			continue
		}
		if d.step.Together {
			return 1
		}
		if l.reading.Red != "" || l.reading.Clamp != "" || n == 0 {
			n++
		}
	}
	return n
}

// usedBefore reports whether an answer of the log stands there already: it was given in a
// suspicion, and answered again where the walk asked for it.
func (s *state) usedBefore(i int) bool {
	l := &s.log[i]
	return l.seq != 0 && slices.ContainsFunc(s.log[:i], func(o sample) bool { return o.seq == l.seq && o.reading == l.reading })
}

// afterSuspect ends a suspicion that was proved, and goes back to where the walk
// stood when it is dead.
func (s *state) afterSuspect() {
	dead := s.end != nil && s.end != s.suspect || s.at != nil && !s.at.findings.has(s.suspect.Index)
	switch {
	case s.end == s.suspect:
		s.suspect = nil
	case s.end != nil && s.end.Stop:
		s.suspect = nil
	case dead:
		s.resume("not " + text.Lower(s.suspect.Title))
	}
}

// resume ends a suspicion: the walk is where it was before, or at its beginning if the
// vehicle was changed or something was read anew, and what was read answers where it is
// asked for.
func (s *state) resume(why string) {
	read := s.log[len(s.unsuspected.log):]
	again := s.epoch != s.unsuspected.epoch || slices.ContainsFunc(read, func(a sample) bool { return s.unsuspected.env.Values[a.reading.Index].State != eval.NotAsked })
	s.at, s.end = s.unsuspected.at, nil
	s.env.Values, s.env.Done, s.asked = slices.Clone(s.unsuspected.env.Values), slices.Clone(s.unsuspected.env.Done), slices.Clone(s.unsuspected.asked)
	for i := s.unsuspected.from; i < len(s.unsuspected.log); i++ { // the step in the midst of which it was is taken up again
		if l := &s.log[i]; l.field >= 0 && s.at.Kind.Anew() {
			s.asked[l.field] = false
			s.fields[l.field] = pending{ok: true, seq: l.seq, ans: l.ans, value: l.value}
		}
	}
	on := "the walk goes on where it was"
	if again {
		on = "the vehicle is no longer as it was read, so the walk begins again"
		s.at, read = s.t.Begin, s.log
		s.env.Values = slices.Clone(s.handed)
		clear(s.env.Done)
		clear(s.asked)
		clear(s.fields)
	}
	for i := range read {
		if l := &read[i]; l.ans != nil && l.ans.State == "" && (l.reading.Fact || l.epoch == s.epoch) {
			s.bare[l.reading.Index] = pending{ok: true, epoch: s.epoch, seq: l.seq, ans: l.ans, value: l.value}
		}
	}
	s.said = append(s.said, why+": "+on)
	s.suspect, s.unsuspected = nil, nil
}
