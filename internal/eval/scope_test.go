package eval

import (
	"sort"

	"deadflat/internal/unit"
)

// testScope is a small scope: three voltages, a current, a temperature, two
// choices and a yes-or-no, with limits and values over them.
type testScope struct {
	vars   map[string]*Var
	takes  map[string]*Var
	limits map[string]*Limit
	values map[string]*Derived
	funcs  map[string]*Func
}

func u(name string) *unit.Unit {
	x, ok := unit.Lookup(name)
	if !ok {
		panic(name)
	}
	return x
}

func constant(id, number, in string) *Limit {
	l := &Limit{ID: id, Unit: u(in), Source: "test"}
	l.Set(l.Unit.Exact(number))
	return l
}

func newTestScope() *testScope {
	s := &testScope{vars: map[string]*Var{}, takes: map[string]*Var{}, limits: map[string]*Limit{}, values: map[string]*Derived{}}
	for i, v := range []*Var{
		{ID: "rest", Domain: Domain{Unit: u("V"), Span: [2]float64{0, 18}}},
		{ID: "load", Domain: Domain{Unit: u("V"), Span: [2]float64{0, 18}}},
		{ID: "drop", Domain: Domain{Unit: u("V"), Span: [2]float64{-1, 15}}},
		{ID: "amps", Domain: Domain{Unit: u("A"), Span: [2]float64{0, 1000}}},
		{ID: "temp", Domain: Domain{Unit: u("°C"), Span: [2]float64{-40, 60}}},
		{ID: "kind", Domain: Domain{Kind: Choice, Choices: []string{"flooded", "efb", "agm", "gel"}}},
		{ID: "turned", Domain: Domain{Kind: Choice, Choices: []string{"normally", "slowly", "not at all"}}},
		{ID: "lamps", Domain: SeveralOf([]string{"left", "right", "rear"})},
		{ID: "hot", Domain: Domain{Kind: YesNo, Choices: []string{"no", "yes"}}},
		{ID: "lowest", Domain: Domain{Unit: u("V"), Span: [2]float64{0, 18}}}, // named like a function
		{ID: "count", Domain: Domain{Unit: u("1"), Span: [2]float64{0, 9}}},
	} {
		v.Slot, v.Title = i, v.ID
		s.vars[v.ID] = v
	}
	again := *s.vars["rest"]
	again.ID, again.Slot = "first.rest", len(s.vars)
	s.takes["first.rest"] = &again
	s.limits["low"] = constant("low", "12.4", "V")
	s.limits["step"] = constant("step", "0.3", "V")
	s.limits["path"] = constant("path", "0.002", "V/A")
	s.limits["slope"] = constant("slope", "0.0013", "V/K")
	s.limits["warm"] = constant("warm", "25", "°C")
	s.limits["floor"] = &Limit{ID: "floor", Unit: u("V"), Table: &Table{Var: s.vars["temp"]}, Source: "test"}
	for _, p := range [][2]string{{"-18", "8.5"}, {"0", "9.1"}, {"21", "9.6"}} {
		s.limits["floor"].Table.Add(u("°C").Exact(p[0]), u("V").Exact(p[1]))
	}
	s.limits["full"] = &Limit{ID: "full", Unit: u("V"), Cases: &Cases{Var: s.vars["kind"], Y: []float64{12.65, 12.7, 12.8, 12.8}}, Source: "test"}
	return s
}

func (s *testScope) slots() int                { return len(s.vars) + len(s.takes) }
func (s *testScope) Var(n string) *Var         { return s.vars[n] }
func (s *testScope) Take(step, n string) *Var  { return s.takes[step+"."+n] }
func (s *testScope) Limit(n string) *Limit     { return s.limits[n] }
func (s *testScope) Derived(n string) *Derived { return s.values[n] }
func (s *testScope) Names() []string           { return append(sorted(s.vars), sorted(s.values)...) }
func (s *testScope) LimitNames() []string      { return sorted(s.limits) }
func (s *testScope) StepNames() []string       { return []string{"first"} }
func (s *testScope) Func(n string) *Func       { return s.funcs[n] }
func (s *testScope) FuncNames() []string       { return sorted(s.funcs) }
func (s *testScope) Step(n string) int {
	if n == "first" {
		return 0
	}
	return -1
}

func (s *testScope) Env() map[string]any {
	env := map[string]any{"known": func(any) bool { return true }, "done": func(any) bool { return true }, "first": "", "first.rest": 0.0}
	for n, v := range s.vars {
		env[n] = v.Sample()
	}
	for n := range s.values {
		env[n] = 0.0
	}
	for n := range s.limits {
		env["limits."+n] = 0.0
	}
	return env
}

func sorted[T any](m map[string]T) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
