package compare

import (
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/prove"
	"deadflat/internal/text"
)

// Proof is what was proved of the steps and hazard rules that stand in both
// editions.
type Proof struct {
	Same        int           `json:"steps_proved_the_same"`          // every exact answer goes the same way as before
	InDoubt     int           `json:"steps_proved_the_same_in_doubt"` // of them, those at which every answer with doubt does so too
	SameRules   int           `json:"hazard_rules_proved_the_same"`   // they let the same answers pass
	Divergences []*Divergence `json:"go_another_way"`
	Undecided   []Undecided   `json:"undecided,omitempty"`
	LeftOut     []string      `json:"left_out,omitempty"`              // steps and rules of which nothing is said: the others were work enough
	Exact       []string      `json:"of_exact_answers_only,omitempty"` // steps of Same at which answers with doubt may go another way, and why
	Never       []string      `json:"not_come_to,omitempty"`           // steps that no answers reach in both editions, and why
	Notes       []string      `json:"only_in_one_edition,omitempty"`   // readings and words
}

// Divergence is one way of the old edition and another of the new that the same answers
// take.
type Divergence struct {
	Where     string   `json:"where"`           // "step rest", "hazard rule swollen"
	Steps     []string `json:"steps,omitempty"` // ids of the step wherever it is laid in
	Was       string   `json:"was"`             // "went to charge"
	Is        string   `json:"is"`              // "now goes to finding worn_out"
	BranchWas string   `json:"branch_was,omitempty"`
	BranchIs  string   `json:"branch_is,omitempty"`
	Says      string   `json:"says"` // all of it in one sentence
	Answers   []Said   `json:"answers,omitempty"`
	ByTrial   bool     `json:"found_by_trial,omitempty"` // the step is undecided: these answers were found by trial
	Walks     int      `json:"walks_that_part_here"`     // walks tried that diverge there
	Ends      []*Ends  `json:"findings_by_trial,omitempty"`
	compared  *prove.Compared
	shown     prove.Divergence
}

// Undecided is a step that is too much for a proof.
type Undecided struct {
	Where string `json:"where"`
	Why   string `json:"why"`
	Tried int    `json:"answers_tried"`
}

// Prove holds every step and hazard rule of two editions against each other.
func Prove(old, now *engine.Tree) *Proof {
	p := &Proof{Divergences: []*Divergence{}}
	actions := map[string]int{}
	was, is := newWriter(old, actions), newWriter(now, actions)
	for _, c := range prove.Differ(old, now) {
		p.add(c)
		if c.LeftOut || c.Old == nil || c.Never != "" || c.Undecided != "" || len(c.Divergences) > 0 {
			continue
		}
		if what := doubtful(was, is, c); what != "" {
			p.Exact = once(p.Exact, whereOf(c)+": "+what)
		} else {
			p.InDoubt++
		}
	}
	return p
}

func (p *Proof) add(c *prove.Compared) {
	where := whereOf(c)
	for _, n := range c.Notes {
		p.Notes = once(p.Notes, n)
	}
	switch {
	case c.LeftOut:
		p.LeftOut = once(p.LeftOut, where)
	case c.Never != "":
		p.Never = once(p.Never, where+": "+c.Never)
	case c.Undecided != "":
		p.Undecided = once(p.Undecided, Undecided{where, c.Undecided, c.Tried})
	case len(c.Divergences) == 0 && c.Old == nil:
		p.SameRules++
	case len(c.Divergences) == 0:
		p.Same++
	}
	for _, x := range c.Divergences {
		p.diverge(where, c, x)
	}
}

// once adds to a list what is not in it.
func once[T comparable](list []T, x T) []T {
	if slices.Contains(list, x) {
		return list
	}
	return append(list, x)
}

// diverge tells a divergence once, in however many places its step is laid in.
func (p *Proof) diverge(where string, c *prove.Compared, x prove.Divergence) {
	d := &Divergence{Where: where, BranchWas: guardOf(x.Was), BranchIs: guardOf(x.Is), ByTrial: c.Undecided != "" && x.When == "", compared: c, shown: x}
	d.Was = wayOf(x.Was, "was taken by no branch", "was let through", "went to ", "ended in ")
	d.Is = wayOf(x.Is, "is now taken by no branch", "is now let through", "now goes to ", "now ends in ")
	if x.When != "" {
		d.Says = where + ", when " + x.When + ": it " + d.Was + " and " + d.Is
	} else {
		d.Says = where + ": " + answersOf(x) + " " + d.Was + " and " + d.Is
	}
	if d.ByTrial {
		d.Says += " (found by trial)"
	}
	for _, s := range x.Shown {
		if !s.Any {
			d.Answers = append(d.Answers, Said{Ask: s.Reading + s.Step, Text: s.Is})
		}
	}
	i := slices.IndexFunc(p.Divergences, func(o *Divergence) bool {
		return o.Where == where && o.Was == d.Was && o.Is == d.Is && o.BranchWas == d.BranchWas && o.BranchIs == d.BranchIs && o.shown.When == x.When
	})
	if i < 0 {
		i = len(p.Divergences)
		p.Divergences = append(p.Divergences, d)
	}
	if c.Old != nil {
		p.Divergences[i].Steps = append(p.Divergences[i].Steps, c.Old.ID)
	}
}

func whereOf(c *prove.Compared) string {
	if c.Old == nil {
		return "hazard rule " + c.OldRule.ID
	}
	return "step " + base(c.Old)
}

// wayOf says where a way leads.
func wayOf(w prove.Way, nobody, passes, goes, ends string) string {
	switch {
	case w.Passes:
		return passes
	case w.To.Step != nil:
		return goes + base(w.To.Step)
	case w.To.Finding != nil && w.Branch == nil:
		return ends + target(w.To)
	case w.To.Finding != nil:
		return goes + target(w.To)
	}
	return nobody
}

func guardOf(w prove.Way) string {
	if w.Branch == nil {
		return ""
	}
	return w.Branch.Text
}

// answersOf puts a witness into the words of the readings. What may be anything is
// left out.
func answersOf(x prove.Divergence) string {
	var out []string
	for _, s := range x.Shown {
		if s.Any {
			continue
		}
		if s.Step != "" {
			out = append(out, "step "+s.Step+" "+s.Is)
			continue
		}
		name := nameOf(s)
		if s.Exactly {
			name += " exactly"
		}
		out = append(out, name+" "+s.Is)
	}
	if len(out) == 0 {
		return "any answer"
	}
	return strings.Join(out, ", ")
}

// nameOf is what a reading is asked as, within a sentence; a question is named by
// its reading.
func nameOf(s prove.Shown) string {
	name := s.Title
	if name == "" || strings.HasSuffix(name, "?") {
		name = text.Spoken(s.Of)
	}
	name = text.Lower(name)
	if step, ok := strings.CutSuffix(s.Reading, "."+s.Of); ok {
		name += " at step " + step
	}
	return name
}
