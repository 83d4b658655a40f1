package draw

import (
	"math/bits"
	"regexp"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// words puts the conditions of a tree into plain words. Limits are numbers
// wherever what is given settles them.
type words struct {
	env     eval.Env // what is given
	limits  map[string]*eval.Limit
	values  map[string]*eval.Derived
	steps   map[int]string // by the index that done(step) goes by
	formula bool           // write a value that is not settled as the sum that makes it
	open    []open         // limits and values that were named, since they are not settled
}

// open is a limit or a value that depends on what is not given.
type open struct {
	limit *eval.Limit
	value *eval.Derived
}

func (w *words) leftOpen(o open) {
	if !slices.Contains(w.open, o) {
		w.open = append(w.open, o)
	}
}

func newWords(t *engine.Tree, steps map[*engine.Step]*Step) *words {
	w := &words{limits: map[string]*eval.Limit{}, values: map[string]*eval.Derived{}, steps: map[int]string{}}
	w.env = eval.Env{Values: make([]eval.Value, t.Slots()), Done: make([]bool, len(t.Steps))}
	for _, l := range t.Limits {
		w.limits[l.ID] = l
	}
	for _, v := range t.Values {
		w.values[v.ID] = v
	}
	for _, s := range t.Steps {
		w.steps[s.DoneIndex()] = "step " + number(steps[s].Number)
	}
	return w
}

// branch says when a branch is taken. What all branches of a step ask about is
// left out of them.
func (w *words) branch(s *engine.Step, b *engine.Branch) string {
	switch {
	case b == s.Unable:
		return "cannot be taken"
	case b == s.Unsure:
		return "not sure"
	case b.Guard == nil:
		return "then"
	case b.Guard.Otherwise:
		return "otherwise"
	}
	return w.guard(b.Guard, subject(s))
}

// guard says what a guard demands, of what is known to be asked about.
func (w *words) guard(g *eval.Guard, known *eval.Var) string {
	p := phrase{words: w, atoms: g.Program().Atoms, known: known}
	return p.node(g.Root, false)
}

// subject is the one variable that all branches of a step ask about, or nil.
func subject(s *engine.Step) *eval.Var {
	var one *eval.Var
	for _, a := range s.Program().Atoms {
		v := asks(a)
		if v == nil || one != nil && v != one {
			return nil
		}
		one = v
	}
	return one
}

// asks is the variable that stands alone on one side of a comparison.
func asks(a *eval.Atom) *eval.Var {
	switch a.Kind {
	case eval.OneOf:
		return a.Var
	case eval.Compare:
		for _, side := range []*eval.Linear{a.Left, a.Right} {
			if v := alone(side); v != nil && a.Of == nil {
				return v
			}
		}
	}
	return nil
}

func alone(l *eval.Linear) *eval.Var {
	if len(l.Terms) != 1 || l.K != 0 {
		return nil
	}
	if t := l.Terms[0]; t.Coef == 1 && t.Table == nil && t.Cases == nil && t.First == nil {
		return t.Var
	}
	return nil
}

// phrase is one condition while it is put into words.
type phrase struct {
	*words
	atoms []*eval.Atom
	known *eval.Var // need not be named
	said  string    // the subject named last
}

func (p *phrase) node(n *eval.Node, not bool) string {
	switch {
	case n.Of != nil:
		n = n.Kids[0] // it is worded as the comparison of which it is a part
		fallthrough
	case n.Kind == eval.Leaf:
		subject, says := p.atom(p.atoms[n.Atom], not)
		if subject == "" || subject == p.said {
			return says
		}
		p.said = subject
		return subject + " " + says
	case n.Kind == eval.Not:
		return p.node(n.Kids[0], !not)
	case n.Kind == eval.And || n.Kind == eval.Or:
		return p.joined(n, not)
	}
	if not {
		return "never"
	}
	return "then"
}

// joined puts the parts of an and or an or side by side; the other kind inside
// it stands in brackets.
func (p *phrase) joined(n *eval.Node, not bool) string {
	join := " and "
	if (n.Kind == eval.Or) != not {
		join = " or "
	}
	var parts []string
	for _, k := range n.Kids {
		flip := not
		for ; k.Kind == eval.Not; k = k.Kids[0] {
			flip = !flip
		}
		if (k.Kind == eval.And || k.Kind == eval.Or) && k.Of == nil && ((k.Kind == eval.Or) != flip) != (join == " or ") {
			p.said = ""
			parts = append(parts, "("+p.node(k, flip)+")")
			p.said = ""
			continue
		}
		parts = append(parts, p.node(k, flip))
	}
	return strings.Join(parts, join)
}

// atom gives what a comparison is about and what it demands of it.
func (p *phrase) atom(a *eval.Atom, not bool) (subject, says string) {
	switch a.Kind {
	case eval.OneOf:
		return p.oneOf(a, not)
	case eval.KnownIs:
		return p.variable(a.Var), pick(not, "not known", "known")
	case eval.DoneIs:
		return p.steps[a.Step], pick(not, "not done", "done")
	}
	left, right, op := a.Left, a.Right, a.Written
	if onlyLimits(left) && !onlyLimits(right) {
		left, right, op = right, left, mirrored[op]
	}
	if not {
		op = opposite[op]
	}
	subject = p.side(a, left)
	if p.known != nil && alone(left) == p.known && a.Of == nil {
		subject = ""
	}
	return subject, comparisons[op] + " " + p.side(a, right)
}

// side puts one side of a comparison into words.
func (w *words) side(a *eval.Atom, l *eval.Linear) string {
	if l != a.Member() {
		return w.sum(l)
	}
	if v := w.values[a.Of.Extreme.Text]; v != nil {
		return w.value(v)
	}
	return a.Of.Extreme.Names(w.variable)
}

// pick is the first of two texts where something holds, else the second.
func pick(holds bool, yes, no string) string {
	if holds {
		return yes
	}
	return no
}

var (
	mirrored    = map[string]string{"<": ">", "<=": ">=", ">": "<", ">=": "<=", "==": "==", "!=": "!="}
	opposite    = map[string]string{"<": ">=", "<=": ">", ">": "<=", ">=": "<", "==": "!=", "!=": "=="}
	comparisons = map[string]string{"<": "below", "<=": "at most", ">": "above", ">=": "at least", "==": "is", "!=": "is not"}
)

// onlyLimits reports whether a sum asks for no reading of its own.
func onlyLimits(l *eval.Linear) bool {
	return !slices.ContainsFunc(l.Terms, func(t eval.Term) bool { return t.Table == nil && t.Cases == nil })
}

// oneOf names the choices, or those that are left out where they are fewer.
func (p *phrase) oneOf(a *eval.Atom, not bool) (subject, says string) {
	if w, _ := a.Var.Holds(a.Set); w != "" {
		is, words := a.Var.Says(a.Set, not)
		return p.variable(a.Var), is + " " + words
	}
	all, set := a.Var.All(), a.Set
	if not {
		set = all &^ set
	}
	subject = p.variable(a.Var)
	if a.Var == p.known {
		subject = ""
	}
	names, verb := a.Var.Words(set), "is "
	if n := bits.OnesCount64(set); n > 2 && len(a.Var.Choices)-n < n {
		if names = a.Var.Words(all &^ set); len(names) > 1 {
			return subject, "is none of " + strings.Join(names, ", ")
		}
		verb = "is not "
	}
	if a.Var.Kind == eval.YesNo || subject == "" && verb == "is " {
		verb = ""
	}
	return subject, verb + strings.Join(names, " or ")
}

var name = regexp.MustCompile(`[a-z_][a-z0-9_]*(\.[a-z_][a-z0-9_]*)?`)

// sum puts a sum as its author wrote it into words.
func (w *words) sum(l *eval.Linear) string {
	text := name.ReplaceAllStringFunc(l.Text, func(id string) string { return w.named(l, id) })
	return strings.ReplaceAll(text, " * ", " × ")
}

func (w *words) named(l *eval.Linear, id string) string {
	if short, ok := strings.CutPrefix(id, "limits."); ok {
		return w.limit(w.limits[short])
	}
	if v := w.values[id]; v != nil {
		return w.value(v)
	}
	for _, t := range l.Terms {
		if t.Var != nil && t.Var.ID == id {
			return w.variable(t.Var)
		}
	}
	return text.Spoken(id)
}

// limit is a limit's number, or its name while that depends on what is not given.
func (w *words) limit(l *eval.Limit) string {
	in := l.Over(w.env.Values)
	if in.Known {
		return engine.Show(in, l.Unit, "")
	}
	w.leftOpen(open{limit: l})
	if w.formula {
		return text.Spoken(l.ID) + " (" + by(l) + ")"
	}
	return text.Spoken(l.ID)
}

// worth is a limit's number, or all of them while it is not settled.
func (w *words) worth(l *eval.Limit) string {
	if in := l.Over(w.env.Values); in.Known {
		return engine.Show(in, l.Unit, "")
	}
	var parts []string
	if l.Cases != nil {
		for i, y := range l.Cases.Y {
			parts = append(parts, l.Cases.Var.Choices[i]+" "+engine.Show(exactly(y), l.Unit, ""))
		}
		return by(l) + ": " + strings.Join(parts, ", ")
	}
	for i, x := range l.Table.X {
		parts = append(parts, engine.Show(exactly(x), l.Table.Var.Unit, "")+": "+engine.Show(exactly(l.Table.Y[i]), l.Unit, ""))
	}
	return by(l) + ", in straight lines between: " + strings.Join(parts, ", ")
}

func exactly(x float64) eval.Interval {
	return eval.Interval{Range: unit.Exactly(x), Known: true}
}

// notes say what the limits and values come to that the conditions name, since they
// depend on a reading.
func (w *words) notes() []string {
	var out []string
	for i := 0; i < len(w.open); i++ { // what makes a value can name more
		switch o := w.open[i]; {
		case o.limit != nil:
			out = append(out, text.Spoken(o.limit.ID)+": "+w.worth(o.limit))
		case o.value.Call != nil:
			out = append(out, text.Spoken(o.value.ID)+": "+o.value.Text)
		default:
			sums := o.value.Alternatives
			out = append(out, text.Spoken(o.value.ID)+": "+pick(len(sums) > 1, "the first that is known of ", "")+few(sums, len(sums), w.sum))
		}
	}
	return out
}

// by names what a limit that is no single number depends on.
func by(l *eval.Limit) string {
	if l.Cases != nil {
		return "by " + text.Spoken(l.Cases.Var.ID)
	}
	return "by " + text.Spoken(l.Table.Var.ID)
}

// value is a named sum: its number, or its name, or what makes it.
func (w *words) value(v *eval.Derived) string {
	if in := v.Over(w.env.Values); in.Known {
		return engine.Show(in, v.Unit, "")
	}
	if w.formula && v.Extreme != nil {
		return v.Extreme.Names(w.variable)
	}
	if w.formula && len(v.Alternatives) == 1 && v.Alternatives[0].Text != v.ID {
		return w.sum(v.Alternatives[0])
	}
	w.leftOpen(open{value: v})
	return text.Spoken(v.ID)
}

// variable names a reading, and the step where it was taken if the tree asks for
// that take.
func (w *words) variable(v *eval.Var) string {
	step, reading, later := strings.Cut(v.ID, ".")
	if !later {
		return text.Spoken(v.ID)
	}
	return text.Spoken(reading) + " at " + text.Spoken(step)
}
