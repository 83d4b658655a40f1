package engine

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

const (
	// maxRounds bounds how often a job may begin again after a finding.
	maxRounds = 9
	// longPause is how long a job may lie before its readings no longer describe
	// the vehicle. Source: common practice, no source.
	longPause = time.Hour
)

// Walk is one job on one vehicle: what was said, and where that leaves it. It is
// the only way in for every answerer: a person, a file, a table, a test. It has
// no clock and touches no files.
type Walk struct {
	first  *Tree
	meter  *Meter
	kit    Kit
	kit0   Kit      // at the beginning
	events []Event  // everything that was accepted, in order
	live   []living // what still counts after undo and change
	done   []finishedRound
	s      *state
	visits []Visit // of the round that runs
	cranks int     // attempts, undone ones included
	undone int
	paused int
	notes  []Note
	now    time.Time // of the event being taken
	quiet  bool      // nobody reads why
}

// living is an event that counts, and the form it was part of: answers given to
// one page are taken back together.
type living struct {
	Event
	form form
}

type form struct {
	round, decisions int
	gate             bool
}

func (w *Walk) form() form {
	return form{w.s.round, len(w.s.decisions), w.s.gate != nil}
}

type finishedRound struct {
	s      *state
	visits []Visit
	result *Result
}

// Outcome is what an answer brought about.
type Outcome struct {
	Decided []*Explanation // one for each branch taken, in order
	Refused *Refusal       // set: nothing was taken over from this event on
	Early   []Take         // kept for later steps
	Dropped []Take         // after an undo or a change: answers that no longer apply
	Stale   []*Reading     // readings that have just become old news
	Said    []string       // other things to tell the person
}

// Refusal says why an answer was not taken over.
type Refusal struct {
	Reading *Reading
	Reason  string
	Suggest string // typed text that would be taken: ask once ("150 mV?")
	Odd     string // a question; send the answer again with Sure set to insist
}

// NewWalk begins a job.
func NewWalk(t *Tree, m *Meter, kit Kit) *Walk {
	w := &Walk{first: t, meter: m, kit: kit, kit0: kit}
	w.begin()
	return w
}

// Quiet makes a walk decide without saying why, for the many that nobody reads: an
// explanation holds the step, the branch, the round and whether it is provisional, a
// visit no takes, a prompt no texts, nor what was taken at its step and what is still
// possible, and a result not what was not tested. Decisions, findings and close calls
// stay the same. It is called before the first answer.
func (w *Walk) Quiet() { w.quiet = true }

func (w *Walk) begin() {
	w.s = newState(w.first, w.meter, &w.kit)
	w.done, w.visits = nil, nil
	w.s.left = w.visit
	w.s.advance()
}

// Events are all accepted events, for the job file.
func (w *Walk) Events() []Event { return slices.Clone(w.events) }

// Meter is the meter whose accuracy the walk reckons with.
func (w *Walk) Meter() *Meter { return w.meter }

// Answer takes one or more events in order. The first that is refused ends the
// call; what came before it stands. An error means an event that no answerer
// should send (an unknown reading, a change of an event that is not there).
func (w *Walk) Answer(events ...Event) (*Outcome, error) {
	out := &Outcome{}
	for _, ev := range events {
		ev.Seq = len(w.events) + 1
		if err := w.accept(&ev, out); err != nil {
			return out, err
		}
		if out.Refused != nil {
			return out, nil
		}
		w.events = append(w.events, ev)
	}
	return out, nil
}

// accept applies one event and tells what came of it.
func (w *Walk) accept(ev *Event, out *Outcome) error {
	before, stale := w.total(), w.s.epoch
	round := w.s.round
	var err error
	switch ev.Do {
	case DoUndo:
		w.undo(ev, out)
	case DoChange:
		err = w.change(ev, out)
	case DoNote:
		w.notes = append(w.notes, Note{At: ev.At, Step: w.stepID(), Text: ev.Text})
	case DoPause:
		w.paused++
	case doStillOpen:
		err = fmt.Errorf("%q is not something an event can do", ev.Do)
	default:
		cranks, at := w.s.cranks, w.form()
		if err = w.apply(ev, out); err != nil || out.Refused != nil {
			return err
		}
		w.live = append(w.live, living{*ev, at})
		if w.s.round == round {
			w.cranks += w.s.cranks - cranks
		}
	}
	if err != nil || out.Refused != nil {
		return err
	}
	if n := w.total(); n > before {
		all := w.explanations()
		out.Decided = append(out.Decided, all[before:n]...)
	}
	if w.s.epoch > stale && w.s.round == round {
		for _, r := range w.s.t.Readings {
			if w.s.env.Values[r.Index].Stale {
				out.Stale = append(out.Stale, r)
			}
		}
	}
	out.Said = append(out.Said, w.s.said...)
	w.s.said = w.s.said[:0]
	return nil
}

func (w *Walk) stepID() string {
	if w.s.at == nil {
		return ""
	}
	return w.s.at.ID
}

// total counts the decisions of all rounds.
func (w *Walk) total() int {
	n := len(w.visits)
	for _, r := range w.done {
		n += len(r.visits)
	}
	return n
}

func (w *Walk) explanations() []*Explanation {
	var out []*Explanation
	for _, r := range w.done {
		for _, v := range r.visits {
			out = append(out, v.Explanation)
		}
	}
	for _, v := range w.visits {
		out = append(out, v.Explanation)
	}
	return out
}

// when is the time of an accepted event.
func (w *Walk) when(seq int) time.Time {
	if seq < 1 || seq > len(w.events) {
		return time.Time{}
	}
	return w.events[seq-1].At
}

// apply is the fold itself: one event that counts, onto the state.
func (w *Walk) apply(ev *Event, out *Outcome) error {
	s := w.s
	var err error
	switch ev.Do {
	case DoAnswer:
		err = w.answer(ev, out)
	case DoSkip:
		err = w.skip(ev, out)
	case DoDone:
		err = w.markDone(ev)
	case DoUnable:
		err = w.cannot(ev, out)
	case DoSuspect:
		w.suspect(ev, out)
	case DoPutBack:
		if !slices.Contains(s.open, ev.Text) {
			out.Refused = &Refusal{Reason: fmt.Sprintf("%q is not open on this vehicle: there is nothing to put back", ev.Text)}
			return nil
		}
		s.open = slices.DeleteFunc(s.open, func(x string) bool { return x == ev.Text })
	case doStillOpen:
		s.leaveOpen(ev.Text)
	case DoKit:
		if ev.Kit != nil {
			w.kit = *ev.Kit
			s.kitChanged()
		}
	case DoResume:
		if away, perr := time.ParseDuration(ev.Away); perr == nil && away >= longPause {
			s.changed(nil)
			s.said = append(s.said, "the job lay for "+away.Round(time.Minute).String()+": readings from before the pause are taken again")
		}
	case DoRound:
		err = w.nextRound()
	default:
		return fmt.Errorf("%q is not something an event can do", ev.Do)
	}
	if err != nil || out.Refused != nil {
		return err
	}
	w.now = ev.At
	w.s.advance()
	return nil
}

// reading finds the reading that an event names.
func (s *state) reading(id string) (*Reading, error) {
	v := s.t.scope.vars[id]
	if v == nil {
		return nil, fmt.Errorf("%q is not a reading of tree %q", id, s.t.Name)
	}
	return s.t.scope.byVar[v], nil
}

// step finds a step by name: the whole path, or the last part of it where that
// is enough.
func (t *Tree) step(id string) (*Step, error) {
	if st := t.scope.steps[id]; st != nil {
		return st, nil
	}
	var found *Step
	for _, st := range t.Steps {
		if len(st.ID) > len(id) && st.ID[len(st.ID)-len(id)-1:] == "/"+id {
			if found != nil {
				return nil, fmt.Errorf("%q could be step %q or %q; write the whole path", id, found.ID, st.ID)
			}
			found = st
		}
	}
	if found == nil {
		return nil, fmt.Errorf("%q is not a step of tree %q", id, t.Name)
	}
	return found, nil
}

func (w *Walk) answer(ev *Event, out *Outcome) error {
	s := w.s
	r, err := s.reading(ev.Reading)
	if err != nil {
		return err
	}
	if ev.Answer == nil {
		return fmt.Errorf("the answer for %q is missing", ev.Reading)
	}
	if out.Refused = w.refuse(r, ev.Answer); out.Refused != nil {
		return nil
	}
	p := pending{ok: true, epoch: s.epoch, seq: ev.Seq, ans: ev.Answer, value: w.meter.measure(r, ev.Answer)}
	if ev.Answer.Assumed {
		p.value.State = eval.Assumed
	}
	if s.at != nil && (ev.Step == "" || s.here(ev.Step)) {
		first := s.stuck == "" && len(s.wanted()) > 0 && s.wanted()[0].reading == r
		if s.use(r, p) {
			if l := s.latest(r); !first && l != nil {
				out.Said = append(out.Said, text.Lower(strings.TrimSuffix(r.Ask, "?"))+": "+valueText(r, &l.value))
			}
			return nil
		}
	}
	if ev.Step != "" {
		st, err := s.t.step(ev.Step)
		if err != nil {
			return err
		}
		for i := range st.fields {
			if st.fields[i].Reading == r {
				p.any = true
				s.fields[st.fields[i].index] = p
				return nil
			}
		}
	}
	s.bare[r.Index] = p
	out.Early = append(out.Early, w.takeOf(s, sample{reading: r, field: -1, seq: ev.Seq, ans: ev.Answer, value: p.value, epoch: s.epoch}))
	return nil
}

func (s *state) here(id string) bool {
	st, err := s.t.step(id)
	return err == nil && st == s.at
}

// use takes an answer for a field or a hazard check that is open right now.
func (s *state) use(r *Reading, p pending) bool {
	if s.gate != nil {
		if slices.Contains(s.gate.Needs, r) {
			s.put(sample{reading: r, step: s.at, field: -1, seq: p.seq, ans: p.ans, value: p.value, why: p.ans.State})
			return true
		}
		return false
	}
	for i := range s.at.fields {
		fd := &s.at.fields[i]
		// What has been answered on this page already may be said again.
		if fd.Reading == r && (!s.passes(fd) || s.justAnswered(fd)) {
			s.leaveOpen(s.at.Leaves...) // whoever reads something here has begun the step
			s.put(sample{reading: r, step: s.at, field: fd.index, seq: p.seq, ans: p.ans, value: p.value, why: p.ans.State})
			return true
		}
	}
	return false
}

// justAnswered reports whether a field was answered since the step was entered.
func (s *state) justAnswered(fd *FieldOf) bool {
	for i := range s.log[s.from:] {
		if s.log[s.from+i].field == fd.index {
			return true
		}
	}
	return false
}

// refuse holds an answer against the reading's span, choices and odd questions.
func (w *Walk) refuse(r *Reading, a *Answer) *Refusal {
	switch a.State {
	case "":
	case "unsteady", "over range":
		return nil
	default:
		return &Refusal{Reading: r, Reason: fmt.Sprintf("%q was given in place of a value, where unsteady or over range can stand", a.State)}
	}
	if ref := r.fits(a, w.meter); ref != nil {
		return ref
	}
	if a.Sure {
		return nil
	}
	s := w.s
	old := s.env.Values[r.Index]
	s.env.Values[r.Index] = w.meter.measure(r, a)
	defer func() { s.env.Values[r.Index] = old }()
	for _, o := range r.Odd {
		if v := o.If.Eval(&s.env); v == eval.True {
			return &Refusal{Reading: r, Odd: o.Ask, Reason: "this is an unlikely answer"}
		}
	}
	return nil
}

func (w *Walk) skip(ev *Event, out *Outcome) error {
	s := w.s
	r, err := s.reading(ev.Reading)
	if err != nil {
		return err
	}
	st := s.at
	if ev.Step != "" {
		if st, err = s.t.step(ev.Step); err != nil {
			return err
		}
	}
	if st == nil {
		return nil
	}
	for i := range st.fields {
		fd := &st.fields[i]
		if fd.Reading != r {
			continue
		}
		if !fd.Optional {
			out.Refused = &Refusal{Reading: r, Reason: "this reading is needed to go on and cannot be skipped; say `unable` if it cannot be taken"}
			return nil
		}
		skipped := eval.Value{State: eval.Skipped}
		if st == s.at {
			s.put(sample{reading: r, step: st, field: fd.index, seq: ev.Seq, value: skipped})
			return nil
		}
		s.fields[fd.index] = pending{ok: true, any: true, seq: ev.Seq, value: skipped}
		return nil
	}
	return nil
}

func (w *Walk) markDone(ev *Event) error {
	st := w.s.at
	if ev.Step != "" {
		var err error
		if st, err = w.s.t.step(ev.Step); err != nil {
			return err
		}
	}
	if st != nil {
		w.s.doneIn[st.Index] = true
	}
	if st == w.s.at && w.s.gate == nil {
		w.s.shown = st
	}
	return nil
}

func (w *Walk) cannot(ev *Event, out *Outcome) error {
	s := w.s
	st := s.at
	if ev.Step != "" {
		var err error
		if st, err = s.t.step(ev.Step); err != nil {
			return err
		}
	}
	if st == nil {
		return nil
	}
	if st == s.at && s.gate != nil {
		out.Refused = &Refusal{Reason: "a hazard check cannot be passed over; if it cannot be answered, stop here"}
		return nil
	}
	if st.Unable == nil {
		out.Refused = &Refusal{Reason: "this step has no other way on: take it, or pause"}
		return nil
	}
	why := ev.Text
	if why == "" {
		why = "no reason given"
	}
	s.unable[st] = why
	return nil
}

// suspect goes to the one step that proves or kills a finding.
func (w *Walk) suspect(ev *Event, out *Outcome) {
	s := w.s
	f := s.t.finding(ev.Text)
	if f == nil {
		out.Refused = &Refusal{Reason: fmt.Sprintf("%q is not a finding of this tree", ev.Text)}
		return
	}
	st := s.t.proves(f)
	if st == nil || s.at == nil {
		out.Refused = &Refusal{Reason: fmt.Sprintf("no single test proves %q; go on in order", f.Title)}
		return
	}
	if st != s.at {
		s.suspectAt(f, st)
	}
}

// suspectAt goes to the step that proves f. Of one suspicion on top of another the first
// says where the walk goes on.
func (s *state) suspectAt(f *Finding, st *Step) {
	if s.suspect == nil {
		s.unsuspected = s.clone()
	}
	s.suspect, s.at, s.gate = f, st, nil
}

func (t *Tree) finding(id string) *Finding {
	for _, f := range t.Findings {
		if f.ID == id {
			return f
		}
	}
	return nil
}

// proves is the step that proves a finding: the one `prove_by` names, or the
// first that takes the reading it names.
func (t *Tree) proves(f *Finding) *Step {
	if st, err := t.step(f.ProveBy); err == nil {
		return st
	}
	for _, st := range t.Steps {
		if st.field(f.ProveBy) != nil && st.findings.has(f.Index) {
			return st
		}
	}
	return nil
}

// nextRound begins again after a finding was acted on: facts are kept, the rest
// is taken anew.
func (w *Walk) nextRound() error {
	s := w.s
	if s.end == nil || s.end.Then == nil {
		return fmt.Errorf("this round has not ended in a finding with a next round")
	}
	if s.round >= maxRounds {
		return fmt.Errorf("a job has at most %d rounds; close it and begin another", maxRounds)
	}
	t := s.t.lib.Tree(s.end.Then.Tree)
	if t == nil {
		return fmt.Errorf("tree %q is not in this library", s.end.Then.Tree)
	}
	w.done = append(w.done, finishedRound{s: s, visits: w.visits, result: w.result(s)})
	n := newState(t, w.meter, &w.kit)
	n.round = s.round + 1
	n.open = slices.Clone(s.open)
	for _, r := range s.t.Readings {
		to := t.scope.vars[r.ID]
		if v := s.env.Values[r.Index]; r.Fact && to != nil && v.State != eval.NotAsked {
			n.env.Values[to.Slot] = v
		}
	}
	n.handed = slices.Clone(n.env.Values)
	w.s, w.visits = n, nil
	n.left = w.visit
	w.proveRepair(s.end)
	return nil
}

// proveRepair begins a round with the reading that proved the fault, so that the
// repair is proved before anything else, and goes on from the beginning then.
func (w *Walk) proveRepair(f *Finding) {
	n := w.s
	same := n.t.finding(f.ID)
	if same == nil || f.Stop {
		return
	}
	st := n.t.proves(same)
	if st == nil || st == n.at {
		return
	}
	n.suspectAt(same, st)
	n.said = append(n.said, "first the reading that proved it, taken again: "+text.Lower(st.Title))
}

// fold works the state out anew from what still counts.
func (w *Walk) fold() {
	w.kit = w.kit0
	w.begin()
	for i := range w.live {
		ev := w.live[i].Event
		out := &Outcome{}
		// An answer that no longer fits is simply not used; change and undo name it.
		_ = w.apply(&ev, out)
	}
	w.s.said = w.s.said[:0]
}

// answers reports whether an event is one that undo takes back.
func (d Do) answers() bool {
	return d == DoAnswer || d == DoSkip || d == DoUnable || d == DoDone || d == DoSuspect || d == DoRound
}

// undo takes back the last Count answers, or all answers of the last step when
// Count is 0.
func (w *Walk) undo(ev *Event, out *Outcome) {
	n := ev.Count
	if n == 0 {
		n = w.lastForm()
	}
	used, open := w.inUse(), slices.Clone(w.s.open)
	for ; n > 0; n-- {
		i := len(w.live) - 1
		for i >= 0 && !w.live[i].Do.answers() {
			i--
		}
		if i < 0 {
			break
		}
		w.live = slices.Delete(w.live, i, i+1)
		w.undone++
	}
	w.fold()
	w.dropped(used, out)
	w.stillOpen(open, ev)
}

// doStillOpen stands among the events that count, and in no file: what was left open
// by an answer that was taken back or changed is still so on the vehicle.
const doStillOpen Do = "still open"

// stillOpen keeps on the list what was on it before answers were taken back.
func (w *Walk) stillOpen(before []string, ev *Event) {
	for _, word := range before {
		if slices.Contains(w.s.open, word) {
			continue
		}
		w.live = append(w.live, living{Event{Seq: ev.Seq, At: ev.At, Do: doStillOpen, Text: word}, w.form()})
		w.s.leaveOpen(word)
		w.s.said = append(w.s.said, "still to be put back, unless it was never done: "+text.Spoken(word))
	}
}

// lastForm counts the answers that were given on the page answered last.
func (w *Walk) lastForm() int {
	n, last := 0, form{}
	for i := len(w.live) - 1; i >= 0; i-- {
		ev := &w.live[i]
		if !ev.Do.answers() {
			continue
		}
		if n == 0 {
			last = ev.form
		} else if ev.form != last {
			break
		}
		n++
	}
	return n
}

// change replaces an earlier answer. Later answers that still hold are kept, the
// others are named in the outcome.
func (w *Walk) change(ev *Event, out *Outcome) error {
	i := slices.IndexFunc(w.live, func(e living) bool { return e.Seq == ev.Count && e.Do == DoAnswer })
	if i < 0 || ev.Answer == nil {
		return fmt.Errorf("event %d is not an answer that can be changed", ev.Count)
	}
	r, err := w.s.reading(w.live[i].Reading)
	if err != nil {
		return err
	}
	if out.Refused = w.refuse(r, ev.Answer); out.Refused != nil {
		return nil
	}
	used, open := w.inUse(), slices.Clone(w.s.open)
	w.live[i].Answer = ev.Answer
	w.fold()
	w.dropped(used, out)
	w.stillOpen(open, ev)
	return nil
}

// inUse is the set of events whose answers count now.
func (w *Walk) inUse() map[int]bool {
	m := map[int]bool{}
	for _, r := range w.done {
		for _, l := range r.s.log {
			m[l.seq] = true
		}
	}
	for _, l := range w.s.log {
		m[l.seq] = true
	}
	return m
}

// dropped names the answers that counted before and do not now.
func (w *Walk) dropped(before map[int]bool, out *Outcome) {
	now := w.inUse()
	for i := range w.live {
		ev := &w.live[i]
		if ev.Do != DoAnswer || !before[ev.Seq] || now[ev.Seq] {
			continue
		}
		if r, err := w.s.reading(ev.Reading); err == nil {
			out.Dropped = append(out.Dropped, w.takeOf(w.s, sample{reading: r, field: -1, seq: ev.Seq, ans: ev.Answer, value: w.meter.measure(r, ev.Answer)}))
		}
	}
}
