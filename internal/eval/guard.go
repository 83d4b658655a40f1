package eval

import (
	"math"
	"slices"
)

// Op compares an atom's sum with zero.
type Op uint8

// The comparisons.
const (
	Less      Op = iota // left < right
	LessEqual           // left <= right
	Equal               // left == right, for plain counts only
)

// AtomKind says what an atom asks.
type AtomKind uint8

// The kinds.
const (
	Compare AtomKind = iota // Diff Op 0
	OneOf                   // the choice of Var lies in Set
	KnownIs                 // Var is known
	DoneIs                  // Step has been done
)

// Atom is one comparison: the smallest thing that is true, false or open.
type Atom struct {
	Kind AtomKind
	Text string // as written: "earth_drop > earth_allowed"

	Op          Op
	Diff        *Linear // left minus right
	Left, Right *Linear // for showing
	Written     string  // "<" "<=" or "=="; the author's ">=" is the negation of "<"
	Of          *Group  // the comparison of an extreme that it is a part of, else nil

	Var  *Var
	Set  uint64
	Step int // index of the step for DoneIs
}

// Trace is what evaluating one atom left behind.
type Trace struct {
	Verdict Verdict
	Nominal bool // the verdict on the best values; means nothing when Unknown
	Diff    Interval
}

// Env is what expressions are evaluated over.
type Env struct {
	Values []Value
	Done   []bool // by step index
}

// Eval decides the atom and says how.
func (a *Atom) Eval(env *Env) Trace {
	switch a.Kind {
	case Compare:
		d := a.Diff.Over(env.Values)
		if !d.Known {
			return Trace{Verdict: Unknown, Diff: d}
		}
		return a.compare(d)
	case OneOf:
		return a.oneOf(&env.Values[a.Var.Slot])
	case KnownIs:
		v := &env.Values[a.Var.Slot]
		if v.Awaited {
			return Trace{Verdict: Unknown}
		}
		return certain(v.Known())
	}
	return certain(env.Done[a.Step])
}

func certain(yes bool) Trace {
	if yes {
		return Trace{Verdict: True, Nominal: true}
	}
	return Trace{Verdict: False}
}

func (a *Atom) compare(d Interval) Trace {
	d.Lo, d.Best, d.Hi = snap(d.Lo, d.scale), snap(d.Best, d.scale), snap(d.Hi, d.scale)
	t := Trace{Diff: d}
	switch a.Op {
	case Less:
		t.Nominal = d.Best < 0
		t.Verdict = verdict(d.Hi < 0, d.Lo >= 0)
	case LessEqual:
		t.Nominal = d.Best <= 0
		t.Verdict = verdict(d.Hi <= 0, d.Lo > 0)
	case Equal:
		t.Nominal = d.Best == 0
		t.Verdict = verdict(d.Lo == 0 && d.Hi == 0, d.Lo > 0 || d.Hi < 0)
	}
	return t
}

func verdict(always, never bool) Verdict {
	switch {
	case always:
		return True
	case never:
		return False
	}
	return Open
}

// Safer is the comparison's verdict on the safer side of the limits in it. The side belongs
// to the limit: what is held against it lies below where the limit is the greater, on
// whichever side it is written. by is the first limit that names a side, nil when none does
// or when two of them want different verdicts.
func (a *Atom) Safer() (holds bool, by *Limit) {
	if a.Kind != Compare {
		return false, nil
	}
	for _, l := range a.Diff.Limits {
		if l.Safer == NoSide {
			continue
		}
		yes := l.Minus == (l.Safer == SaferBelow) && a.Op != Equal
		switch {
		case by == nil:
			holds, by = yes, l.Limit
		case yes != holds:
			return false, nil
		}
	}
	return holds, by
}

func (a *Atom) oneOf(v *Value) Trace {
	if !v.Known() {
		return Trace{Verdict: Unknown}
	}
	in, out := v.Set&a.Set, v.Set&^a.Set
	return Trace{Verdict: verdict(out == 0, in == 0), Nominal: in != 0 && out == 0}
}

// NodeKind says how a node of a guard joins what is under it.
type NodeKind uint8

// The node kinds.
const (
	Leaf NodeKind = iota
	And
	Or
	Not
	Always
)

// Node is a guard's structure over the atoms of its program.
type Node struct {
	Kind NodeKind
	Atom int     // of a Leaf: index into the program's atoms
	Kids []*Node // of And, Or (two or more) and Not (one)
	Of   *Group  // of the And or Or that a comparison of an extreme is, else nil
}

// Guard is one expression that is true, false or open.
type Guard struct {
	Text      string
	Root      *Node
	Vars      []*Var // every variable it looks at, each once, in the order written
	Otherwise bool   // it says "none of the step's other guards holds"
	prog      *Program
}

// Program is the list of atoms that the guards of one step share, so that each
// comparison is worked out once.
type Program struct {
	Atoms  []*Atom
	Guards []*Guard
}

// Run evaluates every atom into trace, which must have room for all of them.
func (p *Program) Run(env *Env, trace []Trace) {
	for i, a := range p.Atoms {
		trace[i] = a.Eval(env)
	}
}

// Eval decides a guard alone, when its program has not been run.
func (g *Guard) Eval(env *Env) Verdict {
	var room [16]Trace
	trace := room[:]
	if n := len(g.prog.Atoms); n > len(room) {
		trace = make([]Trace, n)
	}
	g.prog.Run(env, trace)
	return g.Verdict(trace)
}

// Program is the list of atoms the guard looks into.
func (g *Guard) Program() *Program { return g.prog }

// Verdict decides the guard from a trace of its program.
func (g *Guard) Verdict(trace []Trace) Verdict { return g.Root.verdict(trace, false) }

// Nominal decides the guard on the best values alone.
func (g *Guard) Nominal(trace []Trace) bool { return g.Root.verdict(trace, true) == True }

func (n *Node) verdict(trace []Trace, nominal bool) Verdict {
	switch n.Kind {
	case Leaf:
		t := &trace[n.Atom]
		if nominal {
			return verdict(t.Nominal, !t.Nominal)
		}
		return t.Verdict
	case Not:
		return not(n.Kids[0].verdict(trace, nominal))
	}
	if n.Of != nil && !nominal {
		return n.Of.verdict(trace)
	}
	switch n.Kind {
	case And:
		v := True
		for _, k := range n.Kids {
			if v = and(v, k.verdict(trace, nominal)); v == False {
				return False
			}
		}
		return v
	case Or:
		v := False
		for _, k := range n.Kids {
			if v = or(v, k.verdict(trace, nominal)); v == True {
				return True
			}
		}
		return v
	}
	return True
}

// Deciding lists the atoms that carry the guard's verdict: all of them for an
// "and" that holds, the one that fails for an "and" that does not, and the other
// way round for "or". An open or unknown guard is carried by its open or unknown
// atoms. One atom speaks for a whole group. The order is as written.
func (g *Guard) Deciding(trace []Trace) []int {
	var out []int
	g.Root.deciding(trace, &out)
	return out
}

func (n *Node) deciding(trace []Trace, out *[]int) {
	switch n.Kind {
	case Leaf:
		if !slices.Contains(*out, n.Atom) {
			*out = append(*out, n.Atom)
		}
	case Not:
		n.Kids[0].deciding(trace, out)
	case And, Or:
		if n.Of != nil {
			*out = append(*out, n.Of.Speaks(trace))
			return
		}
		v := n.verdict(trace, false)
		firm := v == True || v == False
		all := firm && (n.Kind == And) == (v == True)
		for _, k := range n.Kids {
			if !all && k.verdict(trace, false) != v {
				continue
			}
			k.deciding(trace, out)
			if firm && !all {
				return
			}
		}
	}
}

// Margin is how far the best value lies from the atom's limit, and how far the
// doubt reaches towards it, both positive, in base units. A comparison with no
// doubt at all gives doubt 0.
func (t Trace) Margin() (margin, doubt float64) {
	margin = math.Abs(t.Diff.Best)
	if t.Diff.Best < 0 {
		return margin, t.Diff.Hi - t.Diff.Best
	}
	return margin, t.Diff.Best - t.Diff.Lo
}
