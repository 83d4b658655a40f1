package engine

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// parseChoice reads an answer in words: the whole of a choice first, whatever else
// it could stand for, then "not sure", its number in the list, and last its beginning.
func (r *Reading) parseChoice(a Answer, s string) (Answer, *Refusal) {
	if i := r.exactly(s); i >= 0 {
		a.Choice = r.Choices[i : i+1]
		return a, nil
	}
	if st, ok := states[s]; ok {
		a.State = st
		return a, nil
	}
	if unsureWords[s] || r.Unsure && s == strconv.Itoa(len(r.List())+1) {
		a.Unsure = true
		return a, r.fits(&a, nil)
	}
	read := pick
	if r.Many() {
		read = r.pickSeveral
	}
	word, reason := read(r.List(), s)
	if reason != "" {
		return a, &Refusal{Reading: r, Reason: reason}
	}
	a.Choice = []string{word}
	return a, nil
}

// between is what may stand between the words of several choices.
var between = strings.NewReplacer(",", " , ", ";", " , ", "+", " , ", "&", " , ", " and ", " , ")

// pickSeveral reads the words of several choices: "left, right", "left+right", "1 3".
// Where nothing stands between two of them, the longest text that is one is taken.
func (r *Reading) pickSeveral(list []string, s string) (word, reason string) {
	words := strings.Fields(between.Replace(s))
	var bits uint64
	for len(words) > 0 {
		if words[0] == "," {
			words = words[1:]
			continue
		}
		end := slices.Index(words, ",")
		if end < 0 {
			end = len(words)
		}
		one, why := pick(list, strings.Join(words[:end], " "))
		for reason = why; why != "" && end > 1; {
			end--
			one, why = pick(list, strings.Join(words[:end], " "))
		}
		if why != "" {
			return "", reason
		}
		bits |= 1 << uint(slices.Index(list, one))
		words = words[end:]
	}
	none := uint64(1) << uint(len(list)-1)
	switch {
	case bits == 0:
		return "", "one or more of the choices are wanted, or none"
	case bits > none:
		return "", fmt.Sprintf("%q cannot stand beside others", eval.None)
	}
	return r.Combination(bits &^ none), ""
}

var unsureWords = map[string]bool{"not sure": true, "unsure": true, "?": true, "don't know": true, "dont know": true}

// exactly is the place of the choice that is s but for capitals; -1 for none.
func (r *Reading) exactly(s string) int {
	return slices.IndexFunc(r.Choices, func(c string) bool { return strings.EqualFold(c, s) })
}

// pick gives the word of a list that s means, or the reason why it means none: its
// number, the beginning of the word, or of a word in it.
func pick(list []string, s string) (word, reason string) {
	if i := slices.IndexFunc(list, func(w string) bool { return strings.EqualFold(w, s) }); i >= 0 {
		return list[i], ""
	}
	n, err := strconv.Atoi(s)
	if err == nil && n >= 1 && n <= len(list) {
		return list[n-1], ""
	}
	switch m := matching(list, s); {
	case len(m) == 1:
		return m[0], ""
	case err == nil:
		return "", fmt.Sprintf("there are choices 1 to %d", len(list))
	case len(m) == 0:
		return "", fmt.Sprintf("%q is not one of the choices: %s", s, strings.Join(list, "; "))
	default:
		return "", fmt.Sprintf("%q could be %s; type a little more", s, orList(m))
	}
}

// matching lists the words that begin with s, else those with a word in them that does.
func matching(list []string, s string) []string {
	var begins, inside []string
	for _, c := range list {
		l := strings.ToLower(c)
		switch {
		case strings.HasPrefix(l, s):
			begins = append(begins, c)
		case strings.Contains(" "+l, " "+s):
			inside = append(inside, c)
		}
	}
	if len(begins) > 0 {
		return begins
	}
	return inside
}

func orList(words []string) string {
	q := make([]string, len(words))
	for i, w := range words {
		q[i] = strconv.Quote(w)
	}
	return text.List(q, "or")
}

// fitsChoice holds an answer in words against the choices.
func (r *Reading) fitsChoice(a *Answer) *Refusal {
	for _, c := range a.Choice {
		if r.Set(c) == 0 {
			return &Refusal{Reading: r, Reason: fmt.Sprintf("%q is not one of the choices: %s", c, strings.Join(r.List(), "; "))}
		}
	}
	if len(a.Choice) == 0 && !a.Unsure {
		return &Refusal{Reading: r, Reason: "one of the choices is wanted: " + strings.Join(r.List(), "; ")}
	}
	if a.Unsure && !r.Unsure {
		return &Refusal{Reading: r, Reason: `"not sure" is no answer here; look again, or say unable`}
	}
	return nil
}

// choiceValue is what can be true after an answer in words.
func choiceValue(r *Reading, a *Answer) eval.Value {
	if a.Unsure {
		return eval.Value{State: eval.Taken, Set: r.All()}
	}
	return eval.Value{State: eval.Taken, Set: r.Set(a.Choice...)}
}

// choiceWords refuses choices that typed input cannot tell apart: one word twice, and
// one that begins with the place of another in the list.
func (b *builder) choiceWords(d *document, list *yaml.Node, r *Reading) {
	for i, c := range r.List() {
		n := list
		if list != nil && i < len(list.Content) {
			n = list.Content[i]
		}
		if slices.ContainsFunc(r.List()[:i], func(w string) bool { return strings.EqualFold(w, c) }) {
			d.r.Fault("duplicate-name", n, "choice %q stands here twice", c)
		}
		first, _, _ := strings.Cut(c, " ")
		if k, err := strconv.Atoi(first); err == nil && k != i+1 && k >= 1 && k <= len(r.List())+1 {
			d.r.Fault("bad-name", n, "choice %q is number %d of the list, so typing %s could mean another; spell the number out", c, i+1, first)
		}
		if r.Many() && between.Replace(c) != c {
			d.r.Fault("bad-name", n, "%q cannot be one of several choices: a comma, a plus sign or \"and\" stands between two of them", c)
		}
	}
}
