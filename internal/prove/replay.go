package prove

import (
	"math/big"
	"math/bits"
	"math/rand/v2"
	"slices"
	"strings"

	"deadflat/internal/engine"
)

// A fault of a step is told as certain only when the engine itself walks to it. The state
// in which it was found names the steps of one way, and the branch of each is a list of
// cells, so answers are drawn out of those cells; the last take of each reading that the
// witness names is drawn out of the witness. Ways are merged where many meet, so there may
// be no such walk: then the fault is undecided.

// What is tried: walks for one fault, and the steps and readings that the walks of all faults
// of a tree begin with.
const (
	mostReplays = 300
	mostWalked  = 3_000_000
)

// replay looks for a walk that is stuck at the last step of a way.
type replay struct {
	f      *flow
	first  *engine.Tree // of the first round
	meter  *engine.Meter
	way    []*engine.Step
	st     *state
	wanted map[int]domain // how the readings of the witness stand, by slot
	exact  map[int]*big.Rat
	random *rand.Rand
	stuck  string                                  // what the engine says then
	early  bool                                    // one of two branches may be taken before the other is clear
	to     *engine.Finding                         // where the way ends, if not at a step
	tells  func(*engine.Walk, []engine.Event) bool // or what the walk is looked for by
	roomy  bool                                    // numbers lie well away from limits where they can
	tries  int
}

// stuckBy is what the engine says of each sort of fault.
var stuckBy = map[string]string{"gap": "no branch holds", "overlap": "more than one branch holds", "missing": "cannot be decided without"}

// replay gives the answers of a walk that is stuck at s in a state, or nil. The tree may be
// begun after a finding of one of some trees.
func (f *flow) replay(m *engine.Meter, trees []*engine.Tree, s *engine.Step, st *state, p *problem, b box, sort string) []string {
	if f.walked > mostWalked {
		return nil
	}
	r := f.replayTo(m, s, st, p.wanted(b), p.numbersIn(b))
	r.stuck, r.early = stuckBy[sort], sort == "overlap" && mayLeaveEarly(s)
	if told := r.from(nil, nil, 0); told != nil {
		return told
	}
	return r.laterRound(trees)
}

// laterRound goes the way in a round that begins after a finding of one of some trees.
func (r *replay) laterRound(trees []*engine.Tree) []string {
	for _, t := range trees {
		var ends []*engine.Finding
		for _, x := range t.Findings {
			if x.Then != nil && x.Then.Tree == r.f.t.Name {
				ends = append(ends, x)
			}
		}
		if len(ends) == 0 {
			continue
		}
		m, err := newModel(t)
		if err != nil {
			continue
		}
		var events []engine.Event
		begin := &replay{f: newFlow(m), first: t, meter: r.meter, st: &state{}, random: r.random}
		begin.tells = func(w *engine.Walk, all []engine.Event) bool {
			end := w.Next().Result
			events = append(all, engine.Event{At: begun, Do: engine.DoRound})
			return end != nil && end.Finding == begin.to && end.CanGoOn
		}
		for range mostRounds {
			if r.f.walked += begin.f.walked; r.f.walked > mostWalked {
				return nil
			}
			begin.f.walked = len(t.Steps)
			begin.to, begin.tries = ends[r.random.IntN(len(ends))], 0
			begin.way = begin.wayFrom(t.Begin)
			if told := begin.from(nil, nil, 0); told != nil {
				r.first, r.tries = t, 0
				if found := r.after(events, append(told, "go on")); found != nil {
					return found
				}
			}
		}
	}
	return nil
}

// mostRounds bounds the first rounds that are tried for one fault.
const mostRounds = 8

// wayFrom is one way from a step to the finding in which the way is to end.
func (r *replay) wayFrom(s *engine.Step) (way []*engine.Step) {
	for s != nil {
		way = append(way, s)
		var on []*engine.Step
		for _, to := range targets(s) {
			if to.Finding == r.to || to.Step != nil && to.Step.LeadsTo(r.to) {
				on = append(on, to.Step)
			}
		}
		if len(on) == 0 {
			break
		}
		s = on[r.random.IntN(len(on))]
	}
	return way
}

// after goes the way in a round that some answers have begun, once what proves the repair is taken.
func (r *replay) after(events []engine.Event, told []string) []string {
	w := engine.NewWalk(r.first, r.meter, engine.Kit{})
	if out, err := w.Answer(events...); err != nil || out.Refused != nil {
		return nil
	}
	own := r.way
	if at := w.Next().Step; at != nil && at != own[0] {
		r.way = append([]*engine.Step{at}, own...)
	}
	found := r.from(events, told, 0)
	r.way = own
	return found
}

// wanted is how the readings stand in a box, by slot.
func (p *problem) wanted(b box) map[int]domain {
	out := map[int]domain{}
	for i, d := range p.dims {
		if d < len(p.m.axes) {
			out[d] = b[i]
		}
	}
	return out
}

// replayTo gets ready for walks to s in a state.
func (f *flow) replayTo(m *engine.Meter, s *engine.Step, st *state, wanted map[int]domain, exact map[int]*big.Rat) *replay {
	r := &replay{f: f, first: f.t, meter: m, st: st, wanted: wanted, exact: exact, random: rand.New(rand.NewPCG(1, 2))}
	r.way = []*engine.Step{s}
	for t := st.way; t != nil; t = t.from {
		r.way = append(r.way, t.step)
	}
	slices.Reverse(r.way)
	return r
}

// replayUnread gives the answers of a walk to a finding without something it should have,
// or nil.
func (f *flow) replayUnread(m *engine.Meter, u *unread) []string {
	r := &replay{f: f, first: f.t, meter: m, st: u.st, to: u.x, way: u.st.without(u.mark), wanted: map[int]domain{}, random: rand.New(rand.NewPCG(1, 2))}
	r.tells = func(w *engine.Walk, _ []engine.Event) bool { return u.shown(w.Next().Result) }
	return r.from(nil, nil, 0)
}

// shown reports whether a result is of the finding, and lacks what it should have.
func (u *unread) shown(r *engine.Result) bool {
	if r == nil || r.Finding != u.x {
		return false
	}
	if u.rest < 0 {
		return true
	}
	return slices.ContainsFunc(r.Missing, func(m engine.Missing) bool { return m.Evidence.String() == u.name })
}

// from goes on from some answers that lead to step k of the way.
func (r *replay) from(events []engine.Event, told []string, k int) []string {
	for range 20 {
		if r.tries++; r.tries > mostReplays {
			return nil
		}
		r.f.walked += len(r.first.Steps) + len(r.first.Readings)
		w := engine.NewWalk(r.first, r.meter, engine.Kit{})
		w.Quiet()
		if out, err := w.Answer(events...); err != nil || out.Refused != nil {
			return nil
		}
		more, said := r.take(w, k)
		all, allTold := slices.Concat(events, more), slices.Concat(told, said)
		p := w.Next()
		if r.tells != nil && r.tells(w, all) {
			return allTold
		}
		if p.Stuck != "" && r.tells == nil {
			if strings.HasPrefix(p.Stuck, `step "`+r.way[len(r.way)-1].ID+`"`) && strings.Contains(p.Stuck, r.stuck) {
				return append(allTold, p.Stuck)
			}
			continue
		}
		if k+1 == len(r.way) && r.early && len(more) < len(r.way[k].Fields()) && r.asWanted(all) {
			return append(allTold, "") // it was left by the first of the two branches that was clear
		}
		if p.Result != nil || p.Stuck != "" {
			continue
		}
		if next := slices.Index(r.way[k:], p.Step); next > 0 {
			if found := r.from(all, allTold, k+next); found != nil {
				return found
			}
		}
	}
	return nil
}

// asWanted reports whether the last answer of every reading is one of the witness.
func (r *replay) asWanted(events []engine.Event) bool {
	last := map[string]*engine.Answer{}
	for _, ev := range events {
		if ev.Do == engine.DoAnswer {
			last[ev.Reading] = ev.Answer
		}
	}
	for slot, d := range r.wanted {
		ax := r.f.m.axes[slot]
		a := last[ax.v.ID]
		if a == nil || d.modes&known == 0 {
			continue
		}
		is := domain{modes: known, set: 1}
		if ax.number() {
			is = ax.piece(decimal(ax.v.Unit.Base(a.Value)))
		} else if len(a.Choice) == 1 {
			is.set = 1 << uint(slices.Index(ax.v.Choices, a.Choice[0]))
		}
		if !meets(&is, &d) {
			return false
		}
	}
	return true
}

// take answers everything that step k asks.
func (r *replay) take(w *engine.Walk, k int) (events []engine.Event, told []string) {
	s := r.way[k]
	out := r.branch(k)
	paused := false
	send := func(ev engine.Event, say string) bool {
		ev.At, ev.Step = begun, s.ID
		o, err := w.Answer(ev)
		if err != nil || o.Refused != nil {
			return false
		}
		events = append(events, ev)
		if say != "" {
			told = append(told, say)
		}
		return true
	}
	for range 60 {
		p := w.Next()
		if p.Result != nil || p.Stuck != "" || p.Step != s {
			return events, told
		}
		ok := false
		switch {
		case r.st.paused && !paused && k+len(events) > 0 && r.random.IntN(2) == 0:
			paused = true
			ok = send(engine.Event{Do: engine.DoResume, Away: "2h"}, "left for 2h")
		case p.Gate == nil && s.Unable != nil && r.unable(k):
			ok = send(engine.Event{Do: engine.DoUnable, Text: "no room"}, "step "+s.ID+" could not be done")
		case p.Ack:
			ok = send(engine.Event{Do: engine.DoDone}, "")
		default:
			fd := p.Fields[r.random.IntN(len(p.Fields))]
			q := fd.Reading
			if fd.Optional && r.skips(k, q) {
				ok = send(engine.Event{Do: engine.DoSkip, Reading: q.ID}, q.ID+" skipped")
				break
			}
			a := r.answer(k, q, out, p.Gate)
			ok = send(engine.Event{Do: engine.DoAnswer, Reading: q.ID, Answer: &a}, q.ID+" "+a.Typed)
		}
		if !ok {
			return events, told
		}
	}
	return events, told
}

// branch is a cell of a branch that leads from step k to the next of the way.
func (r *replay) branch(k int) cell {
	if k+1 == len(r.way) && r.to == nil {
		return nil
	}
	g := r.f.guards[r.way[k].Index]
	var cells []cell
	for i, b := range r.way[k].Branches {
		if r.leads(b, k) {
			cells = append(cells, g.yes[i]...)
		}
	}
	if len(cells) == 0 {
		return nil
	}
	return cells[r.random.IntN(len(cells))]
}

// leads reports whether a branch of step k goes on along the way.
func (r *replay) leads(b *engine.Branch, k int) bool {
	if k+1 == len(r.way) {
		return r.to == nil || b.To.Finding == r.to
	}
	return b.To.Step == r.way[k+1]
}

// unable reports whether step k is to be passed as one that cannot be done.
func (r *replay) unable(k int) bool {
	if !r.leads(r.way[k].Unable, k) {
		return false
	}
	return r.random.IntN(3) == 0
}

// last reports whether step k is the last of the way that takes a reading.
func (r *replay) last(k int, q *engine.Reading) bool {
	return !slices.ContainsFunc(r.way[k+1:], func(s *engine.Step) bool {
		return s.Kind.Anew() && slices.ContainsFunc(s.Fields(), func(fd engine.FieldOf) bool { return fd.Reading == q })
	})
}

// doubts reports whether an answer at step k is to be in doubt: the way may lead on by that.
func (r *replay) doubts(k int) bool {
	s := r.way[k]
	return (r.st.doubt || s.Unsure != nil || len(s.Betters()) > 0) && r.random.IntN(2) == 0
}

func (r *replay) skips(k int, q *engine.Reading) bool {
	if d, ok := r.wanted[q.Index]; ok && r.last(k, q) {
		return d.modes&known == 0
	}
	return r.random.IntN(3) == 0
}

// answer draws an answer: as the witness has it, else out of the cell of the branch, else
// any. On a way of doubt it may be far out, or "not sure".
func (r *replay) answer(k int, q *engine.Reading, out cell, gate *engine.Rule) engine.Answer {
	ax := r.f.m.axes[q.Index]
	d := ax.full
	narrow := func(to domain) {
		if m := meet(d, to); m.modes&known != 0 {
			d = m
		}
	}
	wanted, own := r.wanted[q.Index]
	own = own && r.last(k, q)
	if own && r.random.IntN(8) > 0 {
		narrow(wanted)
	}
	cells := out
	if gate != nil {
		if yes := r.f.ruleYes[gate]; len(yes) > 0 {
			cells = yes[r.random.IntN(len(yes))]
		}
	}
	for _, n := range cells {
		if n.dim == q.Index || r.f.m.axisOf(n.dim) != nil && n.dim >= len(r.f.t.Readings) && r.f.m.axes[n.dim].r == q {
			narrow(n.domain)
		}
	}
	if !ax.number() {
		set := d.set
		for range r.random.IntN(bits.OnesCount64(set)) {
			set &= set - 1
		}
		word := ax.v.Choices[bits.TrailingZeros64(set)]
		if q.Unsure && r.doubts(k) {
			return engine.Answer{Typed: "not sure", Unsure: true, Sure: true}
		}
		return engine.Answer{Typed: word, Choice: []string{word}, Sure: true}
	}
	x := r.exact[q.Index]
	if x == nil || !own || r.random.IntN(3) == 0 {
		d.lo += int32(r.random.IntN(int(d.hi - d.lo + 1)))
		d.hi = d.lo
		x = ax.candidates(d)[0]
		from, _, to, _ := ax.ends(d.lo, d.hi)
		if m := ax.between(from, to); r.roomy && m != nil {
			x = m
		}
	}
	a := engine.Answer{Typed: quantity(x, ax.v.Unit), Value: ax.v.Unit.From(nearestFloat(x)), Unit: ax.v.Unit.Name, Sure: true}
	if r.doubts(k) {
		a.OutBy = []float64{0.01, 0.1, 1}[r.random.IntN(3)] * (q.Unit.From(q.Span[1]) - q.Unit.From(q.Span[0]))
		a.Typed += " ± " + quantity(decimal(q.Unit.Base(a.OutBy)), ax.v.Unit)
	}
	return a
}
