package prove

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// What a finding rests on is followed along the ways as marks: one for each reading or
// step that some finding rests on or names in a plain sentence, set where it was taken and
// is fresh. Where ways are merged a mark stands only if it stood on all of them, and the
// way on which it did not is kept: a fault is told when the engine walks it.

// mostMarks is how many a tree can have.
const mostMarks = 512

type marks [mostMarks / 64]uint64

func (k *marks) has(i int) bool { return k[i/64]&(1<<uint(i%64)) != 0 }

func (k *marks) put(i int, on bool) {
	if on {
		k[i/64] |= 1 << uint(i%64)
	} else {
		k[i/64] &^= 1 << uint(i%64)
	}
}

// evidence numbers the marks of a tree.
type evidence struct {
	n     int
	slots map[int]int               // reading to mark
	steps map[int]int               // DoneIndex to mark
	any   []oneOf                   // of several grounds
	of    map[*engine.Finding][]int // marks of what it rests on
	facts []bool                    // by mark: outlasts what changes the vehicle
}

// oneOf is a mark that stands where one of others does.
type oneOf struct {
	mark int
	of   []int
}

func newEvidence(t *engine.Tree) *evidence {
	e := &evidence{slots: map[int]int{}, steps: map[int]int{}, of: map[*engine.Finding][]int{}}
	for _, x := range t.Findings {
		for _, v := range x.Names() {
			if r := t.ReadingOf(v); r != nil {
				e.reading(r)
			}
		}
		for _, group := range x.RestsOn {
			var of []int
			for _, g := range group {
				if g.Step != nil {
					of = append(of, e.number(e.steps, g.Step.DoneIndex(), true))
				} else {
					of = append(of, e.reading(g.Reading))
				}
			}
			if len(of) == 1 {
				e.of[x] = append(e.of[x], of[0])
				continue
			}
			e.any = append(e.any, oneOf{e.next(false), of})
			e.of[x] = append(e.of[x], e.n-1)
		}
	}
	return e
}

func (e *evidence) reading(r *engine.Reading) int { return e.number(e.slots, r.Index, r.Fact) }

func (e *evidence) number(in map[int]int, key int, fact bool) int {
	if i, ok := in[key]; ok {
		return i
	}
	in[key] = e.next(fact)
	return in[key]
}

func (e *evidence) next(fact bool) int {
	e.n++
	e.facts = append(e.facts, fact)
	return min(e.n, mostMarks) - 1 // with more, nothing is told: see unproved
}

// settle sets the marks that stand by others. Where ways are merged one may stand by none
// in particular: it goes when one of them does.
func (e *evidence) settle(before, k *marks) {
	for _, a := range e.any {
		lost := slices.ContainsFunc(a.of, func(i int) bool { return before.has(i) && !k.has(i) })
		k.put(a.mark, slices.ContainsFunc(a.of, k.has) || k.has(a.mark) && !lost)
	}
}

// mark notes what a state that leaves a step has taken there.
func (f *flow) mark(s *engine.Step, st *state, done bool) {
	e := f.evidence
	got, excused := st.got, st.excused
	took := func(r *engine.Reading) {
		if i, ok := e.slots[r.Index]; ok {
			known := st.get(f.m, r.Index).modes == known
			st.got.put(i, known)
			st.excused.put(i, known || st.likely)
		}
	}
	for _, n := range st.cell { // what a guard has found to be known
		if i, ok := e.slots[n.dim]; ok && n.domain.modes == known {
			st.got.put(i, true)
			st.excused.put(i, true)
		}
	}
	for _, fd := range s.Fields() {
		took(fd.Reading)
	}
	for _, r := range s.Rules() {
		for _, q := range r.Needs {
			took(q)
		}
	}
	if i, ok := e.steps[s.DoneIndex()]; ok && done {
		st.got.put(i, true)
		st.excused.put(i, true)
	}
	e.settle(&got, &st.got)
	if !st.likely {
		e.settle(&excused, &st.excused)
	}
}

// excuse takes a way of which the author knows that evidence may be missing beyond it.
func (f *flow) excuse(st *state) {
	st.likely = true
	for i := range st.excused {
		st.excused[i] = ^uint64(0)
	}
}

// outdate takes off the marks of all that the vehicle's change has made stale.
func (e *evidence) outdate(st *state) {
	for i := range min(e.n, mostMarks) {
		if !e.facts[i] {
			st.got.put(i, false)
			st.excused.put(i, st.likely)
		}
	}
	for _, a := range e.any {
		st.got.put(a.mark, slices.ContainsFunc(a.of, st.got.has))
		st.excused.put(a.mark, st.likely || slices.ContainsFunc(a.of, st.excused.has))
	}
}

// aside is a state that was merged into another, and the other's way by then.
type aside struct {
	state  *state
	beside *trail
}

// both leaves the marks that stand in s and in o, and keeps the way that lacks one.
func (s *state) both(o *state) {
	var lack map[int]aside
	for w := range s.excused {
		for _, lost := range []uint64{s.excused[w] &^ o.excused[w], s.got[w] &^ o.got[w]} {
			for i := 64 * w; lost != 0; i, lost = i+1, lost>>1 {
				if lost&1 == 0 {
					continue
				}
				if lack == nil {
					lack = map[int]aside{}
					for k, t := range s.lack {
						lack[k] = t
					}
				}
				lack[i] = aside{o, s.way}
			}
		}
		s.got[w] &= o.got[w]
		s.excused[w] &= o.excused[w]
	}
	if lack != nil {
		s.lack = lack
	}
	s.likely = s.likely && o.likely
}

// unread is a finding that some way reaches without a reading that it rests on, or that
// a plain sentence of it names.
type unread struct {
	x    *engine.Finding
	mark int
	rest int // number of what it rests on; -1 for a name in a sentence
	name string
	step *engine.Step
	st   *state
}

// evidenceAt looks at what a state that reaches a finding lacks.
func (f *flow) evidenceAt(x *engine.Finding, st *state, s *engine.Step) {
	if st.doubt || st.paused {
		return
	}
	note := func(u unread) {
		if f.unread[u.key()] == nil {
			u.step, u.st = s, st
			f.unread[u.key()] = &u
		}
	}
	for i, mark := range f.evidence.of[x] {
		if !st.excused.has(mark) {
			note(unread{x: x, mark: mark, rest: i, name: x.RestsOn[i].String()})
		}
	}
	for _, v := range x.Names() {
		if r := f.t.ReadingOf(v); r != nil && !st.got.has(f.evidence.slots[r.Index]) {
			note(unread{x: x, mark: f.evidence.slots[r.Index], rest: -1, name: r.ID})
		}
	}
}

func (u *unread) key() string { return fmt.Sprint(u.x.ID, " ", u.rest < 0, " ", u.name) }

// without is a way to a state on which a mark does not stand.
func (s *state) without(mark int) []*engine.Step {
	var out []*engine.Step
	a, merged := s.lack[mark]
	for t := s.way; t != nil && (!merged || t != a.beside); t = t.from {
		out = append(out, t.step)
	}
	slices.Reverse(out)
	if merged {
		out = append(a.state.without(mark), out...)
	}
	return out
}

// unproved tells of the findings that are reached without what they rest on, where the
// engine walks to one so.
func (c *checker) unproved(f *flow) {
	if f.evidence.n > mostMarks {
		c.undecide++
		c.add("undecided", f.t.Begin.Place, 1, "the findings of tree %q rest on more than %d readings", f.t.Name, mostMarks)
		return
	}
	for _, key := range slices.Sorted(maps.Keys(f.unread)) {
		u := f.unread[key]
		told := f.replayUnread(c.ideal, u)
		var x *source.Fault
		switch {
		case told == nil:
			c.undecide++
			x = c.add("undecided", u.x.Place, len(u.x.ID), "finding %q may be reached without %s, but no walk to it was found", u.x.ID, u.name)
		case u.rest >= 0:
			x = c.add("unproved", u.x.Place, len(u.x.ID), "finding %q is reached without %s, on which it rests; take it on the way, or write `likely: true` in the row that goes on without it", u.x.ID, u.name)
		default:
			x = c.add("unread", u.x.Place, len(u.x.ID), "finding %q names %s in a plain sentence, and a way to it has not read that; write {when: 'known(%s)', say: ...}", u.x.ID, u.name, u.name)
		}
		c.way(x, u.step, u.st)
		if len(told) > 0 {
			note(x, u.x.Place, "answers that walk there: %s", strings.Join(told, ", "))
		}
	}
}
