package prove

import (
	"math/bits"
	"math/rand/v2"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// found is one set of answers that no branch takes, or more than one.
type found struct {
	holds   int
	answers Witness
}

const mostSamples = 4000

// sample tries a step at the limits of its readings and beside them. It is no
// proof and is never taken for one.
func (m *model) sample(s *engine.Step, st *state) (*found, int) {
	random := rand.New(rand.NewPCG(1, 2)) // the same answers on every run
	prog := s.Program()
	env := eval.Env{Values: make([]eval.Value, m.tree.Slots()), Done: make([]bool, len(m.tree.Steps))}
	for step, dim := range m.done {
		env.Done[step] = st.get(m, dim).set == yes
	}
	trace := make([]eval.Trace, len(prog.Atoms))
	var vars []*eval.Var
	seen := map[int]bool{}
	for _, a := range prog.Atoms {
		for _, v := range a.Vars() {
			if !seen[v.Slot] {
				seen[v.Slot] = true
				vars = append(vars, v)
			}
		}
	}
	at := make([]domain, len(vars))
	for n := 1; n <= mostSamples; n++ {
		for i, v := range vars {
			d := st.get(m, v.Slot)
			if d.modes&known == 0 {
				d = m.axes[v.Slot].full
			}
			d.modes = known
			env.Values[v.Slot] = m.draw(random, v, &d)
			at[i] = d
		}
		prog.Run(&env, trace)
		holds := 0
		for _, b := range s.Branches {
			if b.Guard == nil || b.Guard.Verdict(trace) == eval.True {
				holds++
			}
		}
		if holds != 1 {
			var w Witness
			for i, v := range vars {
				w = append(w, m.answerAt(v, at[i]))
			}
			return &found{holds, w}, n
		}
	}
	return nil, mostSamples
}

// draw picks a value out of d and leaves in d the piece it lies in.
func (m *model) draw(random *rand.Rand, v *eval.Var, d *domain) eval.Value {
	if !v.Number() {
		k := random.IntN(bits.OnesCount64(d.set))
		set := d.set
		for ; k > 0; k-- {
			set &= set - 1
		}
		d.set = set & -set
		return eval.One(bits.TrailingZeros64(d.set))
	}
	d.lo += int32(random.IntN(int(d.hi - d.lo + 1)))
	d.hi = d.lo
	return eval.Exact(m.axes[v.Slot].typical(d.lo))
}

// typical is a readable value of one piece of the axis.
func (a *axis) typical(piece int32) float64 {
	if a.values == nil {
		a.values = make([]float64, a.full.hi+1)
		for i := range a.values {
			at := int32(i)
			a.values[i] = nearestFloat(a.candidates(domain{modes: known, lo: at, hi: at, set: 1})[0])
		}
	}
	return a.values[piece]
}

func (m *model) answerAt(v *eval.Var, d domain) Answer {
	if m.axes[v.Slot].number() {
		return m.answer(v.Slot, d, m.axes[v.Slot].candidates(d)[0], false)
	}
	return m.answer(v.Slot, d, nil, false)
}
