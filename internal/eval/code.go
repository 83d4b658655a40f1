package eval

import (
	"math"
	"slices"
)

// Code is a list of guards as one jump program: each instruction asks one thing
// and says where to go on a yes and on a no. It stops at the first guard that
// surely holds, and gives up as soon as something is open or not known, so it
// decides only what is beyond doubt; the full evaluation decides the rest. It
// leaves no trace but its result: who wants the reasons runs the program whole.
type Code struct{ instrs []instr }

type instr struct {
	kind    instrKind
	strict  bool // less: value < bound, else value <= bound
	yes, no int32
	slot    int32 // of a reading, or the index of a step
	set     uint64
	bound   float64
	sum     *sum
}

type instrKind uint8

const (
	isOneOf instrKind = iota
	isBelow           // a single reading against a constant
	isAbove
	isKnown
	isDone
	isSum // anything else
	isSure
)

// GiveUp is what Run of a Code returns when the doubt, or a missing answer, keeps
// it from deciding.
const GiveUp = -1

// Targets below zero end the program (guard -1-t holds) or, at gap, give up;
// while the code is laid down, targets at or below firstLabel stand for places
// that are not known yet.
const (
	gap        = math.MinInt32
	firstLabel = math.MinInt32 / 2
)

// coder lays code down.
type coder struct {
	code   []instr
	places []int32 // of the labels
}

// Compile makes one jump program of guards. A nil guard always holds. A last
// guard that says "none of the others" needs no looking: it is reached when all
// others surely fail.
func Compile(guards []*Guard) Code {
	var c coder
	for i, g := range guards {
		hit := int32(-1 - i)
		last := i == len(guards)-1
		if g == nil || last && g.Otherwise {
			c.code = append(c.code, instr{kind: isSure, yes: hit})
			break
		}
		miss := int32(gap)
		if !last {
			miss = c.label()
		}
		c.node(g.prog, g.Root, hit, miss)
		if !last {
			c.here(miss)
		}
	}
	for i := range c.code {
		in := &c.code[i]
		in.yes, in.no = c.resolve(in.yes), c.resolve(in.no)
	}
	return Code{c.code}
}

func (c *coder) label() int32 {
	c.places = append(c.places, 0)
	return firstLabel - int32(len(c.places)-1)
}

func (c *coder) here(label int32) { c.places[firstLabel-label] = int32(len(c.code)) }

func (c *coder) resolve(to int32) int32 {
	if to > firstLabel || to == gap {
		return to
	}
	return c.places[firstLabel-to]
}

// node lays down the code of one node with its two targets.
func (c *coder) node(p *Program, n *Node, yes, no int32) {
	switch n.Kind {
	case Leaf:
		in := leafCode(p.Atoms[n.Atom])
		in.yes, in.no = yes, no
		c.code = append(c.code, in)
	case Not:
		c.node(p, n.Kids[0], no, yes)
	case Always:
		c.code = append(c.code, instr{kind: isSure, yes: yes})
	case And, Or:
		// In whatever order they are asked they come to the same, and what is quick
		// and never close often settles the rest.
		kids := slices.Clone(n.Kids)
		slices.SortStableFunc(kids, func(a, b *Node) int { return p.cost(a) - p.cost(b) })
		for _, k := range kids[:len(kids)-1] {
			next := c.label()
			if n.Kind == And {
				c.node(p, k, next, no)
			} else {
				c.node(p, k, yes, next)
			}
			c.here(next)
		}
		c.node(p, kids[len(kids)-1], yes, no)
	}
}

// cost puts the parts of a guard in the order in which they are best asked.
func (p *Program) cost(n *Node) int {
	switch {
	case n.Kind == Not:
		return p.cost(n.Kids[0])
	case n.Kind != Leaf:
		return 3
	}
	switch leafCode(p.Atoms[n.Atom]).kind {
	case isBelow, isAbove:
		return 1
	case isSum:
		return 2
	}
	return 0
}

// leafCode picks the quickest instruction for an atom.
func leafCode(a *Atom) instr {
	switch a.Kind {
	case OneOf:
		return instr{kind: isOneOf, slot: int32(a.Var.Slot), set: a.Set}
	case KnownIs:
		return instr{kind: isKnown, slot: int32(a.Var.Slot)}
	case DoneIs:
		return instr{kind: isDone, slot: int32(a.Step)}
	}
	if d := a.Diff; len(d.Terms) == 1 && d.Terms[0].Table == nil && d.Terms[0].Cases == nil && d.Terms[0].First == nil && a.Op != Equal {
		t := d.Terms[0]
		switch t.Coef {
		case 1: // x + k < 0
			return instr{kind: isBelow, strict: a.Op == Less, slot: int32(t.Var.Slot), bound: -d.K}
		case -1: // k - x < 0
			return instr{kind: isAbove, strict: a.Op == Less, slot: int32(t.Var.Slot), bound: d.K}
		}
	}
	return instr{kind: isSum, sum: newSum(a)}
}

// Run gives the number of the first guard that surely holds, or GiveUp.
func (c *Code) Run(env *Env) int {
	pc := int32(0)
	for {
		in := &c.instrs[pc]
		yes, ok := in.ask(env)
		if !ok {
			return GiveUp
		}
		pc = in.no
		if yes {
			pc = in.yes
		}
		if pc < 0 {
			if pc == gap {
				return GiveUp
			}
			return int(-1 - pc)
		}
	}
}

// ask answers one instruction; ok is false when it is open or not known.
func (in *instr) ask(env *Env) (yes, ok bool) {
	switch in.kind {
	case isOneOf:
		v := &env.Values[in.slot]
		switch {
		case !v.Known():
			return false, false
		case v.Set&^in.set == 0:
			return true, true
		}
		return false, v.Set&in.set == 0
	case isBelow, isAbove:
		v := &env.Values[in.slot]
		if !v.Known() {
			return false, false
		}
		lo, hi := v.Range()
		if in.kind == isBelow {
			return in.less(lo-in.bound, hi-in.bound, v.Best)
		}
		return in.less(in.bound-hi, in.bound-lo, v.Best)
	case isKnown:
		return env.Values[in.slot].Known(), true
	case isDone:
		return env.Done[in.slot], true
	case isSum:
		return in.sum.ask(env)
	}
	return true, true
}

// less asks whether a difference between lo and hi is below zero, with the same
// rounding as snap.
func (in *instr) less(lo, hi, best float64) (yes, ok bool) {
	tol := 1e-12 * (math.Abs(best) + math.Abs(in.bound))
	if in.strict {
		return hi < -tol, hi < -tol || lo >= -tol
	}
	return hi <= tol, hi <= tol || lo > tol
}
