package prove

import "math/bits"

// mode says how a reading stands.
type mode uint8

// The modes of a reading, as a set. Only a known one has a value.
const (
	known  mode = 1 << iota
	absent      // not asked on this way
	passed      // skipped, or could not be taken
	stale       // taken before something that changed the vehicle

	unknown = absent | passed | stale
	anyMode = known | unknown
)

// domain is the set of what one dimension can be: how a reading stands and, when it
// is known, a range of pieces of its axis (numbers) or a set of words (choices).
// A number has set 1, a choice has lo = hi = 0. The dimension of done(step) and
// of a comparison has set bit 0 for no and bit 1 for yes.
type domain struct {
	modes  mode
	lo, hi int32
	set    uint64
}

const (
	no  uint64 = 1
	yes uint64 = 2
)

func truth(set uint64) domain { return domain{modes: known, set: set} }

// meet is what lies in both.
func meet(a, b domain) domain {
	r := domain{modes: a.modes & b.modes, lo: max(a.lo, b.lo), hi: min(a.hi, b.hi), set: a.set & b.set}
	if r.modes&known != 0 && (r.lo > r.hi || r.set == 0) {
		r.modes &^= known
	}
	if r.modes&known == 0 {
		r.lo, r.hi, r.set = 0, 0, 0
	}
	return r
}

func (d domain) empty() bool { return d.modes == 0 }

// meets reports whether anything lies in both.
func meets(a, b *domain) bool {
	m := a.modes & b.modes
	return m&unknown != 0 || m&known != 0 && a.lo <= b.hi && b.lo <= a.hi && a.set&b.set != 0
}

// join is the smallest domain that holds both.
func join(a, b domain) domain {
	switch {
	case a.modes&known == 0:
		b.modes |= a.modes
		return b
	case b.modes&known == 0:
		a.modes |= b.modes
		return a
	}
	return domain{modes: a.modes | b.modes, lo: min(a.lo, b.lo), hi: max(a.hi, b.hi), set: a.set | b.set}
}

// within reports whether a lies in b.
func within(a, b domain) bool {
	if a.modes&^b.modes != 0 {
		return false
	}
	return a.modes&known == 0 || a.lo >= b.lo && a.hi <= b.hi && a.set&^b.set == 0
}

// size counts the pieces.
func (d *domain) size() float64 {
	n := float64(bits.OnesCount8(uint8(d.modes & unknown)))
	if d.modes&known != 0 {
		n += float64(d.hi-d.lo+1) * float64(bits.OnesCount64(d.set))
	}
	return n
}

// outside gives the parts of b that do not lie in c.
func outside(b, c domain, out []domain) []domain {
	if m := b.modes &^ c.modes; m != 0 {
		p := b
		p.modes = m
		if m&known == 0 {
			p.lo, p.hi, p.set = 0, 0, 0
		}
		out = append(out, p)
	}
	if b.modes&c.modes&known == 0 {
		return out
	}
	if b.lo < c.lo {
		out = append(out, domain{known, b.lo, min(b.hi, c.lo-1), b.set})
	}
	if b.hi > c.hi {
		out = append(out, domain{known, max(b.lo, c.hi+1), b.hi, b.set})
	}
	if s := b.set &^ c.set; s != 0 {
		if lo, hi := max(b.lo, c.lo), min(b.hi, c.hi); lo <= hi {
			out = append(out, domain{known, lo, hi, s})
		}
	}
	return out
}
