package prove

import (
	"math/big"
	"slices"

	"deadflat/internal/engine"
)

// Lead looks for walks of the old edition that come to the step or the hazard rule with the
// answers of a divergence, and hands the record of each on until done says that it is enough.
// They are found by replaying the situations in which anything comes there, so there may be
// none.
func (c *Compared) Lead(d Divergence, meter *engine.Meter, done func(*engine.Record) bool) {
	f := c.was.f
	if f == nil {
		return
	}
	list := c.was.steps[c.Old]
	if c.Old == nil {
		list = c.was.rules[c.OldRule]
	}
	wanted, exact, facts := map[int]domain{}, map[int]*big.Rat{}, cell{}
	for _, s := range d.Shown {
		slot := slices.IndexFunc(f.m.axes, func(ax *axis) bool { return ax.v != nil && ax.v.ID == s.Reading })
		if s.Any || slot < 0 {
			continue
		}
		ax := f.m.axes[slot]
		is := ax.full
		switch i, certain := s.Value.Certain(); {
		case !s.Value.Known():
			is = domain{modes: unknown}
		case ax.number():
			exact[slot] = decimal(s.Value.Best)
			is = ax.piece(exact[slot])
		case certain:
			is.set = 1 << uint(max(0, slices.Index(ax.v.Choices, s.Words[i])))
		}
		wanted[slot] = is
		facts, _ = meetCells(facts, cell{{slot, is}})
	}
	enough := false
	for _, at := range list {
		if f.restrict(at.st, facts) == nil {
			continue
		}
		r := f.replayTo(meter, at.step, at.st, wanted, exact)
		r.roomy = true
		r.tells = func(w *engine.Walk, _ []engine.Event) bool {
			rec := w.Record()
			enough = c.comesThere(rec) && done(rec)
			return enough
		}
		if r.from(nil, nil, 0); enough {
			return
		}
	}
}

// comesThere reports whether a walk has left the step, or has taken all that the rule needs.
func (c *Compared) comesThere(rec *engine.Record) bool {
	if c.Old == nil {
		return !slices.ContainsFunc(c.OldRule.Needs, func(q *engine.Reading) bool {
			return !slices.ContainsFunc(rec.Takes, func(t engine.Take) bool { return t.Reading == q })
		})
	}
	return slices.ContainsFunc(rec.Rounds, func(r engine.RoundRecord) bool {
		return slices.ContainsFunc(r.Steps, func(v engine.Visit) bool { return v.Step == c.Old })
	})
}

// piece is the piece of an axis in which a number lies.
func (a *axis) piece(x *big.Rat) domain {
	i, exact := slices.BinarySearchFunc(a.cuts, x, (*big.Rat).Cmp)
	d := domain{modes: known, lo: int32(2 * i), set: 1}
	if !exact {
		d.lo--
	}
	d.lo = max(0, min(d.lo, a.full.hi))
	d.hi = d.lo
	return d
}
