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
	Same        int // steps at which every exact answer goes the same way as before
	InDoubt     int // those of them at which every answer with doubt does so too
	SameRules   int // hazard rules that let the same answers pass
	Divergences []*Divergence
	Undecided   []Undecided
	Exact       []string // steps of Same at which answers with doubt may go another way, and why
	Never       []string // steps that no answers reach in both editions, and why
	Notes       []string // readings and words that only one edition has
}

// Divergence is one way of the old edition and another of the new that the same answers
// take.
type Divergence struct {
	Where    string // "step rest", "hazard rule swollen"
	Answers  string // `battery voltage at rest 12.38 V`
	Was, Is  string // "went to charge", "now goes to finding worn_out"
	Guards   [2]string
	ByTrial  bool          // the step is undecided: these answers were found by trial
	Walks    int           // walks tried that diverge there
	Ends     []*Difference // findings that those come to instead
	compared *prove.Compared
	shown    prove.Divergence
	steps    []string // ids of the step wherever it is laid in
}

// Undecided is a step that is too much for a proof.
type Undecided struct {
	Where string `json:"where"`
	Why   string `json:"why"`
	Tried int    `json:"answers_tried"`
}

// Prove holds every step and hazard rule of two editions against each other.
func Prove(old, now *engine.Tree) *Proof {
	p := &Proof{}
	was, is := newWriter(old), newWriter(now)
	for _, c := range prove.Differ(old, now) {
		p.add(c)
		if c.Old == nil || c.Never != "" || c.Undecided != "" || len(c.Divergences) > 0 {
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
	case c.Never != "":
		p.Never = once(p.Never, where+": "+c.Never)
	case c.Undecided != "":
		if u := (Undecided{where, c.Undecided, c.Tried}); !slices.Contains(p.Undecided, u) {
			p.Undecided = append(p.Undecided, u)
		}
	case len(c.Divergences) == 0 && c.Old == nil:
		p.SameRules++
	case len(c.Divergences) == 0:
		p.Same++
	}
	for _, x := range c.Divergences {
		p.diverge(where, c, x)
	}
}

func once(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

// diverge tells a divergence once, in however many places its step is laid in.
func (p *Proof) diverge(where string, c *prove.Compared, x prove.Divergence) {
	d := &Divergence{Where: where, Answers: answersOf(x), ByTrial: c.Undecided != "" && x.When == "", compared: c, shown: x}
	d.Was, d.Is = wayOf(x.Was, "was taken by no branch", "was let through", "went to ", "ended in "), wayOf(x.Is, "is now taken by no branch", "is now let through", "now goes to ", "now ends in ")
	d.Guards = [2]string{guardOf(x.Was), guardOf(x.Is)}
	i := slices.IndexFunc(p.Divergences, func(o *Divergence) bool {
		return o.Where == where && o.Was == d.Was && o.Is == d.Is && o.Guards == d.Guards && o.shown.When == x.When
	})
	if i < 0 {
		i = len(p.Divergences)
		p.Divergences = append(p.Divergences, d)
	}
	if c.Old != nil {
		p.Divergences[i].steps = append(p.Divergences[i].steps, c.Old.ID)
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
	if x.When != "" {
		return "when " + x.When
	}
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

// ended notes that a walk which diverges there comes to another finding.
func (d *Divergence) ended(x *Difference) {
	if !slices.Contains(d.Ends, x) {
		d.Ends = append(d.Ends, x)
	}
}
