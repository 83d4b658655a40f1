package eval

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"

	"deadflat/internal/source"
)

// What expr refuses it refuses in the words of a programming language. So a text that it
// cannot read is looked through for what people write instead of what is meant, and only
// where nothing of that is found is expr's own place given, in plain words.

// spelled are pieces of a guard outside quotes with what is to be written there. What is
// marked is the group of the pattern, or all of it. Of two at one place the first counts.
var spelled = []struct {
	pattern *regexp.Regexp
	cure    string // %q is the piece
}{
	{regexp.MustCompile(`[“”„‟«»‘’‚‛]`), `%q is a curly quote; write a straight one: "`},
	{regexp.MustCompile(`=>|≥|\b(?:is )?at least\b|\bnot (?:below|under|less than)\b`), `%q is not used in guards; write >=`},
	{regexp.MustCompile(`=<|≤|\b(?:is )?at most\b|\bnot (?:above|over|more than)\b`), `%q is not used in guards; write <=`},
	{regexp.MustCompile(`\b(?:is )?between\b`), `%q is not used in guards; write limits.LOW <= READING < limits.HIGH`},
	{regexp.MustCompile(`<>|≠|\bis not\b|\bisn.t\b`), `%q is not used in guards; write !=`},
	{regexp.MustCompile(`\b(?:is )?(?:below|under|(?:less|smaller|lower) than)\b`), `%q is not used in guards; write <`},
	{regexp.MustCompile(`\b(?:is )?(?:above|over|(?:more|greater|higher) than)\b`), `%q is not used in guards; write >`},
	{regexp.MustCompile(`(?:^|[^=<>!])(=)(?:[^=<>]|$)|\b(?:is|equals|is equal to)\b|===`), `%q is not used in guards; write ==`},
	{regexp.MustCompile(`\b(?:AND|And)\b|(?:^|[^&])(&)(?:[^&]|$)`), `%q is not used in guards; write and`},
	{regexp.MustCompile(`\b(?:OR|Or)\b|(?:^|[^|])(\|)(?:[^|]|$)`), `%q is not used in guards; write or`},
	{regexp.MustCompile(`\b(?:NOT|Not)\b`), `%q is not used in guards; write not, in small letters`},
	{regexp.MustCompile(`\b(?:IN|In)\b`), `%q is not used in guards; write in, in small letters`},
	{regexp.MustCompile(`[–—−]`), `%q is not used in guards; write -`},
	{regexp.MustCompile(`[×·]`), `%q is not used in guards; write *`},
	{regexp.MustCompile(`^\s*(if)\b`), `%q stands before a guard already; leave out the one inside`},
}

// looseName is known or done before a name that has no brackets round it.
var looseName = regexp.MustCompile(`\b(known|done)\s+([a-z_][\w.]*)`)

// comparedWith is the name before == or !=, and what follows.
var comparedWith = regexp.MustCompile(`([a-z_][\w.]*)\s*[=!]=\s*`)

// syntax turns an error of expr into a problem with its place.
func (c *Compiler) syntax(err error, text string) {
	if from, to, message := c.slip(text); message != "" {
		c.problem("bad-expression", utf8.RuneCountInString(text[:from]), utf8.RuneCountInString(text[:to]), "%s", message)
		return
	}
	from, to, message := 0, len([]rune(text)), err.Error()
	var fe *file.Error
	if errors.As(err, &fe) {
		from, to, message = fe.From, max(fe.To, fe.From+1), fe.Message
	}
	c.problem("bad-expression", from, to, "%s", plain(message))
}

// slip finds what somebody wrote who did not know how it is written, in bytes of the text.
func (c *Compiler) slip(text string) (from, to int, message string) {
	bare := withoutWords(text)
	from = len(text)
	for _, s := range spelled {
		at := s.pattern.FindStringSubmatchIndex(bare)
		if at == nil {
			continue
		}
		i, j := at[0], at[1]
		if len(at) > 2 && at[2] >= 0 {
			i, j = at[2], at[3]
		}
		if i >= from {
			continue
		}
		from, to, message = i, j, fmt.Sprintf(s.cure, bare[i:j])
	}
	if i, j, say := c.looseChoice(bare); say != "" && i < from {
		return i, j, say
	}
	if at := looseName.FindStringSubmatchIndex(bare); at != nil && at[0] < from {
		return at[0], at[1], fmt.Sprintf("write %s(%s), with brackets", bare[at[2]:at[3]], bare[at[4]:at[5]])
	}
	if message == "" {
		return unpaired(bare)
	}
	return from, to, message
}

// looseChoice finds a choice of several words that stands without quotes.
func (c *Compiler) looseChoice(bare string) (from, to int, message string) {
	for _, at := range comparedWith.FindAllStringSubmatchIndex(bare, -1) {
		v := c.Scope.Var(bare[at[2]:at[3]])
		if v == nil || v.Number() {
			continue
		}
		for _, w := range v.List() {
			if strings.HasPrefix(bare[at[1]:], w) && strings.Contains(w, " ") {
				return at[1], at[1] + len(w), fmt.Sprintf("a choice stands in quotes; write %q", w)
			}
		}
	}
	return 0, 0, ""
}

// withoutWords puts blanks in the place of what stands in quotes, byte for byte.
func withoutWords(text string) string {
	b := []byte(text)
	var quote byte
	for i, r := range b {
		switch {
		case quote == 0 && (r == '"' || r == '\''):
			quote = r
		case r == quote:
			quote = 0
		case quote != 0:
			b[i] = ' '
		}
	}
	return string(b)
}

// unpaired finds a bracket that has no other one.
func unpaired(bare string) (from, to int, message string) {
	var open []int
	for i, r := range bare {
		switch r {
		case '(', '[', '{':
			open = append(open, i)
		case ')', ']', '}':
			if len(open) == 0 {
				return i, i + 1, "no bracket is open that this one could close; remove it"
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		return open[0], open[0] + 1, "this bracket is never closed; close it, or put quotes round the whole text where a comma in braces ends it"
	}
	return 0, 0, ""
}

var (
	unexpected = regexp.MustCompile(`^unexpected token \w+\("(.*)"\)`)
	mismatched = regexp.MustCompile(`\(mismatched types (\S+|\*interface \{\}) and (\S+|\*interface \{\})\)`)
	expected   = regexp.MustCompile(`^expected bool, but got (.*)`)
)

// sorts names expr's types.
var sorts = strings.NewReplacer("float64", "a number", "int", "a number", "string", "a word", "bool", "true or false", "*interface {}", "several choices")

// plain rewords what expr says for somebody who never programmed.
func plain(msg string) string {
	msg, _, _ = strings.Cut(msg, "\n")
	if m := unexpected.FindStringSubmatch(msg); m != nil {
		return fmt.Sprintf("%q cannot stand here; a guard compares, as in a < limits.b, and joins with and, or, not", m[1])
	}
	if m := mismatched.FindStringSubmatch(msg); m != nil {
		return fmt.Sprintf("one side is %s, the other is %s; compare things of one sort", sorts.Replace(m[1]), sorts.Replace(m[2]))
	}
	if m := expected.FindStringSubmatch(msg); m != nil {
		cure := ""
		if strings.HasPrefix(m[1], "*") {
			cure = `; ask for one choice of several with in`
		}
		return "a guard must be true or false; this is " + sorts.Replace(m[1]) + cure
	}
	if strings.Contains(msg, "unexpected token EOF") {
		return "the expression ends too early"
	}
	return "this cannot be read; a guard compares, as in a < limits.b, and joins with and, or, not"
}

// wordSlip books a choice that stands without its quotes or without its reading, and a
// yes-or-no reading that is held against a word.
func (c *Compiler) wordSlip(n *ast.BinaryNode) bool {
	if n.Operator != "==" && n.Operator != "!=" {
		return false
	}
	b := &builder{c: c}
	v, other := b.variable(n.Left), n.Right
	if v == nil {
		v, other = b.variable(n.Right), n.Left
	}
	if v == nil || v.Number() {
		return false
	}
	if word, ok := other.(*ast.StringNode); ok {
		c.choice = fmt.Sprintf("%s in [%q", v.ID, word.Value)
		if v.Kind != YesNo || !slices.Contains(v.Choices, word.Value) {
			return false
		}
		c.fault("not-allowed", n, "%s is yes or no, and is true when it is yes; write %s%s", v.ID, notIf((word.Value == "no") == (n.Operator == "==")), v.ID)
		return true
	}
	id, ok := other.(*ast.IdentifierNode)
	if !ok {
		if from, to, message := c.looseChoice(withoutWords(c.text)); message != "" {
			c.problem("not-allowed", utf8.RuneCountInString(c.text[:from]), utf8.RuneCountInString(c.text[:to]), "%s", message)
			return true
		}
	}
	if !ok || strings.Contains(id.Value, ".") || c.Scope.Var(id.Value) != nil {
		return false
	}
	if !slices.Contains(v.List(), id.Value) {
		c.fault("unknown-choice", id, "%q is not a choice of %s%s", id.Value, v.ID, source.DidYouMean(id.Value, v.List()))
		return true
	}
	c.fault("not-allowed", id, "a choice stands in quotes; write %q", id.Value)
	return true
}

func notIf(not bool) string {
	if not {
		return "not "
	}
	return ""
}

// operand looks at one side of an operator. A word that is joined by and or or is a second choice
// without its reading: kind == "agm" or "gel".
func (c *Compiler) operand(n *ast.BinaryNode, side ast.Node) {
	word, ok := side.(*ast.StringNode)
	if !ok || !slices.Contains([]string{"and", "&&", "or", "||"}, n.Operator) {
		c.names(side, false)
		return
	}
	cure := ""
	if c.choice != "" {
		cure = fmt.Sprintf("; write %s, %q]", c.choice, word.Value)
	}
	c.fault("not-allowed", word, "a word alone is neither true nor false%s", cure)
}
