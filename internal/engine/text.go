package engine

import (
	"slices"
	"strings"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// Text is an author's text. Names in braces ({limits.crank_floor}, {rest_voltage},
// {earth_allowed}) are worked out when it is shown. A sentence of a finding may have a
// condition: it is said when that holds and every name in it can be worked out.
type Text struct {
	raw   string
	parts []part
}

type part struct {
	words string
	limit *eval.Limit
	value *eval.Derived
	v     *eval.Var
	when  *eval.Guard // words, then, are of a sentence that is said only when this holds
	say   *Text
}

// Raw is what the author wrote.
func (t Text) Raw() string { return t.raw }

// Empty reports whether there is no text.
func (t Text) Empty() bool { return t.raw == "" }

// Over is the text with its names worked out over the given answers. A name
// whose answer is not known yet is shown in words.
func (t Text) Over(env *eval.Env) string {
	if len(t.parts) == 0 {
		return t.raw
	}
	var b strings.Builder
	for _, p := range t.parts {
		switch {
		case p.limit != nil:
			b.WriteString(Show(p.limit.Over(env.Values), p.limit.Unit, "(depends on "+limitNeeds(p.limit)+")"))
		case p.value != nil:
			b.WriteString(Show(p.value.Over(env.Values), p.value.Unit, "("+titleOf(p.value)+")"))
		case p.v != nil:
			b.WriteString(showVar(p.v, env))
		case p.say != nil:
			if p.when != nil && (p.when.Eval(env) != eval.True || !p.say.known(env)) {
				continue
			}
			if b.Len() > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(p.say.Over(env))
		default:
			b.WriteString(p.words)
		}
	}
	return b.String()
}

// known reports whether all that the text holds can be worked out.
func (t Text) known(env *eval.Env) bool {
	for _, p := range t.parts {
		if p.say != nil && p.when == nil && !p.say.known(env) || p.limit != nil && !p.limit.Over(env.Values).Known || p.value != nil && !p.value.Over(env.Values).Known || p.v != nil && !env.Values[p.v.Slot].Known() {
			return false
		}
	}
	return true
}

// Sentence is a part of a text, with its condition; nil when it is always said.
type Sentence struct {
	When *eval.Guard
	Say  Text
}

// Sentences are the parts of a text; of one that is no list, the text itself.
func (t Text) Sentences() []Sentence {
	var out []Sentence
	for _, p := range t.parts {
		if p.say != nil {
			out = append(out, Sentence{p.when, *p.say})
		}
	}
	if out == nil && !t.Empty() {
		out = []Sentence{{Say: t}}
	}
	return out
}

// Names lists the readings that the plain sentences of a finding name.
func (f *Finding) Names() []*eval.Var {
	return slices.Concat(f.Remedy.Names(), f.Customer.Names(), f.Open.Names())
}

// Names lists the readings that a text names whatever holds: those of its conditional
// sentences are left out.
func (t Text) Names() []*eval.Var {
	var out []*eval.Var
	for _, p := range t.parts {
		switch {
		case p.when != nil:
		case p.say != nil:
			out = append(out, p.say.Names()...)
		case p.v != nil:
			out = append(out, p.v)
		case p.value != nil && p.value.Call == nil && len(p.value.Alternatives) == 1:
			out = append(out, p.value.Vars()...)
		case p.limit != nil && p.limit.Table != nil:
			out = append(out, p.limit.Table.Var)
		case p.limit != nil && p.limit.Cases != nil:
			out = append(out, p.limit.Cases.Var)
		}
	}
	return out
}

func titleOf(d *eval.Derived) string {
	if d.Title != "" {
		return d.Title
	}
	return text.Spoken(d.ID)
}

func limitNeeds(l *eval.Limit) string {
	switch {
	case l.Table != nil:
		return text.Lower(l.Table.Var.Title)
	case l.Cases != nil:
		return text.Lower(l.Cases.Var.Title)
	}
	return l.ID
}

func showVar(v *eval.Var, env *eval.Env) string {
	val := &env.Values[v.Slot]
	if !val.Known() {
		return "(" + text.Lower(v.Title) + ")"
	}
	if !v.Number() {
		return strings.Join(v.Words(val.Set), " or ")
	}
	return show(val.Best, v.Unit)
}
