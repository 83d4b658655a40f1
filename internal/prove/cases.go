package prove

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// Cases is what the worked cases of a tree cover. What a tree runs as a sub-tree
// counts for the tree that declares it, whichever case comes to it.
type Cases struct {
	Total    int     `json:"cases"`
	Failed   int     `json:"failed"`
	Steps    Covered `json:"steps"`
	Branches Covered `json:"branches_taken"`
	NotTaken Covered `json:"branches_not_taken"`
	TooClose Covered `json:"branches_too_close"` // branches of steps that decide on a number
	Under    Covered `json:"limits_just_under"`
	At       Covered `json:"limits_exactly_at"`
	Over     Covered `json:"limits_just_over"`
	Typical  Length  `json:"-"` // the middle one of the cases
	Mutation
}

// Covered counts what is covered and names what is not.
type Covered struct {
	Done    int      `json:"covered"`
	Of      int      `json:"of"`
	Missing []string `json:"missing,omitempty"`
}

// Sound reports whether every case came out as it says.
func (c *Cases) Sound() bool { return c.Failed == 0 }

// coverage gathers what cases come to, by place in the files.
type coverage struct {
	steps  map[source.Place]bool
	taken  map[source.Place]bool
	not    map[source.Place]bool
	close  map[source.Place]bool
	sides  map[string][3]bool // by comparison: just under, at, just over its limit
	failed map[*engine.Tree]int
	cases  map[*engine.Tree]int
	forms  map[*engine.Tree][]Length
}

// beside is how many steps of a reading's grid count as just under or over a limit.
const beside = 5

// runCases walks every case, reports those that come out otherwise, and gathers
// what they cover.
func (c *checker) runCases(files []*caseFile) *coverage {
	v := &coverage{steps: map[source.Place]bool{}, taken: map[source.Place]bool{}, not: map[source.Place]bool{}, close: map[source.Place]bool{},
		sides: map[string][3]bool{}, failed: map[*engine.Tree]int{}, cases: map[*engine.Tree]int{}, forms: map[*engine.Tree][]Length{}}
	played := playAll(files)
	c.usual(files, played)
	for _, p := range played {
		v.cases[p.file.tree]++
		for _, d := range p.decided {
			v.note(d.x, d.latest)
		}
		if p.wrong != "" {
			v.failed[p.file.tree]++
			x := c.add("case", p.c.place, p.c.width, "worked case %q comes out otherwise: %s", p.c.name, p.wrong)
			if p.was.result != nil {
				for _, g := range p.was.unused() {
					note(x, g.place, "%q is given here", g.name)
				}
			}
			continue
		}
		v.closeCalls(p.was.result)
		v.forms[p.file.tree] = append(v.forms[p.file.tree], Length{len(p.was.way), p.was.w.Next().Cranks})
	}
	return v
}

// usual reports what stands under `usual` and no case of the file takes from there. A case
// that comes out otherwise may have stopped short of it, and is told alone.
func (c *checker) usual(files []*caseFile, played []*walkedCase) {
	for _, f := range files {
		mine := slices.DeleteFunc(slices.Clone(played), func(p *walkedCase) bool { return p.file != f })
		if slices.ContainsFunc(mine, func(p *walkedCase) bool { return p.wrong != "" }) {
			continue
		}
		for key, g := range f.usual {
			if !slices.ContainsFunc(mine, func(p *walkedCase) bool { return p.was.used["usual "+key] }) {
				c.add("case-file", g.place, g.width, "%q is given as usual, and no case takes it from there; take it out", g.name)
			}
		}
	}
}

// walkedCase is a case that was walked, with the decisions it came to.
type walkedCase struct {
	casePlayed
	wrong   string
	decided []decidedOn
}

type decidedOn struct {
	x      *engine.Explanation
	latest []eval.Value
}

// playAll walks all cases, several at a time, and gives them in their order.
func playAll(files []*caseFile) []*walkedCase {
	var out []*walkedCase
	for _, f := range files {
		for _, c := range f.list {
			out = append(out, &walkedCase{casePlayed: casePlayed{file: f, c: c}})
		}
	}
	var next atomic.Int64
	var all sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for i := next.Add(1) - 1; i < int64(len(out)); i = next.Add(1) - 1 {
				p := out[i]
				p.was, p.wrong = p.file.play(p.file.tree, p.c, func(x *engine.Explanation, latest []eval.Value) {
					p.decided = append(p.decided, decidedOn{x, slices.Clone(latest)})
				})
			}
		})
	}
	all.Wait()
	return out
}

// note books one decision.
func (v *coverage) note(x *engine.Explanation, latest []eval.Value) {
	v.steps[x.Step.Place] = true
	v.taken[x.Branch.Place] = true
	for _, b := range x.Step.Branches {
		if b != x.Branch {
			v.not[b.Place] = true
		}
	}
	p := x.Step.Program()
	for i, a := range p.Atoms {
		if a.Kind != eval.Compare {
			continue
		}
		if a.Of != nil {
			if i != a.Of.Atoms[0] {
				continue
			}
			a = p.Atoms[speaks(p, a.Of, latest)]
		}
		d := a.Diff.Over(latest)
		if !d.Known {
			continue
		}
		what, turned := against(a)
		x := d.Best
		if turned {
			x = -x
		}
		s := v.sides[what]
		reach := beside * gridOf(a)
		switch {
		case math.Abs(x) < 1e-9:
			s[1] = true
		case x < 0 && x >= -reach-1e-9:
			s[0] = true
		case x > 0 && x <= reach+1e-9:
			s[2] = true
		}
		v.sides[what] = s
	}
}

// speaks gives the atom that decides a comparison of an extreme.
func speaks(p *eval.Program, g *eval.Group, latest []eval.Value) int {
	trace := make([]eval.Trace, len(p.Atoms))
	for _, i := range g.Atoms {
		trace[i] = p.Atoms[i].Eval(&eval.Env{Values: latest})
	}
	return g.Speaks(trace)
}

// against names the two sides of a comparison, the reading first: the same for
// "rest < limits.flat" and "limits.flat <= rest". turned tells that the atom's sum
// is the limit less the reading.
func against(a *eval.Atom) (what string, turned bool) {
	left, right := a.Left, a.Right
	if a.Of != nil {
		left, right = a.Of.Whole.Left, a.Of.Whole.Right
	}
	turned = a.Written == ">" || a.Written == ">="
	if len(left.Limits) > 0 && len(right.Limits) == 0 || len(left.Limits) == len(right.Limits) && left.Text > right.Text {
		left, right, turned = right, left, !turned
	}
	return left.Text + " against " + right.Text, turned
}

func (v *coverage) closeCalls(r *engine.Result) {
	for _, c := range r.Close {
		for _, b := range append(slices.Clone(c.Other), c.Taken) {
			if b != nil {
				v.close[b.Place] = true
			}
		}
	}
}

// gridOf is the step of the grid on which a comparison's sum is read, in base
// units.
func gridOf(a *eval.Atom) float64 {
	var u *unit.Unit
	for _, l := range a.Diff.Limits {
		if l.Unit.Dim == a.Diff.Dim {
			u = l.Unit
		}
	}
	for _, v := range a.Vars() {
		if u == nil && v.Unit != nil {
			u = v.Unit
		}
	}
	if u == nil {
		return 1
	}
	return nearestFloat(Grid(u)) * (u.Base(1) - u.Base(0))
}

// report is what the cases cover of one tree.
func (v *coverage) report(t *engine.Tree) *Cases {
	r := &Cases{Total: v.cases[t], Failed: v.failed[t]}
	if r.Total == 0 {
		return nil
	}
	seen := map[source.Place]bool{}
	limits := map[string]bool{}
	for _, s := range t.Steps {
		if s.DeclaredIn() != t.Name || seen[s.Place] {
			continue
		}
		seen[s.Place] = true
		r.Steps.add(v.steps[s.Place], "%s: step %s", s.Place, base(s))
		numbers := false
		for _, a := range s.Program().Atoms {
			if a.Kind != eval.Compare {
				continue
			}
			numbers = true
			what, _ := against(a)
			if limits[what] {
				continue
			}
			limits[what] = true
			sides := v.sides[what]
			r.Under.add(sides[0], "%s: step %s, %s", s.Place, base(s), what)
			r.At.add(sides[1], "%s: step %s, %s", s.Place, base(s), what)
			r.Over.add(sides[2], "%s: step %s, %s", s.Place, base(s), what)
		}
		for _, b := range s.Branches {
			r.Branches.add(v.taken[b.Place], "%s: step %s, %s", b.Place, base(s), b.Text)
			if len(s.Branches) > 1 {
				r.NotTaken.add(v.not[b.Place], "%s: step %s, %s", b.Place, base(s), b.Text)
			}
			if numbers && len(s.Branches) > 1 {
				r.TooClose.add(v.close[b.Place], "%s: step %s, %s", b.Place, base(s), b.Text)
			}
		}
	}
	r.Typical = middle(v.forms[t])
	return r
}

func (c *Covered) add(done bool, format string, args ...any) {
	c.Of++
	if done {
		c.Done++
		return
	}
	c.Missing = append(c.Missing, fmt.Sprintf(format, args...))
}

// middle is the median of each part.
func middle(all []Length) Length {
	if len(all) == 0 {
		return Length{}
	}
	questions, cranks := make([]int, len(all)), make([]int, len(all))
	for i, l := range all {
		questions[i], cranks[i] = l.Questions, l.Cranks
	}
	slices.Sort(questions)
	slices.Sort(cranks)
	return Length{questions[len(all)/2], cranks[len(all)/2]}
}

// mostNamed is how many uncovered things are named of each sort; --json names all.
const mostNamed = 5

func (c *Cases) print(b *strings.Builder) {
	fmt.Fprintf(b, "  %s", text.Count(c.Total, "worked case"))
	if c.Failed > 0 {
		fmt.Fprintf(b, ", %d of them come out otherwise", c.Failed)
	}
	b.WriteString(". They cover:\n")
	for _, part := range []struct {
		what string
		c    *Covered
	}{{"steps", &c.Steps}, {"branches taken", &c.Branches}, {"branches not taken", &c.NotTaken}, {"branches too close to call", &c.TooClose},
		{"limits from just under", &c.Under}, {"limits exactly at", &c.At}, {"limits from just over", &c.Over}} {
		fmt.Fprintf(b, "    %-28s %d of %d\n", part.what, part.c.Done, part.c.Of)
		for i, m := range part.c.Missing {
			if i == mostNamed {
				fmt.Fprintf(b, "      and %d more (--json names them all)\n", len(part.c.Missing)-i)
				break
			}
			fmt.Fprintf(b, "      not %s\n", m)
		}
	}
	c.Mutation.print(b)
}

func (m *Mutation) print(b *strings.Builder) {
	if m.Mutants == 0 {
		return
	}
	equal, named := len(m.Equal), ""
	if equal > 0 {
		named = " (--json names them)"
	}
	fmt.Fprintf(b, "  Of %d small changes %d make no difference, by proof%s. The cases notice %d of the other %d.\n",
		m.Mutants, equal, named, m.Mutants-equal-len(m.Survivors), m.Mutants-equal)
	for _, s := range m.Survivors {
		fmt.Fprintf(b, "    not noticed: %s\n", s)
	}
}
