package prove

import (
	"fmt"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// Compared is one step, or one hazard rule, of two editions of a tree, given the same
// answers: numbers inside both spans, words that both have, readings known or not as
// they can be on the ways to it in both. Unless Undecided is set, no such answers take
// a pair of ways that Divergences does not list.
type Compared struct {
	Old, New         *engine.Step // nil for a hazard rule
	OldRule, NewRule *engine.Rule // nil for a step
	Divergences      []Divergence // in the order of the old branches
	Undecided        string       // why it is not proved; Divergences were then found by trial
	Tried            int          // answers tried for that
	LeftOut          bool         // all that came before was work enough: nothing is said of it
	Never            string       // why no answers reach it in both editions
	Notes            []string     // readings and words that only one edition has
	was              *arrivalsOf
}

// Divergence is one way of the old edition and another of the new that the same
// answers take.
type Divergence struct {
	Was, Is Way
	When    string  // for ways that no answers choose: "it cannot be done"
	Shown   []Shown // one set of such answers
}

// Way is where one edition sends the answers.
type Way struct {
	Branch *engine.Branch // nil: a hazard rule, or no branch takes them
	To     engine.Target  // empty: no branch takes them, or a rule lets them pass
	Passes bool           // a hazard rule lets them pass
}

// Shown is one answer of a witness.
type Shown struct {
	Answer
	Title string     // of the reading: "Battery voltage at rest"
	Of    string     // id of the reading, also where the take at one step is meant
	Value eval.Value // a number in base units; a choice, by its place in Words; or skipped
	Words []string   // the choices that both editions have
	Any   bool       // anything else would show it as well
}

// Differ holds every step that stands in both editions, and every hazard rule,
// against the other edition's. They are matched by id. Both editions are taken to
// be sound. Once it has cost mostDiffer, the rest is left out: work is counted, not time,
// so that the same is said on every machine.
func Differ(old, now *engine.Tree) []*Compared {
	var out []*Compared
	was, is := arriving(old), arriving(now)
	work := 0
	prove := func(c *Compared, eds [2]*edition) {
		c.was = was
		if c.LeftOut = work > mostDiffer; !c.LeftOut {
			work += c.prove(eds)
		}
		out = append(out, c)
	}
	byID := map[string]*engine.Step{}
	for _, n := range now.Steps {
		byID[n.ID] = n
	}
	for _, s := range old.Steps {
		n := byID[s.ID]
		if n == nil {
			continue
		}
		c := &Compared{Old: s, New: n}
		prove(c, [2]*edition{{old, s, nil, was.at[s.Index], s.Program()}, {now, n, nil, is.at[n.Index], n.Program()}})
		c.aside("it cannot be done", s.Unable, n.Unable)
		c.aside("not sure", s.Unsure, n.Unsure)
	}
	for _, r := range old.Before {
		i := slices.IndexFunc(now.Before, func(n *engine.Rule) bool { return n.ID == r.ID })
		if i < 0 {
			continue
		}
		n := now.Before[i]
		prove(&Compared{OldRule: r, NewRule: n}, [2]*edition{{old, nil, r, arrival{}, r.Holds.Program()}, {now, nil, n, arrival{}, n.Holds.Program()}})
	}
	return out
}

// aside compares a way that is not chosen by answers.
func (c *Compared) aside(when string, was, is *engine.Branch) {
	if was == nil || is == nil || endOf(was.To) == endOf(is.To) {
		return
	}
	c.Divergences = append(c.Divergences, Divergence{Was: Way{Branch: was, To: was.To}, Is: Way{Branch: is, To: is.To}, When: when})
}

// endOf is where a way leads, as one word.
func endOf(to engine.Target) string {
	switch {
	case to.Finding != nil:
		return "finding " + to.Finding.ID
	case to.Step != nil:
		return "step " + to.Step.ID
	}
	return ""
}

func (w Way) leadsTo(o Way) bool { return w.Passes == o.Passes && endOf(w.To) == endOf(o.To) }

// edition is one edition of what is compared.
type edition struct {
	tree    *engine.Tree
	step    *engine.Step // or
	rule    *engine.Rule
	arrival arrival
	prog    *eval.Program
}

// arrival is how readings and steps done can stand at one step, by name, for those
// that its guards look at. What it does not name can stand in any way.
type arrival struct {
	by    map[string]domain
	never bool // no answers reach the step
}

// mostDiffer bounds what the proofs of two editions may cost together, counted as mostWork
// is; a step, and an answer that is tried, cost something by themselves.
var mostDiffer = 200_000_000

const (
	stepWork   = 1_000
	sampleWork = 100
)

// arrivalsOf is how readings can stand at every step of a tree, and some situations in which
// a walk comes there.
type arrivalsOf struct {
	at    []arrival // by step
	f     *flow     // nil when the ways are too complex
	steps map[*engine.Step][]situated
	rules map[*engine.Rule][]situated
}

// situated is a situation at a step.
type situated struct {
	step *engine.Step
	st   *state
}

// mostSituations is how many situations of a step or a rule walks are led to.
const mostSituations = 2 * mostStates

// arriving looks at the ways of a tree. When they are too complex, anything is taken
// to reach every step.
func arriving(t *engine.Tree) *arrivalsOf {
	out := make([]arrival, len(t.Steps))
	a := &arrivalsOf{at: out, steps: map[*engine.Step][]situated{}, rules: map[*engine.Rule][]situated{}}
	m, err := newModel(t)
	if err != nil {
		return a
	}
	facts := &state{} // what another tree may hand over
	for _, r := range t.Readings {
		if d := m.axes[r.Index].full; r.Fact {
			d.modes |= absent | passed
			facts.set(m, r.Index, d)
		}
	}
	for i := range out {
		out[i] = arrival{map[string]domain{}, true}
	}
	f := newFlow(m)
	a.f = f
	dims := map[*engine.Step][]int{}
	f.gated = func(s *engine.Step, r *engine.Rule, st *state) {
		if list := a.rules[r]; !st.doubt && !st.paused && len(list) < mostSituations {
			a.rules[r] = append(list, situated{s, st})
		}
	}
	f.visit = func(s *engine.Step, g *branches, st *state) {
		if st.doubt {
			return
		}
		if list := a.steps[s]; !st.paused && len(list) < mostSituations {
			a.steps[s] = append(list, situated{s, st})
		}
		if out[s.Index].never {
			out[s.Index].never = false
			dims[s] = m.lookedAt(g)
		}
		by := out[s.Index].by
		for _, d := range dims[s] {
			is, name := st.get(m, d), m.nameOf(d)
			if was, ok := by[name]; ok {
				is = join(was, is)
			}
			by[name] = is
		}
	}
	f.run(&state{}, facts)
	return a
}

// lookedAt lists the readings and steps done that some guards name.
func (m *model) lookedAt(g *branches) []int {
	var out []int
	for _, c := range g.refs {
		for _, n := range c {
			if m.row(n.dim) == nil && !slices.Contains(out, n.dim) {
				out = append(out, n.dim)
			}
		}
	}
	return out
}

// nameOf is a reading's or take's id, or "done STEP".
func (m *model) nameOf(dim int) string {
	if ax := m.axisOf(dim); ax != nil {
		return ax.v.ID
	}
	return "done " + m.doneName(dim)
}

// exits are the ways out of one edition's step, each as two lists of cells: it takes
// the answers in one of its `in` cells and in none of its `outside` cells. The way for
// what cannot be taken (`unable`), if the step has one, stands last and wants a third
// thing: that a field of the step is not known.
type exits struct {
	ways    []Way
	in      [][]cell // of each way
	outside [][]cell
	missing []cell // of the last way, when not nil: fields of which one is not known
}

func (j *product) exits(e *edition) (*exits, error) {
	if r := e.rule; r != nil {
		cells, err := j.m.cells(e.prog, r.Holds.Root, isTrue)
		return &exits{ways: []Way{{Passes: true}, {To: engine.Target{Finding: r.Else}}}, in: [][]cell{cells, {nil}}, outside: [][]cell{nil, cells}}, err
	}
	g := j.m.branchesOf(e.step)
	s := &exits{}
	maybe := all(g.maybe)
	for i, b := range e.step.Branches {
		if i == g.otherwise {
			s.add(Way{Branch: b, To: b.To}, []cell{nil}, maybe)
		} else {
			s.add(Way{Branch: b, To: b.To}, g.yes[i], nil)
		}
	}
	if g.otherwise < 0 {
		s.add(Way{}, []cell{nil}, maybe)
	}
	if u := e.step.Unable; u != nil {
		for _, f := range e.step.Fields() {
			if slot := slices.IndexFunc(j.vars, func(b *pairedVar) bool { return b.v.ID == f.Reading.ID }); slot >= 0 {
				s.missing = append(s.missing, cell{{slot, domain{modes: unknown}}})
			}
		}
		if s.missing != nil {
			s.add(Way{Branch: u, To: u.To}, maybe, all(g.yes))
		}
	}
	return s, g.err
}

func (s *exits) add(w Way, in, outside []cell) {
	s.ways, s.in, s.outside = append(s.ways, w), append(s.in, in), append(s.outside, outside)
}

// fields are the cells of which way i wants one as well.
func (s *exits) fields(i int) []cell {
	if s.missing != nil && i == len(s.ways)-1 {
		return s.missing
	}
	return []cell{nil}
}

// prove looks for answers that take two ways to different ends, and says what it cost.
func (c *Compared) prove(eds [2]*edition) (work int) {
	j := &product{eds: eds, by: map[*eval.Var]*pairedVar{}}
	if c.Never = j.gather(); c.Never != "" {
		return stepWork
	}
	c.Notes = j.notes
	err := j.build()
	if err == nil {
		err = c.pairs(j)
	}
	if err != nil {
		c.Undecided, c.Divergences = err.Error(), nil
		c.sample(j)
	}
	return stepWork + j.m.work + c.Tried*sampleWork
}

func (c *Compared) pairs(j *product) error {
	was, err := j.exits(j.eds[0])
	if err != nil {
		return err
	}
	is, err := j.exits(j.eds[1])
	if err != nil {
		return err
	}
	p, whole := j.problem()
	for a, from := range was.ways {
		for b, to := range is.ways {
			if from.leadsTo(to) {
				continue
			}
			y, err := p.bothTake(whole, was, a, is, b)
			if err != nil {
				return err
			}
			if y != nil {
				c.Divergences = append(c.Divergences, Divergence{Was: from, Is: to, Shown: j.shown(p, y, whole)})
			}
		}
	}
	if len(c.Divergences) == 0 {
		return nil
	}
	for i, s := range []*exits{was, is} {
		if err := p.noTwoWays(whole, s, editionNames[i]); err != nil {
			return err
		}
	}
	return nil
}

var editionNames = []string{"old", "new"}

// noTwoWays makes sure that no answers take two ways of one edition.
func (p *problem) noTwoWays(whole box, s *exits, name string) error {
	for a := range s.ways {
		for b := a + 1; b < len(s.ways); b++ {
			if len(s.outside[a])+len(s.outside[b]) > 0 || s.ways[a].leadsTo(s.ways[b]) {
				continue
			}
			y, err := p.bothTake(whole, s, a, s, b)
			if err != nil {
				return err
			}
			if y != nil {
				return fmt.Errorf("two branches of the %s edition take the same answers", name)
			}
		}
	}
	return nil
}

// bothTake finds answers that take way a of one side and way b of the other; nil
// when there are none.
func (p *problem) bothTake(whole box, s *exits, a int, o *exits, b int) (found box, err error) {
	in := append([][]cell{p.within(whole, s.in[a]), p.within(whole, o.in[b])}, s.fields(a), o.fields(b))
	outside := append(slices.Clone(s.outside[a]), o.outside[b]...)
	var try func(cells []cell) error // cells: one of each list so far
	try = func(cells []cell) error {
		if n := len(cells); n < len(in) {
			for _, c := range in[n] {
				if err := p.spend(1); err != nil {
					return err
				}
				if slices.ContainsFunc(cells, func(x cell) bool { return apart(x, c) }) {
					continue
				}
				if err := try(append(cells, c)); err != nil || found != nil {
					return err
				}
			}
			return nil
		}
		y, ok, err := p.reachable(whole, cells...)
		if err != nil || !ok {
			return err
		}
		if len(outside) == 0 {
			found = y
			return nil
		}
		return p.cover(y, outside, func(y box) bool { found = y; return false })
	}
	err = try(make([]cell, 0, len(in)))
	return found, err
}
