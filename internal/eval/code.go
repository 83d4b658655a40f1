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
type Code struct {
	instrs []instr
	begin  int32
}

type instr struct {
	kind    instrKind
	strict  bool  // less: value < bound, else value <= bound
	yes, no int32 // the next instruction, or an end
	slot    int32 // of a reading, or the index of a step
	set     uint64
	bound   float64
	sum     *sum
}

// instrKind is what is asked, the quickest first.
type instrKind uint8

const (
	isOneOf instrKind = iota
	isKnown
	isDone
	isBelow // a single reading against a constant
	isAbove
	isSum // anything else
)

// GiveUp is what Run of a Code returns when the doubt, or a missing answer, keeps
// it from deciding.
const GiveUp = -1

// An end below zero says that guard -1-end holds; gap is the end where none does.
const gap = math.MinInt32

// Compile makes one jump program of guards. A nil guard always holds. A last
// guard that says "none of the others" needs no looking: it is reached when all
// others surely fail.
func Compile(guards []*Guard) Code {
	c := Code{begin: gap}
	// From the last to the first, so that what an instruction goes on to is there.
	for i, g := range slices.Backward(guards) {
		holds := int32(-1 - i)
		if g == nil || i == len(guards)-1 && g.Otherwise {
			c.begin = holds
			continue
		}
		c.begin = c.add(g.prog, g.Root, holds, c.begin)
	}
	return c
}

// add lays down a node that goes on to yes or no, and gives where it begins.
func (c *Code) add(p *Program, n *Node, yes, no int32) int32 {
	switch n.Kind {
	case Always:
		return yes
	case Not:
		return c.add(p, n.Kids[0], no, yes)
	case Leaf:
		in := leafCode(p.Atoms[n.Atom])
		in.yes, in.no = yes, no
		c.instrs = append(c.instrs, in)
		return int32(len(c.instrs) - 1)
	}
	// In whatever order they are asked they come to the same, and what is quick
	// and never close often settles the rest.
	kids := slices.Clone(n.Kids)
	slices.SortStableFunc(kids, func(a, b *Node) int { return int(p.slowness(a)) - int(p.slowness(b)) })
	for _, k := range slices.Backward(kids) {
		if n.Kind == And {
			yes = c.add(p, k, yes, no)
		} else {
			no = c.add(p, k, yes, no)
		}
	}
	at := no
	if n.Kind == And {
		at = yes
	}
	if n.Of != nil {
		for _, v := range n.Of.Extreme.Vars {
			c.instrs = append(c.instrs, instr{kind: isKnown, slot: int32(v.Slot), yes: at, no: gap})
			at = int32(len(c.instrs) - 1)
		}
	}
	return at
}

// slowness puts the parts of a guard in the order in which they are best asked.
func (p *Program) slowness(n *Node) instrKind {
	switch n.Kind {
	case Not:
		return p.slowness(n.Kids[0])
	case Leaf:
		return leafCode(p.Atoms[n.Atom]).kind
	}
	return isSum + 1
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
	at := c.begin
	for at >= 0 {
		in := &c.instrs[at]
		yes, ok := in.ask(env)
		if !ok {
			return GiveUp
		}
		at = in.no
		if yes {
			at = in.yes
		}
	}
	if at == gap {
		return GiveUp
	}
	return int(-1 - at)
}

// ask answers one instruction; ok is false when it is open or not known.
func (in *instr) ask(env *Env) (yes, ok bool) {
	switch in.kind {
	case isKnown:
		return env.Values[in.slot].Known(), true
	case isDone:
		return env.Done[in.slot], true
	case isSum:
		return in.sum.ask(env)
	}
	v := &env.Values[in.slot]
	if !v.Known() {
		return false, false
	}
	if in.kind == isOneOf {
		yes = v.Set&^in.set == 0
		return yes, yes || v.Set&in.set == 0
	}
	lo, hi := v.Range()
	if in.kind == isBelow {
		return in.less(lo-in.bound, hi-in.bound, v.Best)
	}
	return in.less(in.bound-hi, in.bound-lo, v.Best)
}

// less asks whether a difference between lo and hi is below zero, with the same
// rounding as a comparison that is worked out whole.
func (in *instr) less(lo, hi, best float64) (yes, ok bool) {
	tol := 1e-12 * (math.Abs(best) + math.Abs(in.bound))
	if in.strict {
		return hi < -tol, hi < -tol || lo >= -tol
	}
	return hi <= tol, hi <= tol || lo > tol
}
