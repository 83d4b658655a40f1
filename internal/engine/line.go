package engine

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/unit"
)

// lineReader reads a whole line of answers from left to right.
type lineReader struct {
	t      *Tree
	meter  *Meter
	fields []Field
	words  []string
	out    []Typed
	named  *Reading // the reading named last
}

// ParseLine reads a whole line of answers in any order, each led by its short
// name ("rest 12.6 crank 11.4 slow pos .15 neg 2.4 82A"). A bare value goes to
// the next open field that it fits; a bare word to the one choice it can mean; a
// number with a unit to the one open field of that sort. What is ambiguous is
// refused with the reason, and then nothing of the line is taken. Numbers were read
// from meter m.
func (t *Tree) ParseLine(fields []Field, line string, m *Meter) ([]Typed, *Refusal) {
	var first *Refusal
	if len(fields) > 0 && !t.startsWithName(line) {
		if a, ref := fields[0].Reading.Parse(line, m); ref == nil {
			return []Typed{{fields[0].Reading, a}}, nil
		} else if ref.Suggest != "" || len(strings.Fields(line)) == 1 {
			// A bare word is for the field that is asked; only where that is a
			// number can it be meant for another.
			if typed, ok := t.bareLine(fields, line, m); ok && fields[0].Reading.Number() {
				return typed, nil
			}
			return nil, ref
		} else {
			first = ref
		}
	}
	p := &lineReader{t: t, meter: m, fields: fields, words: strings.Fields(strings.NewReplacer(";", " ", ", ", " ", "=", " ").Replace(line))}
	out, ref := p.read()
	if ref != nil && first != nil && ref.Reading == nil && fields[0].Reading.Many() {
		ref = first // several words are one answer: why they are none says more
	}
	return out, ref
}

// bareLine tries a single word on the fields after the first.
func (t *Tree) bareLine(fields []Field, line string, m *Meter) ([]Typed, bool) {
	p := &lineReader{t: t, meter: m, fields: fields, words: strings.Fields(line)}
	out, ref := p.read()
	return out, ref == nil && len(out) > 0
}

func (t *Tree) startsWithName(line string) bool {
	f := strings.Fields(line)
	return len(f) > 1 && t.byShort(f[0]) != nil
}

// byShort finds a reading by its short name or its id.
func (t *Tree) byShort(s string) *Reading {
	s = strings.ToLower(strings.TrimSuffix(s, ":"))
	for _, r := range t.Readings {
		if r.Short == s || r.ID == s {
			return r
		}
	}
	return nil
}

// ReadingNamed finds a reading by its short name or its id; nil if there is none.
func (t *Tree) ReadingNamed(s string) *Reading { return t.byShort(s) }

func (p *lineReader) read() ([]Typed, *Refusal) {
	for i := 0; i < len(p.words); {
		n, ref := p.one(p.words[i:])
		if ref != nil {
			return nil, ref
		}
		i += n
	}
	if len(p.out) == 0 {
		return nil, &Refusal{Reason: "nothing was typed"}
	}
	return p.out, nil
}

// one reads one answer from the front of the words and says how many it used.
func (p *lineReader) one(words []string) (int, *Refusal) {
	if r := p.t.byShort(words[0]); r != nil && len(words) > 1 {
		if p.has(r) {
			return 0, &Refusal{Reading: r, Reason: fmt.Sprintf("%s stands in this line twice", r.Short)}
		}
		n, ref := p.value(r, words[1:])
		return n + 1, ref
	}
	if n := p.phrase(words); n > 0 {
		return n, nil
	}
	if r := p.next(words); r != nil {
		return p.value(r, words)
	}
	return 0, &Refusal{Reason: fmt.Sprintf("%q fits no question that is open; put its short name before it", words[0])}
}

// value reads one answer for a known reading.
func (p *lineReader) value(r *Reading, words []string) (int, *Refusal) {
	if !r.Number() {
		return p.choice(r, words)
	}
	if st, ok := states[strings.ToLower(words[0])]; ok {
		p.add(r, Answer{Typed: words[0], State: st})
		return 1, nil
	}
	q, n, err := unit.ScanDoubt(words, r.Unit)
	if err != nil {
		return 0, &Refusal{Reading: r, Reason: r.Short + ": " + reason(err)}
	}
	var a Answer
	used, ref := r.number(&a, q, words[n:max(n, p.nextName(words))])
	n += used
	a.Typed = strings.Join(words[:n], " ")
	if ref == nil {
		ref = r.spanned(&a, q, p.meter)
	}
	if ref != nil {
		ref.Reason = r.Short + ": " + ref.Reason
		return 0, ref
	}
	p.add(r, a)
	return n, nil
}

// nextName is where the next short name stands behind the first word, or the end.
func (p *lineReader) nextName(words []string) int {
	end := 1
	for end < len(words) && p.t.byShort(words[end]) == nil {
		end++
	}
	return end
}

// choice reads as many words as one choice is long, up to the next short name.
func (p *lineReader) choice(r *Reading, words []string) (int, *Refusal) {
	var last *Refusal
	for end := p.nextName(words); end > 0; end-- {
		a, ref := r.Parse(strings.Join(words[:end], " "), p.meter)
		if ref == nil {
			p.add(r, a)
			return end, nil
		}
		last = ref
	}
	last.Reason = r.Short + ": " + last.Reason
	return 0, last
}

func (p *lineReader) add(r *Reading, a Answer) {
	p.named = r
	p.out = append(p.out, Typed{r, a})
}

func (p *lineReader) has(r *Reading) bool {
	return slices.ContainsFunc(p.out, func(t Typed) bool { return t.Reading == r })
}

// phrase tries the words as a choice of an open field, or of a field of the step
// that takes the reading named last.
func (p *lineReader) phrase(words []string) int {
	if _, err := strconv.Atoi(words[0]); err == nil {
		return 0
	}
	for end := min(len(words), 5); end > 0; end-- {
		s := strings.ToLower(strings.Join(words[:end], " "))
		var hit []Typed
		for _, r := range p.candidates() {
			if r.Number() || p.has(r) {
				continue
			}
			if a, ref := r.Parse(s, p.meter); ref == nil {
				hit = append(hit, Typed{r, a})
			}
		}
		if len(hit) == 1 {
			p.add(hit[0].Reading, hit[0].Answer)
			return end
		}
	}
	return 0
}

// candidates are the open fields, then the readings taken together with the one
// named last.
func (p *lineReader) candidates() []*Reading {
	var out []*Reading
	for _, f := range p.fields {
		out = append(out, f.Reading)
	}
	if p.named == nil {
		return out
	}
	for _, st := range p.t.Steps {
		if st.field(p.named.ID) == nil {
			continue
		}
		for _, r := range st.Take {
			if !slices.Contains(out, r) {
				out = append(out, r)
			}
		}
	}
	return out
}

// next is the reading that a bare value belongs to: with a unit, the first
// candidate of that sort; without one, the next open field.
func (p *lineReader) next(words []string) *Reading {
	if u := p.unitOf(words); u != nil {
		for _, r := range p.candidates() {
			if r.Number() && !p.has(r) && r.Unit.Dim == u.Dim {
				return r
			}
		}
		return nil
	}
	for _, f := range p.fields {
		if !p.has(f.Reading) {
			return f.Reading
		}
	}
	return nil
}

// unitOf is the unit typed with the first word, if any.
func (p *lineReader) unitOf(words []string) *unit.Unit {
	for _, r := range p.candidates() {
		if !r.Number() {
			continue
		}
		q, _, err := unit.ScanDoubt(words, r.Unit)
		if err == nil && q.Given {
			return q.Unit
		}
	}
	return nil
}
