package engine

import (
	"strings"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// Text is an author's text. Names in braces ({limits.crank_floor}, {rest_voltage},
// {earth_allowed}) are worked out when it is shown.
type Text struct {
	raw   string
	parts []part
}

type part struct {
	words string
	limit *eval.Limit
	value *eval.Derived
	v     *eval.Var
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
		default:
			b.WriteString(p.words)
		}
	}
	return b.String()
}

// known reports whether all that the text holds can be worked out.
func (t Text) known(env *eval.Env) bool {
	for _, p := range t.parts {
		if p.limit != nil && !p.limit.Over(env.Values).Known || p.value != nil && !p.value.Over(env.Values).Known || p.v != nil && !env.Values[p.v.Slot].Known() {
			return false
		}
	}
	return true
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
