package draw

import (
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/unit"
)

// Options is what is laid over the bare tree.
type Options struct {
	Given []Given        // answers that settle limits
	Walk  *engine.Record // marks the way of this walk
	Cases *Coverage      // marks what the worked cases come to
}

// Given is an answer that is known before the walk begins.
type Given struct {
	Reading *engine.Reading
	Answer  engine.Answer
}

// value is the answer without any doubt.
func (g Given) value() eval.Value {
	if g.Answer.State != "" {
		return eval.Value{}
	}
	if g.Reading.Number() {
		u := g.Reading.Unit
		if typed, ok := unit.Lookup(g.Answer.Unit); ok {
			u = typed
		}
		return eval.Exact(u.Base(g.Answer.Value))
	}
	if g.Answer.Unsure {
		return eval.Value{State: eval.Taken, Set: g.Reading.All()}
	}
	return eval.Value{State: eval.Taken, Set: g.Reading.Set(g.Answer.Choice...)}
}

// Coverage counts how many worked cases pass a step, take a branch and end in a
// finding. They are told by their places in the files, so that a sub-tree need
// not be walked anew wherever it is laid in.
type Coverage struct {
	cases int
	seen  map[source.Place]int
}

// Add counts one walk.
func (c *Coverage) Add(rec *engine.Record) {
	c.cases++
	here := map[source.Place]bool{}
	for _, round := range rec.Rounds {
		for _, v := range round.Steps {
			here[v.Step.Place] = true
			here[v.Explanation.Branch.Place] = true
		}
		if round.Result != nil {
			here[round.Result.Finding.Place] = true
		}
	}
	if c.seen == nil {
		c.seen = map[source.Place]int{}
	}
	for p := range here {
		c.seen[p]++
	}
}

// Plan is a tree with everything that any of its drawings shows.
type Plan struct {
	tree     *engine.Tree
	given    []Given
	Steps    []*Step
	Findings []*Finding
	Hazards  []*Hazard // those that guard a step
	walked   bool
	cases    *Coverage
	words    *words
	findings map[*engine.Finding]*Finding
}

// Step is one numbered step of the plan.
type Step struct {
	*engine.Step
	Number int
	From   []*Step // steps with a way here, each once
	Rows   []*Row
	Visits []int // places in the walk, counted from 1
	Cases  int
}

// Row is one way out of a step. One of Step and Finding is set.
type Row struct {
	When    string
	Step    *Step
	Finding *Finding
	Branch  *engine.Branch // nil for the better test of a close call
	Side    bool           // taken only when something could not be told
	Taken   bool           // by the walk
	Cases   int
}

// Finding is one finding that the plan comes to.
type Finding struct {
	*engine.Finding
	Number int
	From   []*Step
	Ends   bool // the walk ends here
	Cases  int
}

// Hazard is one hazard rule with the finding it stops at.
type Hazard struct {
	*engine.Rule
	Holds string
	Else  *Finding
}

// New lays a tree out.
func New(t *engine.Tree, o Options) *Plan {
	p := &Plan{tree: t, given: o.Given, walked: o.Walk != nil, cases: o.Cases, findings: map[*engine.Finding]*Finding{}}
	steps := map[*engine.Step]*Step{}
	for i, s := range order(t) {
		steps[s] = &Step{Step: s, Number: i + 1}
		p.Steps = append(p.Steps, steps[s])
	}
	p.words = newWords(t, steps)
	for _, g := range o.Given {
		p.words.env.Values[g.Reading.Index] = g.value()
	}
	for _, s := range p.Steps {
		p.rows(s, steps)
	}
	for _, r := range t.Before {
		if !slices.ContainsFunc(t.Steps, func(s *engine.Step) bool { return slices.Contains(s.Rules(), r) }) {
			continue // it guards nothing here
		}
		p.Hazards = append(p.Hazards, &Hazard{Rule: r, Holds: p.words.guard(r.Holds, nil), Else: p.finding(r.Else)})
	}
	if o.Walk != nil {
		p.mark(o.Walk, steps)
	}
	p.count()
	return p
}

// rows gives a step its ways out.
func (p *Plan) rows(s *Step, steps map[*engine.Step]*Step) {
	for _, b := range s.Ways() {
		r := &Row{When: p.words.branch(s.Step, b), Branch: b, Side: b == s.Unable || b == s.Unsure}
		if b.To.Finding != nil {
			r.Finding = p.finding(b.To.Finding)
			from(&r.Finding.From, s)
		} else {
			r.Step = steps[b.To.Step]
			from(&r.Step.From, s)
		}
		s.Rows = append(s.Rows, r)
	}
	for _, better := range s.Betters() {
		to := steps[better]
		from(&to.From, s)
		s.Rows = append(s.Rows, &Row{When: "too close to call", Step: to, Side: true})
	}
}

// bare reports whether worked cases were walked and none comes here.
func (p *Plan) bare(cases int) bool { return p.cases != nil && cases == 0 }

// from adds a step to those that lead somewhere, once. Steps come in their order.
func from(list *[]*Step, s *Step) {
	if n := len(*list); n == 0 || (*list)[n-1] != s {
		*list = append(*list, s)
	}
}

func (p *Plan) finding(f *engine.Finding) *Finding {
	found := p.findings[f]
	if found == nil {
		found = &Finding{Finding: f, Number: len(p.Findings) + 1}
		p.findings[f] = found
		p.Findings = append(p.Findings, found)
	}
	return found
}

// mark lays the way of a walk over the plan: the rounds that were walked on this
// very tree.
func (p *Plan) mark(rec *engine.Record, steps map[*engine.Step]*Step) {
	n := 0
	for _, round := range rec.Rounds {
		if round.Tree != p.tree {
			continue
		}
		for _, v := range round.Steps {
			s := steps[v.Step]
			n++
			s.Visits = append(s.Visits, n)
			for _, r := range s.Rows {
				r.Taken = r.Taken || r.leads(v.Explanation.Branch)
			}
		}
		if round.Result != nil {
			p.finding(round.Result.Finding).Ends = true
		}
	}
}

// leads tells whether a row is the way that was taken. The better test of a
// close call has no branch of its own in the tree.
func (r *Row) leads(b *engine.Branch) bool {
	if r.Branch != nil {
		return r.Branch == b
	}
	return b.Index < 0 && b.To.Step == r.Step.Step
}

// count lays the coverage over the plan.
func (p *Plan) count() {
	if p.cases == nil {
		return
	}
	for _, s := range p.Steps {
		s.Cases = p.cases.seen[s.Place]
		for _, r := range s.Rows {
			if r.Branch != nil {
				r.Cases = p.cases.seen[r.Branch.Place]
			}
		}
	}
	for _, f := range p.Findings {
		f.Cases = p.cases.seen[f.Place]
	}
}
