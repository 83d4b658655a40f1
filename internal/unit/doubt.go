package unit

import (
	"fmt"
	"math"
	"regexp"
	"strings"
)

// doubtMark stands before how far a quantity may be out, or between the ends of a
// range. It may be joined to the numbers beside it.
var doubtMark = regexp.MustCompile(`±|\+/-|\+-|\.\.`)

const between = ".." // the ends of a range; so does the word "to"

// ParseRange reads the same into the range of u in which the quantity lies, and
// refuses words behind it.
func ParseRange(s string, u *Unit) (Range, error) {
	t, err := ParseTyped(s, u)
	if err == nil && t.Rest != "" {
		err = refuse(s, "%s: the words %s after the number mean nothing here", quoted(s), quoted(t.Rest))
	}
	if err != nil {
		return Range{}, err
	}
	r := Around(t.Value, t.OutBy)
	if t.Unit != u {
		r = r.Map(func(v float64) float64 { return u.From(t.Unit.Base(v)) })
	}
	return r, nil
}

// ScanDoubt reads a quantity with its doubt from the start of words, as [ScanTyped]
// reads one without.
func ScanDoubt(words []string, want *Unit) (t Typed, n int, err error) {
	p := cutAtMarks(words)
	t, n, err = ScanTyped(p.words[:p.mark(0)], want)
	if err != nil || n == 0 {
		return t, p.used(n), err
	}
	if next := p.at(n); next == between || strings.EqualFold(next, "to") {
		hi, more, err := ScanTyped(p.words[n+1:p.mark(n+1)], t.Unit)
		switch {
		case more == 0 && next != between: // "12.4 to be sure"
			return t, p.used(n), nil
		case more == 0:
			return t, p.used(n + 1), refuse(p.text(), "%s has no second end: type a range such as 12.3..12.5", quoted(p.text()))
		case err != nil:
			return t, p.used(n + 1 + more), err
		}
		n += 1 + more
		if p.at(n) == between {
			return t, p.used(n), refuse(p.text(), "%s has more than two ends: type a range such as 12.3..12.5", quoted(p.text()))
		}
		t, err = span(t, hi, p.text())
		return t, p.used(n), err
	}
	more, err := t.ScanOutBy(p.words[n:])
	return t, p.used(n + more), err
}

// ScanOutBy reads "± 0.05 V" from the start of words into t.OutBy and reports how
// many of them it took; 0 when no such mark begins there.
func (t *Typed) ScanOutBy(words []string) (n int, err error) {
	p := cutAtMarks(words)
	if mark := p.at(0); mark == between || !doubtMark.MatchString(mark) {
		return 0, nil
	}
	text := p.text()
	if t.OutBy != 0 {
		return 1, refuse(text, "%s is a second doubt: type one, such as 12.4 ± 0.05", quoted(text))
	}
	of := t.Unit
	if of.Dim.Point {
		of, _ = Lookup("K")
	}
	q, n, err := ScanTyped(p.words[1:p.mark(1)], of)
	switch {
	case q.Unit == nil:
		return p.used(1 + n), refuse(text, "%s: a number is wanted after the mark, how far it may be out", quoted(text))
	case q.Unit.Name == "%" && t.Unit.Name != "%":
		t.OutBy = math.Abs(t.Value) * q.Value / 100
	case !q.Given:
		t.OutBy = q.Value
	case q.Unit.Dim == of.Dim:
		t.OutBy = t.Unit.difference(q.Unit.Base(q.Value))
	case q.Unit.Dim == t.Unit.Dim: // degrees on a scale are meant as a difference
		t.OutBy = t.Unit.difference(q.Unit.Base(q.Value) - q.Unit.Base(0))
	default:
		return p.used(1 + n), err
	}
	switch next := p.at(1 + n); {
	case t.OutBy < 0:
		return p.used(1 + n), refuse(text, "%s: a doubt cannot be negative", quoted(text))
	case next != between && doubtMark.MatchString(next):
		return p.used(1 + n), refuse(text, "%s has more than one doubt: type one such as 12.4 ± 0.05", quoted(text))
	}
	return p.used(1 + n), nil
}

// difference converts a difference in base units to u, whose zero does not count.
func (u *Unit) difference(base float64) float64 {
	if u.Dim.Point {
		return base / (u.Base(1) - u.Base(0))
	}
	return u.From(base)
}

// span is what lies between two ends.
func span(lo, hi Typed, text string) (Typed, error) {
	first := lo.Value
	switch {
	case hi.Given && !lo.Given:
	case hi.Unit != lo.Unit:
		first = hi.Unit.From(lo.Unit.Base(lo.Value))
	}
	if first > hi.Value {
		return lo, refuse(text, "%s: the first end is the greater one, type the lesser one first", quoted(text))
	}
	t := hi
	t.Given = lo.Given || hi.Given
	t.Decimals = max(lo.Decimals, hi.Decimals) + 1
	t.Value, t.OutBy = (first+hi.Value)/2, (hi.Value-first)/2
	if first == lo.Value { // what halving adds behind the digits that were typed
		t.Value, t.OutBy = rounded(t.Value, t.Decimals), rounded(t.OutBy, t.Decimals)
	}
	return t, nil
}

func rounded(v float64, decimals int) float64 { return float(fmt.Sprintf("%.*f", decimals, v)) }

// pieces are words cut at the marks of doubt that are joined to them.
type pieces struct {
	words []string
	of    []int // for each: the number of typed words up to and with the one it stands in
	typed []string
}

func cutAtMarks(words []string) pieces {
	p := pieces{typed: words[:min(len(words), mostSpoken)]}
	for i, word := range p.typed {
		for word != "" {
			end := len(word)
			if at := doubtMark.FindStringIndex(word); at != nil && at[0] > 0 {
				end = at[0]
			} else if at != nil {
				end = at[1]
			}
			p.words, p.of = append(p.words, word[:end]), append(p.of, i+1)
			word = word[end:]
		}
	}
	return p
}

// at is the piece with number i; "" behind the last.
func (p *pieces) at(i int) string {
	if i >= len(p.words) {
		return ""
	}
	return p.words[i]
}

// mark is where the first mark at or behind i stands, or the end.
func (p *pieces) mark(i int) int {
	for i < len(p.words) && !doubtMark.MatchString(p.words[i]) {
		i++
	}
	return min(i, len(p.words))
}

// used is how many typed words the first n pieces take.
func (p *pieces) used(n int) int {
	if n == 0 {
		return 0
	}
	return p.of[min(n, len(p.of))-1]
}

func (p *pieces) text() string { return strings.Join(p.typed, " ") }
