package compare

import (
	"crypto/sha256"
	"fmt"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/unit"
)

// items takes a tree apart.
func items(t *engine.Tree) *things {
	all := &things{by: map[[2]string]*item{}}
	top := all.item("tree", t.Name, t.Title)
	top.add("title", t.Title)
	top.add("summary", t.Summary)
	top.add("edition", strconv.Itoa(t.Edition))
	top.add("status", t.Review.String())
	top.add("begin", base(t.Begin))
	for _, r := range t.Readings {
		all.reading(r)
	}
	for _, l := range t.Limits {
		all.limit(l)
	}
	for _, v := range t.Values {
		all.value(v)
	}
	for _, r := range t.Before {
		all.rule(r)
	}
	for _, s := range t.Steps {
		all.step(t, s)
	}
	for _, f := range t.Findings {
		all.finding(f)
	}
	return all
}

func (t *things) reading(r *engine.Reading) {
	i := t.item("readings", r.ID, r.Ask)
	i.add("ask", r.Ask)
	i.add("short", r.Short)
	if r.Number() {
		i.add("unit", r.Unit.Name)
		i.add("span", show(r.Span[0], r.Unit)+" to "+show(r.Span[1], r.Unit))
	}
	i.list("choices", r.List())
	i.mark("several", r.Many())
	i.mark("fact", r.Fact)
	i.mark("hazard", r.Hazard)
	i.mark("optional", r.Optional)
	i.mark("unsure", r.Unsure)
	if r.Red != "" {
		i.add("probe", "red "+r.Red+", black "+r.Black)
	}
	i.add("clamp", r.Clamp)
	for _, k := range slices.Sorted(maps.Keys(r.Vehicle)) {
		i.add("vehicle "+k, r.Vehicle[k])
	}
	i.add("hold", r.Hold)
	i.add("meter", r.Meter)
	i.number("also_out_by", r.AlsoOutBy)
	i.list("needs", r.Needs)
	i.add("sees", r.Sees)
	i.add("how", r.How.Raw())
	i.add("slips", r.Slips.Raw())
	i.add("cannot", r.Cannot.Raw())
	i.add("good", r.Good.Raw())
	for _, c := range slices.Sorted(maps.Keys(r.About)) {
		i.add("about "+c, r.About[c])
	}
	for _, o := range r.Odd {
		if o.If != nil {
			i.add("odd if "+o.If.Text, o.Ask)
		}
	}
	if a := r.Assume; a != nil {
		for _, c := range a.By.Choices {
			i.add("assumed for "+c, show(a.Ranges[c][0], r.Unit)+" to "+show(a.Ranges[c][1], r.Unit))
		}
		i.add("assumed by", a.Source)
	}
}

func (t *things) limit(l *eval.Limit) {
	i := t.item("limits", l.ID, l.Title)
	i.add("title", l.Title)
	switch {
	case l.Table != nil:
		for k, x := range l.Table.X {
			i.add("at "+show(x, l.Table.Var.Unit), show(l.Table.Y[k], l.Unit))
		}
	case l.Cases != nil:
		for k, y := range l.Cases.Y {
			i.add(l.Cases.Var.Choices[k], show(y, l.Unit))
		}
	default:
		i.add("is", show(l.Is, l.Unit))
	}
	i.add("source", l.Source)
	switch l.Safer {
	case eval.SaferBelow:
		i.add("safer", "below")
	case eval.SaferAbove:
		i.add("safer", "above")
	}
	i.add("better", l.Better)
}

func (t *things) value(v *eval.Derived) {
	i := t.item("values", v.ID, v.Title)
	i.add("title", v.Title)
	i.add("unit", v.Unit.Name)
	if len(v.Alternatives) == 0 {
		i.add("is", v.Text)
	}
	for k, a := range v.Alternatives {
		i.add("is"+strings.Repeat(", or else", k), a.Text)
	}
}

func (t *things) rule(r *engine.Rule) {
	i := t.item("hazard rules", r.ID, "")
	i.list("kinds", names(r.Kinds, func(k engine.Kind) string { return string(k) }))
	i.add("holds", r.Text)
	i.add("else", r.Else.ID)
	i.add("why", r.Why)
}

func (t *things) step(tree *engine.Tree, s *engine.Step) {
	name := base(s)
	if with, _ := s.With(); with != "" {
		name = s.ID
	} else if s.DeclaredIn() != tree.Name {
		name = s.DeclaredIn() + ": " + name
	}
	i := t.item("steps", name, s.Title)
	if len(i.facts) > 0 {
		i.ways(s) // laid in once more: only where its ways lead may differ
		return
	}
	i.add("title", s.Title)
	i.add("kind", string(s.Kind))
	i.list("cautions", s.Cautions)
	i.add("do", s.Do.Raw())
	if p := s.Picture; p != nil {
		i.add("picture", fmt.Sprintf("%s, %x: %s", p.File, sha256.Sum256(p.Data), p.Text))
	}
	i.add("why", s.Why.Raw())
	i.list("take", readings(s.Take))
	i.list("record", readings(s.Record))
	i.mark("together", s.Together)
	i.add("act", s.Act)
	i.add("for", s.For)
	i.list("needs", s.Needs)
	i.list("leaves", s.Leaves)
	i.list("restores", s.Restores)
	i.number("minutes", s.Minutes)
	if s.Better != nil {
		i.add("better", base(s.Better))
	}
	i.ways(s)
}

// ways are the branches of a step: each is told by its guard.
func (i *item) ways(s *engine.Step) {
	for _, b := range s.Branches {
		i.way("way \""+b.Text+"\"", b)
	}
	if s.Unable != nil {
		i.way("when it cannot be done", s.Unable)
	}
	if s.Unsure != nil {
		i.way("when not sure", s.Unsure)
	}
}

func (i *item) way(key string, b *engine.Branch) {
	to := target(b.To)
	if before := i.get(key); before != "" {
		if !slices.Contains(strings.Split(before, " or "), to) {
			i.set(key, before+" or "+to)
		}
		return
	}
	i.add(key, to)
	i.add(key+" says", b.Say.Raw())
	i.list(key+" rules out", findings(b.Clears))
	i.mark(key+" is likely", b.Likely)
}

func (i *item) set(key, says string) {
	for k := range i.facts {
		if i.facts[k].key == key {
			i.facts[k].says = says
		}
	}
}

func (t *things) finding(f *engine.Finding) {
	i := t.item("findings", f.ID, f.Title)
	i.add("title", f.Title)
	i.list("faults", f.Faults)
	i.add("action", f.Action)
	i.mark("stop", f.Stop)
	i.add("remedy", f.Remedy.Raw())
	i.add("customer", f.Customer.Raw())
	i.add("prove_by", f.ProveBy)
	var rests []string
	for _, e := range f.RestsOn {
		rests = append(rests, e.String())
	}
	i.list("rests on", rests)
	i.add("open", f.Open.Raw())
	i.list("cautions", f.Cautions)
	i.number("weight", f.Weight)
	if f.Then != nil {
		i.add("then", fmt.Sprintf("tree %s, %s kept, first: %s", f.Then.Tree, f.Then.Keep, f.Then.First))
	}
}

// target names where a way leads: a step, or a finding.
func target(to engine.Target) string {
	switch {
	case to.Finding != nil:
		return "finding " + to.Finding.ID
	case to.Step != nil:
		return "step " + base(to.Step)
	}
	return "nowhere"
}

// base is a step's own name, without the sub-trees it is laid in by.
func base(s *engine.Step) string { return path.Base(s.ID) }

func readings(list []*engine.Reading) []string {
	return names(list, func(r *engine.Reading) string { return r.ID })
}

func findings(list []*engine.Finding) []string {
	return names(list, func(f *engine.Finding) string { return f.ID })
}

func names[T any](list []T, name func(T) string) []string {
	var out []string
	for _, x := range list {
		out = append(out, name(x))
	}
	return out
}

// show prints a number as it was written, with every digit, so that no change is
// rounded away.
func show(x float64, u *unit.Unit) string {
	s := strconv.FormatFloat(u.From(x), 'f', -1, 64)
	if u.Name == "1" {
		return s
	}
	return s + " " + u.Name
}
