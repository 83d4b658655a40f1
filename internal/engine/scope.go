package engine

import (
	"maps"
	"slices"
	"strings"

	"deadflat/internal/eval"
)

// scope holds every name of one linked tree.
type scope struct {
	vars   map[string]*eval.Var // readings
	limits map[string]*eval.Limit
	values map[string]*eval.Derived
	steps  map[string]*Step       // by full id
	atStep map[string]*eval.Var   // "full step id.reading", made when first named
	byVar  map[*eval.Var]*Reading // of readings, and of readings at one step
	slots  int
	funcs  map[string]*eval.Func
	sums   []string // names of all values, those not made yet included
}

func newScope() *scope {
	return &scope{vars: map[string]*eval.Var{}, limits: map[string]*eval.Limit{}, values: map[string]*eval.Derived{},
		steps: map[string]*Step{}, atStep: map[string]*eval.Var{}, byVar: map[*eval.Var]*Reading{}}
}

// view is the scope as it looks from one tree: steps are named without the path
// of the sub-trees that lead there.
type view struct {
	*scope
	prefix string
}

func (v *view) Var(name string) *eval.Var         { return v.vars[name] }
func (v *view) Limit(name string) *eval.Limit     { return v.limits[name] }
func (v *view) Derived(name string) *eval.Derived { return v.values[name] }

func (v *view) Func(name string) *eval.Func { return v.funcs[name] }
func (v *view) FuncNames() []string         { return keys(v.funcs) }

func (v *view) Step(name string) int {
	if s := v.steps[v.prefix+name]; s != nil {
		return s.declared
	}
	return -1
}

func (v *view) Take(step, name string) *eval.Var {
	s := v.steps[v.prefix+step]
	if s == nil || s.field(name) == nil {
		return nil
	}
	key := s.ID + "." + name
	t := v.atStep[key]
	if t == nil {
		c := *v.vars[name]
		c.ID, c.Slot = step+"."+name, v.slots
		t = &c
		v.slots++
		v.atStep[key] = t
		v.byVar[t] = v.byVar[v.vars[name]]
	}
	return t
}

// field is the reading of that name that the step takes.
func (s *Step) field(name string) *Reading {
	for _, r := range s.Take {
		if r.ID == name {
			return r
		}
	}
	return nil
}

func (v *view) Names() []string {
	return append(keys(v.vars), keys(v.values)...)
}

func (v *view) LimitNames() []string { return keys(v.limits) }

func (v *view) StepNames() []string {
	var out []string
	for id := range v.steps {
		if name, ok := strings.CutPrefix(id, v.prefix); ok && !strings.Contains(name, "/") {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// Env gives sample values for expr's type check.
func (v *view) Env() map[string]any {
	env := map[string]any{"known": func(any) bool { return true }, "done": func(any) bool { return true }}
	for _, name := range v.StepNames() {
		env[name] = ""
		for _, r := range v.steps[v.prefix+name].Take {
			env[name+"."+r.ID] = v.vars[r.ID].Sample()
		}
	}
	for name, r := range v.vars {
		env[name] = r.Sample()
	}
	for _, name := range v.sums {
		env[name] = 0.0
	}
	for name := range v.limits {
		env["limits."+name] = 0.0
	}
	return env
}

func keys[T any](m map[string]T) []string {
	return slices.Sorted(maps.Keys(m))
}
