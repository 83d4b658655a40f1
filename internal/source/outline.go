package source

import (
	"regexp"
	"strconv"
	"strings"
)

// outline reads the text from top to bottom.
type outline struct {
	*File
	i      int     // the next rune
	levels []level // the block mappings and lists that are open, outermost first
	left   leftover
	indent int // blanks before the line that is being read
}

// level is a block mapping or list; its keys or dashes begin in column col (from 0).
type level struct {
	col  int
	list bool
}

// leftover is how the line before ended, which decides what an indented line may be.
type leftover int

const (
	wantsValue leftover = iota // after "key:" or "-": a value may follow, indented
	openText                   // after a text without quotes: it may go on, indented
	complete                   // after a closing quote or bracket: nothing may follow, indented
)

func (o *outline) slip(at, width int, message string) *slip {
	return &slip{rule: "yaml-syntax", at: at, width: width, message: message}
}

func (s *slip) with(at int, note string) *slip {
	s.noteAt, s.note = at, note
	return s
}

func (o *outline) look(n int) rune {
	if o.i+n >= len(o.runes) {
		return 0
	}
	return o.runes[o.i+n]
}

func (o *outline) more() bool { return o.i < len(o.runes) }

// blankAt tells whether a blank, a line break or the end of the text stands n places ahead.
func (o *outline) blankAt(n int) bool {
	return o.i+n >= len(o.runes) || strings.ContainsRune(" \t\r\n", o.look(n))
}

func (o *outline) skipBlanks() {
	for o.look(0) == ' ' || o.look(0) == '\t' {
		o.i++
	}
}

// atLineEnd tells whether nothing but a comment follows on this line.
func (o *outline) atLineEnd() bool {
	return !o.more() || strings.ContainsRune("\r\n", o.look(0)) ||
		o.look(0) == '#' && (o.i == 0 || strings.ContainsRune(" \t\n", o.runes[o.i-1]))
}

func (o *outline) skipLine() {
	for o.more() && o.look(0) != '\n' {
		o.i++
	}
	o.i++
}

// restOfLine is the text up to the line's end or a comment, without blanks behind it.
func (o *outline) restOfLine() string {
	end := o.i
	for end < len(o.runes) && !strings.ContainsRune("\r\n", o.runes[end]) {
		if o.runes[end] == '#' && end > 0 && strings.ContainsRune(" \t", o.runes[end-1]) {
			break
		}
		end++
	}
	return strings.TrimRight(string(o.runes[o.i:end]), " \t")
}

func (o *outline) restWidth() int { return len([]rune(o.restOfLine())) }

// read gives the first slip, or nil.
func (o *outline) read() *slip {
	for o.more() {
		if s := o.line(); s != nil {
			return s
		}
	}
	return nil
}

func (o *outline) line() *slip {
	start := o.i
	for o.look(0) == ' ' {
		o.i++
	}
	o.indent = o.i - start
	tab := o.i
	o.skipBlanks()
	switch {
	case o.atLineEnd():
		o.skipLine()
		return nil
	case o.indent == 0 && isSeparator([]rune(o.restOfLine())):
		o.levels, o.left = nil, wantsValue
		o.skipLine()
		return nil
	case o.indent == 0 && o.look(0) == '%' && o.levels == nil:
		return &slip{rule: "directive", at: o.i, width: o.restWidth(), message: noDirectives}
	case o.goesOn():
		o.skipLine()
		return nil
	case o.i > tab:
		return o.slip(tab, o.i-tab, "a tab indents this line, which YAML does not allow: indent with blanks only")
	case strings.ContainsRune("\u00a0\u2007\u202f\u3000", o.look(0)):
		return o.slip(tab, 1, "this line is indented with a character that looks like a blank but is none: type the blanks again")
	}
	fresh, s := o.settle()
	if s != nil {
		return s
	}
	return o.entry(fresh)
}

// likeKey is a line that begins like a key with its colon.
var likeKey = regexp.MustCompile(`^(- +)*("[^"]*"|'[^']*'|[^\s"'{}\[\],#&*!|>%@` + "`" + `][^"'{}\[\],#]*?) *:( |\t|$)`)

// goesOn tells whether this line continues a text without quotes.
func (o *outline) goesOn() bool {
	return o.left == openText && (len(o.levels) == 0 || o.indent > o.top().col) && !likeKey.MatchString(o.restOfLine())
}

func (o *outline) top() level { return o.levels[len(o.levels)-1] }
func (o *outline) pop()       { o.levels = o.levels[:len(o.levels)-1] }

func (o *outline) push(col int, list bool) *slip {
	o.levels = append(o.levels, level{col, list})
	if len(o.levels) > MaxDepth {
		return o.tooDeep()
	}
	return nil
}

func (o *outline) tooDeep() *slip {
	s := o.slip(o.i, 1, "lists and mappings nest more than "+strconv.Itoa(MaxDepth)+" deep here")
	s.rule = "too-deep"
	return s
}

func (o *outline) atDash() bool { return o.look(0) == '-' && o.blankAt(1) }

// settle finds the level to which a line belongs. fresh tells that the line opened it.
func (o *outline) settle() (fresh bool, s *slip) {
	dash := o.atDash()
	if len(o.levels) == 0 || o.indent > o.top().col {
		if len(o.levels) > 0 && o.left == openText {
			return false, o.slip(o.i, o.restWidth(), "this line is indented deeper than the one above, which has its value already: give both the same indentation")
		}
		if len(o.levels) > 0 && o.left == complete {
			return false, o.slip(o.i, o.restWidth(), "this line is indented deeper than the one above, whose value is complete: give both the same indentation")
		}
		return true, o.push(o.indent, dash)
	}
	popped := false
	for len(o.levels) > 0 && o.top().col > o.indent {
		o.pop()
		popped = true
	}
	switch {
	case len(o.levels) == 0 || o.top().col != o.indent:
		return false, o.slip(o.i, o.restWidth(), "the indentation fits none of the lines above: begin in the same column as the line it belongs with")
	case o.top().list && !dash:
		o.pop()
		if len(o.levels) == 0 || o.top().col != o.indent {
			if o.look(0) == '-' {
				return false, o.noColon()
			}
			return false, o.slip(o.i, o.restWidth(), `this line stands among the entries of a list, but does not begin with "- "`)
		}
	case !o.top().list && dash:
		if popped || o.left != wantsValue {
			return false, o.slip(o.i, 1, `a list entry ("- ") stands among keys: indent it, or check the key above`)
		}
		return true, o.push(o.indent, true)
	}
	return false, nil
}

// entry reads "- ..." or "key: ..." or a value on a line of its own. fresh tells that its level was
// opened for it.
func (o *outline) entry(fresh bool) *slip {
	if r := o.look(0); (r == '?' || r == ':') && o.blankAt(1) {
		return o.slip(o.i, 1, `a key and its value must stand on one line: write "key: value"`)
	}
	for o.atDash() {
		o.i++
		o.skipBlanks()
		if o.atLineEnd() {
			o.left = wantsValue
			o.skipLine()
			return nil
		}
		column := o.i - o.starts[o.place(o.i).Line-1]
		fresh = true
		if s := o.push(column, o.atDash()); s != nil {
			return s
		}
	}
	from := o.i
	key, s := o.key()
	switch {
	case s != nil:
		return s
	case key:
		o.skipBlanks()
		if o.atLineEnd() {
			o.left = wantsValue
			o.skipLine()
			return nil
		}
		return o.value()
	case fresh:
		o.pop()
		o.i = from
		return o.value()
	}
	o.i = from
	return o.noColon()
}

// key passes over a key and its colon, if there is one on this line.
func (o *outline) key() (bool, *slip) {
	if quote := o.look(0); quote == '"' || quote == '\'' {
		if s := o.quoted(); s != nil {
			return false, s
		}
		o.skipBlanks()
		if o.look(0) == ':' && o.blankAt(1) {
			o.i++
			return true, nil
		}
		return false, nil
	}
	if strings.ContainsRune("{[|>", o.look(0)) {
		return false, nil
	}
	for !o.atLineEnd() {
		if o.look(0) == ':' && o.blankAt(1) {
			o.i++
			return true, nil
		}
		o.i++
	}
	return false, nil
}

// noColon is a line among keys that has no colon where one is needed.
func (o *outline) noColon() *slip {
	text := o.restOfLine()
	width := len([]rune(text))
	name, rest, colon := strings.Cut(text, ":")
	switch {
	case strings.HasPrefix(text, "-"):
		return o.slip(o.i, width, `a blank must follow the dash of a list entry, as in "- `+short(strings.TrimLeft(text, "-"))+`"`)
	case colon && !strings.ContainsAny(name, " {[\"'"):
		return o.slip(o.i, width, `a blank must follow the colon, as in "`+short(name)+": "+short(rest)+`"`)
	}
	return o.slip(o.i, width, `a key and a colon are missing here: write "key: value", or indent the line if it goes on with the text above`)
}

// value reads what stands behind a colon or a dash.
func (o *outline) value() *slip {
	from := o.i
	switch r := o.look(0); {
	case r == '"' || r == '\'':
		if s := o.quoted(); s != nil {
			return s
		}
		return o.ended(from, "quote", `put quotes round the whole of it; inside single quotes write '' for one '`)
	case r == '{' || r == '[':
		if s := o.brackets(); s != nil {
			return s
		}
		return o.ended(from, "bracket", `put quotes round a text that begins with "`+string(r)+`"`)
	case r == '|' || r == '>':
		return o.blockText()
	case r == '&' || r == '!':
		for !o.blankAt(0) {
			o.i++
		}
		o.skipBlanks()
		if !o.atLineEnd() {
			return o.value()
		}
		o.left = wantsValue
		o.skipLine()
		return nil
	case strings.ContainsRune("@`%,]}", r) || r == '*' && strings.ContainsAny(o.restOfLine(), " \t"):
		return o.slip(o.i, o.restWidth(), `a text cannot begin with "`+string(r)+`": put quotes round it`)
	case o.atDash():
		return o.slip(o.i, 1, "a list cannot begin on the line of its key: begin it on the next line, or write it in brackets")
	}
	return o.plain()
}

// ended checks that a line ends behind a closing quote or bracket.
func (o *outline) ended(from int, closing, todo string) *slip {
	o.left = complete
	o.skipBlanks()
	if o.atLineEnd() {
		o.skipLine()
		return nil
	}
	return o.slip(o.i, o.restWidth(), "more text stands behind the closing "+closing+": "+todo).with(from, "the "+closing+" is opened here")
}

// plain reads the first line of a text without quotes.
func (o *outline) plain() *slip {
	from := o.i
	for ; !o.atLineEnd(); o.i++ {
		if o.look(0) == ':' && o.blankAt(1) {
			colon := o.i
			o.i = from
			return o.slip(colon, 1, `a second colon on this line would make a key of the text before it: put quotes round the whole text`).with(from, "the text begins here")
		}
	}
	o.left = openText
	o.skipLine()
	return nil
}

// blockText passes over a text that stands indented below its "|" or ">".
func (o *outline) blockText() *slip {
	from := o.i
	for o.i++; !o.blankAt(0); o.i++ {
		if !strings.ContainsRune("+-123456789", o.look(0)) {
			return o.slip(from, len([]rune(string(o.runes[from])+o.restOfLine())), `a text cannot begin with "`+string(o.runes[from])+`": put quotes round it`)
		}
	}
	o.skipBlanks()
	if !o.atLineEnd() {
		return o.slip(o.i, o.restWidth(), `the text must begin on the line below "`+string(o.runes[from])+`"`)
	}
	o.skipLine()
	o.skipIndented()
	o.left = complete
	return nil
}

// skipIndented passes over the lines of a block text: all that are indented as deep as the first one,
// and the empty ones. The first must be indented deeper than the key.
func (o *outline) skipIndented() {
	least := 0
	if len(o.levels) > 0 {
		least = o.top().col + 1
	}
	for first := true; o.more(); {
		start := o.i
		for o.look(0) == ' ' {
			o.i++
		}
		empty := strings.ContainsRune("\r\n", o.look(0))
		if !empty && o.i-start < least {
			o.i = start
			return
		}
		if !empty && first {
			least, first = o.i-start, false
		}
		o.skipLine()
	}
}
