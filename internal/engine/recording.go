package engine

import (
	"maps"
	"slices"

	"deadflat/internal/eval"
)

// Record lays the walk out for reading.
func (w *Walk) Record() *Record {
	r := &Record{Tree: w.first, Kit: w.kit, Meter: w.meter, Notes: slices.Clone(w.notes), Cranks: w.cranks, Undone: w.undone, Paused: w.paused,
		PutBack: slices.Clone(w.s.open), Back: map[string]string{}, Next: w.Next()}
	for _, t := range w.trees() {
		maps.Copy(r.Back, t.Words.Back)
	}
	if n := len(w.events); n > 0 {
		r.Begun, r.Ended = w.events[0].At, w.events[n-1].At
	}
	for _, f := range w.done {
		r.Rounds = append(r.Rounds, RoundRecord{Tree: f.s.t, Steps: f.visits, Result: f.result})
		w.addTakes(r, f.s, true)
	}
	r.Rounds = append(r.Rounds, RoundRecord{Tree: w.s.t, Steps: slices.Clone(w.visits), Result: r.Next.Result})
	w.addTakes(r, w.s, false)
	r.Dropped = r.Next.Waiting
	for i := range w.live {
		if ev := &w.live[i]; ev.Do == DoSuspect {
			if f := w.s.t.finding(ev.Text); f != nil {
				r.Suspected = append(r.Suspected, f)
			}
		}
	}
	r.Readings = make([]ReadingState, 0, len(w.s.t.Readings))
	for _, q := range w.s.t.Readings {
		r.Readings = append(r.Readings, w.stateOf(q))
	}
	return r
}

func (w *Walk) addTakes(r *Record, s *state, over bool) {
	for i, l := range s.log {
		if s.usedBefore(i) {
			continue
		}
		t := w.takeOf(s, l)
		t.Stale = t.Stale || over && !l.reading.Fact
		t.At = w.when(l.seq)
		r.Takes = append(r.Takes, t)
	}
}

func (w *Walk) stateOf(q *Reading) ReadingState {
	v := &w.s.env.Values[q.Index]
	rs := ReadingState{Reading: q, State: "not asked on this way"}
	if l := w.s.latest(q); l != nil {
		t := w.takeOf(w.s, *l)
		rs.Take, rs.State = &t, takeState(v.State)
	}
	if v.Stale && v.State != eval.NotAsked {
		rs.State = "stale"
	}
	return rs
}
