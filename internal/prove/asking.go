package prove

import (
	"slices"

	"deadflat/internal/engine"
)

// mayLeaveEarly reports whether the step may be left before all its fields are asked.
func mayLeaveEarly(s *engine.Step) bool {
	return !s.Together && !s.Kind.MakesStale() && len(s.Program().Atoms) > 0
}

// fresh is the part of a state in which the step has nothing to ask; sure that
// this is all of it.
func (f *flow) fresh(s *engine.Step, in *state) (*state, bool) {
	fields := s.Fields()
	if len(fields) == 0 {
		if s.Kind == engine.Decide {
			return in, len(s.Restores) == 0
		}
		return nil, false
	}
	if s.Kind.Anew() {
		return nil, false
	}
	out, sure := in.clone(), len(s.Restores) == 0 // one that puts something back is always shown
	for _, fd := range fields {
		d := in.get(f.m, fd.Reading.Index)
		if d.modes&(absent|stale) != 0 {
			sure = false
		}
		if d.modes &= known | passed; d.modes == 0 {
			return nil, false
		}
		out.set(f.m, fd.Reading.Index, d)
	}
	return out, sure
}

// gate asks what the hazard rules of the step need and leaves only what they let
// through.
func (f *flow) gate(s *engine.Step, in *state) []*state {
	list := []*state{in}
	for _, r := range s.Rules() {
		var next arrivals
		for _, st := range list {
			asked := st.clone()
			for _, q := range r.Needs {
				d := st.get(f.m, q.Index)
				if d.modes&(absent|stale) != 0 {
					d.modes &= known | passed
					asked.retake(f.m, q.Index, join(d, f.m.axes[q.Index].full))
				}
			}
			if f.gated != nil {
				f.gated(s, r, asked)
			}
			for _, c := range f.ruleNo[r] {
				if out := f.restrict(f.half(r, st, asked, c), c); out != nil {
					if len(s.Fields()) > 0 { // it is held again when the step was begun and left for a while
						out.open |= f.bits(s.Leaves)
					}
					f.mark(s, out, false)
					f.reach(r.Else, out, s, in)
					break
				}
			}
			for _, c := range f.ruleYes[r] {
				if out := f.restrict(f.half(r, st, asked, c), c); out != nil {
					next.add(f.m, out)
				}
			}
		}
		list = next.states(f.m)
	}
	return list
}

// half is the state in which the readings that a cell of a rule does not name
// need not have been asked.
func (f *flow) half(r *engine.Rule, before, asked *state, c cell) *state {
	out := asked.clone()
	for _, q := range r.Needs {
		if !slices.ContainsFunc(c, func(n constraint) bool { return n.dim == q.Index }) {
			out.set(f.m, q.Index, join(before.get(f.m, q.Index), asked.get(f.m, q.Index)))
		}
	}
	return out
}

// answered is what a field can be once it has been asked.
func (f *flow) answered(fd engine.FieldOf, st *state) domain {
	d := f.m.axes[fd.Reading.Index].full
	a := fd.Reading.Assume
	if fd.Optional || a != nil && len(fd.Reading.Needs) > 0 {
		d.modes |= passed
	}
	if a != nil && a.If == nil && st.get(f.m, a.By.Index).modes == known {
		d.modes &^= passed
	}
	return d
}

// ask takes every field of the step that is not fresh.
func (f *flow) ask(s *engine.Step, in *state) *state {
	out := in.clone()
	if s.Kind.MakesStale() {
		out.age(f.m)
	}
	for _, fd := range s.Fields() {
		before := in.get(f.m, fd.Reading.Index)
		d, slot := domain{}, domain{}
		if s.Kind.Anew() || before.modes&(absent|stale) != 0 {
			d = f.answered(fd, in)
			if fd.Slot >= 0 && f.m.axes[fd.Slot] != nil { // nil when only a text names the take
				slot = f.m.axes[fd.Slot].full
				slot.modes = d.modes
			}
		}
		if !s.Kind.Anew() && before.modes&(known|passed) != 0 {
			kept := before
			kept.modes &= known | passed
			d = join(d, kept)
			if fd.Slot >= 0 {
				slot = join(slot, in.get(f.m, fd.Slot))
			}
		}
		out.retake(f.m, fd.Reading.Index, d)
		if fd.Slot >= 0 {
			out.retake(f.m, fd.Slot, slot)
		}
	}
	return out
}

// partlyAsked is the state of a step that may be left before every field is asked.
func (f *flow) partlyAsked(s *engine.Step, before, asked *state) *state {
	out := asked.clone()
	for _, fd := range s.Fields() {
		for _, slot := range []int{fd.Reading.Index, fd.Slot} {
			if slot >= 0 {
				out.set(f.m, slot, join(before.get(f.m, slot), asked.get(f.m, slot)))
			}
		}
	}
	return out
}

// unable takes the way on for what could not be done: some fields may have been
// taken before that was clear.
func (f *flow) unable(s *engine.Step, before, asked *state) {
	out := before.clone()
	for _, fd := range s.Fields() {
		was := before.get(f.m, fd.Reading.Index)
		d := join(was, asked.get(f.m, fd.Reading.Index))
		if was.modes&(absent|stale) != 0 || s.Kind.Anew() {
			d.modes |= passed
		}
		out.retake(f.m, fd.Reading.Index, d)
	}
	if asked != before && len(s.Fields()) > 0 { // by then it may have been begun
		out.open |= f.bits(s.Leaves)
	}
	f.send(s.Unable, s, out, before, false)
}
