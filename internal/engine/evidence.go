package engine

import (
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/eval"
	"deadflat/internal/source"
	"deadflat/internal/text"
)

// Evidence is one thing that a finding rests on: any one of its grounds will do.
type Evidence []Ground

// Ground is a reading that was taken, or a step that was done; the other is nil.
type Ground struct {
	Reading *Reading
	Step    *Step
}

// Missing is evidence that a job does not have, and why.
type Missing struct {
	Evidence Evidence
	Text     string // "battery voltage under load: could not be taken: no load tester"
}

// ID names the ground as the author wrote it.
func (g Ground) ID() string {
	if g.Step != nil {
		return "done(" + g.Step.ID + ")"
	}
	return g.Reading.ID
}

// Title names the ground for a person.
func (g Ground) Title() string {
	if g.Step != nil {
		return text.Lower(g.Step.Title)
	}
	return text.Lower(g.Reading.Ask)
}

// String names what will do, as the author wrote it.
func (e Evidence) String() string { return e.list(Ground.ID) }

func (e Evidence) list(of func(Ground) string) string {
	out := make([]string, len(e))
	for i, g := range e {
		out[i] = of(g)
	}
	return text.List(out, "or")
}

// stands reports whether a ground stands: taken on this job, and fresh.
func (s *state) stands(g Ground) bool {
	if g.Step != nil {
		return s.env.Done[g.Step.declared]
	}
	v := &s.env.Values[g.Reading.Index]
	return v.Known() && v.State == eval.Taken
}

// lacking lists what a finding rests on and this job does not have.
func (s *state) lacking(f *Finding) []Missing {
	var out []Missing
	for _, e := range f.RestsOn {
		if !slices.ContainsFunc(e, s.stands) {
			out = append(out, Missing{e, e.list(Ground.Title) + ": " + s.whyNone(e)})
		}
	}
	return out
}

// whyNone says why none of the grounds stands: of the first that was tried, else that
// nobody was asked.
func (s *state) whyNone(e Evidence) string {
	for _, g := range e {
		if g.Step != nil {
			continue
		}
		v := &s.env.Values[g.Reading.Index]
		why := ""
		if l := s.latest(g.Reading); l != nil {
			why = l.why
		}
		switch {
		case v.State == eval.Unable && why != "":
			return "could not be taken: " + why
		case v.State != eval.NotAsked && !v.Known() && v.State != eval.Taken, v.State == eval.Assumed:
			return stateWords(v.State)
		case v.Stale:
			return "read before the vehicle changed"
		}
		if lack := s.missing(g.Reading.Needs); lack != "" {
			return "no " + lack
		}
	}
	return "not read on this way"
}

// restsOn reads what a finding rests on.
func (b *builder) restsOn(d *document, n *yaml.Node, prefix string) []Evidence {
	var out []Evidence
	for _, k := range d.r.List(n) {
		if k.Kind != yaml.MappingNode {
			if g, ok := b.ground(d, k, prefix); ok {
				out = append(out, Evidence{g})
			}
			continue
		}
		m := d.r.Map(k)
		var any Evidence
		for _, o := range d.r.List(m.Get("one_of")) {
			if g, ok := b.ground(d, o, prefix); ok {
				any = append(any, g)
			}
		}
		if !m.Has("one_of") {
			d.r.Fault("missing-key", k, "write a reading, done(STEP), or `one_of:` with a list of them")
			continue
		}
		m.Done()
		if len(any) > 0 {
			out = append(out, any)
		}
	}
	return out
}

func (b *builder) ground(d *document, n *yaml.Node, prefix string) (Ground, bool) {
	name := b.name(d, n, prefix)
	if step, ok := strings.CutPrefix(name, "done("); ok {
		step = strings.TrimSuffix(step, ")")
		s := b.s.steps[prefix+step]
		if s == nil {
			d.r.Fault("unknown-name", n, "%q is not a step of this tree%s", step, source.DidYouMean(step, keys(b.s.steps)))
		}
		return Ground{Step: s}, s != nil
	}
	r := b.readings[name]
	if r == nil && name != "" {
		d.r.Fault("unknown-name", n, "%q is not a declared reading%s%s", name, source.DidYouMean(name, keys(b.readings)), b.elsewhere(name))
	}
	return Ground{Reading: r}, r != nil
}
