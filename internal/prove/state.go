package prove

import (
	"encoding/binary"
	"slices"

	"deadflat/internal/engine"
)

// state is a set of situations in which a walk can be at one step: how each
// reading stands and what it can be, which steps are done, which comparisons of
// several readings are decided. It names only what differs from the beginning of
// a walk and still matters further on.
type state struct {
	cell          // in order; a dimension not named is as at the beginning
	open   uint64 // temporary changes that may not have been put back
	way    *trail // one way that leads here
	ways   int    // how many more are merged in it
	paused bool   // the walk was left for so long that what was read before is stale
	doubt  bool   // a decision on the way was too close to call, or "not sure": nothing is left out for it

	got     marks // what was taken and is fresh, on every way
	excused marks // the same, and all of it beyond a row that is `likely`
	likely  bool
	lack    map[int]aside // where a mark does not stand, of what is merged in it
}

// trail is one way, from its last step backwards.
type trail struct {
	step *engine.Step
	from *trail
}

// start is how a dimension stands at the beginning of a walk.
func (m *model) start(dim int) domain {
	switch {
	case dim < len(m.axes):
		return domain{modes: absent}
	case m.row(dim) != nil:
		return truth(no | yes)
	}
	return truth(no)
}

func (s *state) get(m *model, dim int) domain {
	i, ok := slices.BinarySearchFunc(s.cell, dim, func(n constraint, d int) int { return n.dim - d })
	if ok {
		return s.cell[i].domain
	}
	return m.start(dim)
}

// set changes one dimension. The cell must be the state's own copy.
func (s *state) set(m *model, dim int, d domain) {
	i, ok := slices.BinarySearchFunc(s.cell, dim, func(n constraint, d int) int { return n.dim - d })
	plain := d == m.start(dim)
	switch {
	case ok && plain:
		s.cell = slices.Delete(s.cell, i, i+1)
	case ok:
		s.cell[i].domain = d
	case !plain:
		s.cell = slices.Insert(s.cell, i, constraint{dim, d})
	}
}

// clone copies the state; the copy comes from the same place.
func (s *state) clone() *state {
	c := *s
	c.cell = slices.Clone(s.cell)
	return &c
}

// forget drops every decided comparison that looks at a slot.
func (s *state) forget(m *model, slot int) {
	for _, r := range m.rowsOn[slot] {
		s.set(m, r, truth(no|yes))
	}
}

// retake sets how a reading stands anew: what was decided with it no longer counts.
func (s *state) retake(m *model, slot int, d domain) {
	if d != s.get(m, slot) {
		s.forget(m, slot)
	}
	s.set(m, slot, d)
}

// age makes every reading that is not a fact stale, and every take that a guard
// names.
func (s *state) age(m *model) {
	m.evidence.outdate(s)
	for i := 0; i < len(s.cell); i++ {
		n := &s.cell[i]
		if n.dim >= len(m.axes) {
			break
		}
		if n.dim < len(m.tree.Readings) && m.tree.Readings[n.dim].Fact {
			continue
		}
		d := domain{modes: n.domain.modes & absent}
		if n.domain.modes&^absent != 0 {
			d.modes |= stale
		}
		n.domain = d
		s.forget(m, n.dim)
	}
}

// keep leaves only what matters further on.
func (s *state) keep(live dimset) {
	s.cell = slices.DeleteFunc(s.cell, func(n constraint) bool { return !live.has(n.dim) })
}

// pattern is what must be alike for two states to be merged without loss, but for
// ranges of numbers and comparisons where less care is taken. With coarse, only how
// readings stand.
func (s *state) pattern(m *model, coarse bool) string {
	b := make([]byte, 0, 16*len(s.cell)+1)
	b = append(b, byte(s.sort()))
	for _, n := range s.cell {
		fine := m.careful && !coarse
		if m.row(n.dim) != nil && !fine {
			continue
		}
		b = binary.AppendUvarint(b, uint64(n.dim))
		b = append(b, byte(n.domain.modes))
		if !coarse || n.dim >= len(m.axes) {
			b = binary.AppendUvarint(b, n.domain.set)
		}
		if fine {
			b = binary.AppendVarint(binary.AppendVarint(b, int64(n.domain.lo)), int64(n.domain.hi))
		}
	}
	return string(b)
}

// absorb merges o into s: s then holds both, and whatever lies between.
func (s *state) absorb(m *model, o *state) {
	own := slices.Clone(s.cell)
	for _, n := range own {
		s.set(m, n.dim, join(n.domain, o.get(m, n.dim)))
	}
	for _, n := range o.cell {
		s.set(m, n.dim, join(n.domain, s.get(m, n.dim)))
	}
	s.open |= o.open
	s.both(o)
	s.ways += o.ways + 1
}

// sort is what keeps states apart whatever else is alike: paused or not, in doubt or not.
func (s *state) sort() int {
	n := 0
	if s.paused {
		n = 1
	}
	if s.doubt {
		n += 2
	}
	return n
}

// How many states of each sort one step keeps apart. Above it they are merged, which can
// only make more seem possible than is.
const (
	mostStates  = 12
	mostCareful = 300
)

func (m *model) mostStates() int {
	if m.careful {
		return mostCareful
	}
	return mostStates
}

// arrivals collects the states that reach one step.
type arrivals struct {
	list  []*state
	by    map[string]*state
	count [4]int
}

func (a *arrivals) add(m *model, s *state) {
	if a.by == nil {
		a.by = map[string]*state{}
	}
	n := &a.count[s.sort()]
	key := s.pattern(m, *n >= m.mostStates())
	if old := a.by[key]; old != nil {
		old.absorb(m, s)
		return
	}
	if *n < 2*m.mostStates() {
		a.by[key] = s
		a.list = append(a.list, s)
		*n++
		return
	}
	for i := len(a.list) - 1; ; i-- {
		if a.list[i].sort() == s.sort() {
			a.list[i].absorb(m, s)
			return
		}
	}
}

// covers reports whether a state without doubt holds all of s.
func (a *arrivals) covers(m *model, s *state) bool {
	return slices.ContainsFunc(a.list, func(o *state) bool {
		return !o.doubt && o.paused == s.paused && s.open&^o.open == 0 &&
			!slices.ContainsFunc(o.cell, func(n constraint) bool { return !within(s.get(m, n.dim), n.domain) }) &&
			!slices.ContainsFunc(s.cell, func(n constraint) bool { return !within(n.domain, o.get(m, n.dim)) })
	})
}

// states gives what came, merged to no more than that of either sort.
func (a *arrivals) states(m *model) []*state {
	if slices.Max(a.count[:]) <= m.mostStates() {
		return a.list
	}
	coarse := map[string]*state{}
	var out []*state
	var last [4]*state
	var count [4]int
	for _, s := range a.list {
		sort := s.sort()
		key := s.pattern(m, true)
		switch old := coarse[key]; {
		case old != nil:
			old.absorb(m, s)
		case count[sort] >= m.mostStates():
			last[sort].absorb(m, s)
		default:
			coarse[key], last[sort] = s, s
			out = append(out, s)
			count[sort]++
		}
	}
	return out
}

// dimset is a set of dimensions.
type dimset []uint64

func newDimset(n int) dimset { return make(dimset, (n+63)/64) }

func (b dimset) add(i int)      { b[i/64] |= 1 << uint(i%64) }
func (b dimset) has(i int) bool { return b[i/64]&(1<<uint(i%64)) != 0 }
func (b dimset) addAll(o dimset) {
	for i := range o {
		b[i] |= o[i]
	}
}
