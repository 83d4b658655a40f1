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
	fields []Field
	words  []string
	out    []Typed
	named  *Reading // the reading named last
}

// ParseLine reads a whole line of answers in any order, each led by its short
// name ("rest 12.6 crank 11.4 slow pos .15 neg 2.4 82A"). A bare value goes to
// the next open field that it fits; a bare word to the one choice it can mean; a
// number with a unit to the one open field of that sort. What is ambiguous is
// refused with the reason, and then nothing of the line is taken.
func (t *Tree) ParseLine(fields []Field, line string) ([]Typed, *Refusal) {
	if len(fields) > 0 && !t.startsWithName(line) {
		if a, ref := t.Parse(fields[0].Reading, line); ref == nil {
			return []Typed{{fields[0].Reading, a}}, nil
		} else if ref.Suggest != "" || len(strings.Fields(line)) == 1 {
			// A bare word is for the field that is asked; only where that is a
			// number can it be meant for another.
			if typed, ok := t.bareLine(fields, line); ok && fields[0].Reading.Number() {
				return typed, nil
			}
			return nil, ref
		}
	}
	p := &lineReader{t: t, fields: fields, words: strings.Fields(strings.NewReplacer(";", " ", ", ", " ", "=", " ").Replace(line))}
	return p.read()
}

// bareLine tries a single word on the fields after the first.
func (t *Tree) bareLine(fields []Field, line string) ([]Typed, bool) {
	p := &lineReader{t: t, fields: fields, words: strings.Fields(line)}
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
	q, n, err := unit.ScanTyped(words, r.Unit)
	if err != nil {
		return 0, &Refusal{Reading: r, Reason: r.Short + ": " + reason(err)}
	}
	a := Answer{Value: q.Value, Unit: q.Unit.Name}
	if n < len(words) && (strings.HasPrefix(words[n], "±") || strings.HasPrefix(words[n], "+-")) {
		used, ref := p.doubt(r, &a, words[n:])
		if ref != nil {
			return 0, ref
		}
		n += used
	}
	for n < len(words) {
		h, ok := held[strings.ToLower(words[n])]
		if !ok || p.t.byShort(words[n]) != nil {
			break
		}
		a.Held = h
		n++
	}
	a.Typed = strings.Join(words[:n], " ")
	if ref := r.spanned(&a, q); ref != nil {
		ref.Reason = r.Short + ": " + ref.Reason
		return 0, ref
	}
	p.add(r, a)
	return n, nil
}

// doubt reads "± 0.05 V" in a line and says how many words it took.
func (p *lineReader) doubt(r *Reading, a *Answer, words []string) (int, *Refusal) {
	text := words[0]
	used := 1
	if (text == "±" || text == "+-") && len(words) > 1 {
		text += words[1]
		used++
	}
	if _, err := strconv.ParseFloat(strings.TrimLeft(text, "±+-"), 64); err == nil && used < len(words) && strings.EqualFold(words[used], a.Unit) {
		used++
	}
	_, ref := r.ownDoubt(a, text)
	return used, ref
}

// choice reads as many words as one choice is long, up to the next short name.
func (p *lineReader) choice(r *Reading, words []string) (int, *Refusal) {
	end := 1
	for end < len(words) && p.t.byShort(words[end]) == nil {
		end++
	}
	var last *Refusal
	for ; end > 0; end-- {
		a, ref := p.t.Parse(r, strings.Join(words[:end], " "))
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
			if a, ref := p.t.Parse(r, s); ref == nil {
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
		q, _, err := unit.ScanTyped(words, r.Unit)
		if err == nil && q.Given {
			return q.Unit
		}
	}
	return nil
}
