package source

import (
	"regexp"
	"strconv"
	"strings"
)

// lineScanner reads the text from top to bottom.
type lineScanner struct {
	*File
	reading
	levels []level // the block mappings and lists that are open, outermost first
	left   leftover
	indent int // blanks before the line that is being read
	alone  int // where the last value began that stands on a line of its own
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

func (f *File) lineScanner(i int) *lineScanner {
	return &lineScanner{File: f, reading: reading{f.runes, i}}
}

func (l *lineScanner) fail(at, width int, message string) *syntaxError {
	return &syntaxError{rule: "yaml-syntax", at: at, width: width, message: message}
}

func (s *syntaxError) with(at int, note string) *syntaxError {
	s.noteAt, s.note = at, note
	return s
}

// blankAt tells whether a blank, a line break or the end of the text stands n places ahead.
func (l *lineScanner) blankAt(n int) bool {
	return l.i+n >= len(l.runes) || strings.ContainsRune(" \t\r\n", l.look(n))
}

func (l *lineScanner) skipBlanks() {
	for isBlank(l.look(0)) {
		l.i++
	}
}

// atLineEnd tells whether nothing but a comment follows on this line.
func (l *lineScanner) atLineEnd() bool {
	return !l.more() || strings.ContainsRune("\r\n", l.look(0)) ||
		l.look(0) == '#' && (l.i == 0 || strings.ContainsRune(" \t\n", l.runes[l.i-1]))
}

func (l *lineScanner) skipLine() {
	for l.more() && l.look(0) != '\n' {
		l.i++
	}
	l.i++
}

// ends passes over a line of which nothing but blanks and a comment is left, and notes how it ended.
func (l *lineScanner) ends(as leftover) bool {
	l.skipBlanks()
	if !l.atLineEnd() {
		return false
	}
	l.left = as
	l.skipLine()
	return true
}

// restOfLine is the text up to the line's end or a comment, without blanks behind it.
func (l *lineScanner) restOfLine() string {
	end := l.i
	for end < len(l.runes) && !strings.ContainsRune("\r\n", l.runes[end]) {
		if l.runes[end] == '#' && end > 0 && strings.ContainsRune(" \t", l.runes[end-1]) {
			break
		}
		end++
	}
	return strings.TrimRight(string(l.runes[l.i:end]), " \t")
}

func (l *lineScanner) restWidth() int { return len([]rune(l.restOfLine())) }

// read gives the first syntax error, or nil.
func (l *lineScanner) read() *syntaxError {
	for l.more() {
		if s := l.line(); s != nil {
			return s
		}
	}
	return nil
}

func (l *lineScanner) line() *syntaxError {
	start := l.i
	for l.look(0) == ' ' {
		l.i++
	}
	l.indent = l.i - start
	tab := l.i
	l.skipBlanks()
	switch {
	case l.atLineEnd():
		l.skipLine()
		return nil
	case l.indent == 0 && isSeparator([]rune(l.restOfLine())):
		l.levels, l.left = nil, wantsValue
		l.skipLine()
		return nil
	case l.indent == 0 && l.look(0) == '%' && l.levels == nil:
		return &syntaxError{rule: "directive", at: l.i, width: l.restWidth(), message: noDirectives}
	case l.goesOn():
		l.skipLine()
		return nil
	case l.i > tab:
		return l.fail(tab, l.i-tab, "a tab indents this line, which YAML does not allow: indent with blanks only")
	case strings.ContainsRune("\u00a0\u2007\u202f\u3000", l.look(0)):
		return l.fail(tab, 1, "this line is indented with a hard space, which looks like a blank but is none: type the blanks again")
	}
	fresh, s := l.settle()
	if s != nil {
		return s
	}
	return l.entry(fresh)
}

// likeKey is a line that begins like a key with its colon.
var likeKey = regexp.MustCompile(`^(- +)*("[^"]*"|'[^']*'|[^\s"'{}\[\],#&*!|>%@` + "`" + `][^"'{}\[\],#]*?) *:( |\t|$)`)

// goesOn tells whether this line continues a text without quotes.
func (l *lineScanner) goesOn() bool {
	return l.left == openText && (len(l.levels) == 0 || l.indent > l.top().col) && !likeKey.MatchString(l.restOfLine())
}

func (l *lineScanner) top() level { return l.levels[len(l.levels)-1] }
func (l *lineScanner) pop()       { l.levels = l.levels[:len(l.levels)-1] }

func (l *lineScanner) push(col int, list bool) *syntaxError {
	l.levels = append(l.levels, level{col, list})
	if len(l.levels) > MaxDepth {
		return l.tooDeep()
	}
	return nil
}

func (l *lineScanner) tooDeep() *syntaxError {
	s := l.fail(l.i, 1, "lists and mappings nest more than "+strconv.Itoa(MaxDepth)+" deep here")
	s.rule = "too-deep"
	return s
}

func (l *lineScanner) atDash() bool { return l.look(0) == '-' && l.blankAt(1) }

// settle finds the level to which a line belongs. fresh tells that the line opened it.
func (l *lineScanner) settle() (fresh bool, s *syntaxError) {
	dash := l.atDash()
	if len(l.levels) == 0 || l.indent > l.top().col {
		if len(l.levels) > 0 && l.left == openText {
			return false, l.fail(l.i, l.restWidth(), "this line is indented deeper than the one above, which has its value already: give both the same indentation")
		}
		if len(l.levels) > 0 && l.left == complete && dash && l.alone > l.starts[l.place(l.i).Line-2] {
			return false, l.fail(l.alone, 1, `this stands before a list entry and is none: begin it with "- " as well`)
		}
		if len(l.levels) > 0 && l.left == complete {
			return false, l.fail(l.i, l.restWidth(), "this line is indented deeper than the one above, whose value is complete: give both the same indentation")
		}
		return true, l.push(l.indent, dash)
	}
	popped := false
	for len(l.levels) > 0 && l.top().col > l.indent {
		l.pop()
		popped = true
	}
	switch {
	case len(l.levels) == 0 || l.top().col != l.indent:
		return false, l.fail(l.i, l.restWidth(), "the indentation fits none of the lines above: begin in the same column as the line it belongs with")
	case l.top().list && !dash:
		l.pop()
		if len(l.levels) == 0 || l.top().col != l.indent {
			if l.look(0) == '-' {
				return false, l.noColon()
			}
			return false, l.fail(l.i, l.restWidth(), `this line stands among the entries of a list, but does not begin with "- "`)
		}
	case !l.top().list && dash:
		if popped || l.left != wantsValue {
			return false, l.fail(l.i, 1, `a list entry ("- ") stands among keys: indent it, or check the key above`)
		}
		return true, l.push(l.indent, true)
	}
	return false, nil
}

// entry reads "- ..." or "key: ..." or a value on a line of its own. fresh tells that its level was
// opened for it.
func (l *lineScanner) entry(fresh bool) *syntaxError {
	if r := l.look(0); (r == '?' || r == ':') && l.blankAt(1) {
		return l.fail(l.i, 1, `a key and its value must stand on one line: write "key: value"`)
	}
	if l.look(0) == '-' && strings.ContainsRune(`{["'`, l.look(1)) {
		return l.noColon()
	}
	for l.atDash() {
		if l.i++; l.ends(wantsValue) {
			return nil
		}
		column := l.i - l.starts[l.place(l.i).Line-1]
		fresh = true
		if s := l.push(column, l.atDash()); s != nil {
			return s
		}
	}
	from := l.i
	key, s := l.key()
	switch {
	case s != nil:
		return s
	case key:
		if l.ends(wantsValue) {
			return nil
		}
		return l.value()
	case fresh:
		l.pop()
		l.i, l.alone = from, from
		return l.value()
	}
	l.i = from
	return l.noColon()
}

// key passes over a key and its colon, if there is one on this line.
func (l *lineScanner) key() (bool, *syntaxError) {
	if quote := l.look(0); quote == '"' || quote == '\'' {
		if s := l.quoted(); s != nil {
			return false, s
		}
		l.skipBlanks()
		if l.look(0) == ':' && l.blankAt(1) {
			l.i++
			return true, nil
		}
		return false, nil
	}
	if strings.ContainsRune("{[|>", l.look(0)) {
		return false, nil
	}
	for !l.atLineEnd() {
		if l.look(0) == ':' && l.blankAt(1) {
			l.i++
			return true, nil
		}
		l.i++
	}
	return false, nil
}

// noColon is a line among keys that has no colon where one is needed.
func (l *lineScanner) noColon() *syntaxError {
	text := l.restOfLine()
	width := len([]rune(text))
	name, rest, colon := strings.Cut(text, ":")
	switch {
	case strings.HasPrefix(text, "-"):
		return l.fail(l.i, width, `a blank must follow the dash of a list entry, as in "- `+short(strings.TrimLeft(text, "-"))+`"`)
	case colon && strings.HasPrefix(rest, "\u00a0"):
		return l.fail(l.i, width, "a hard space stands behind the colon, which looks like a blank but is none: type a blank")
	case colon && !strings.ContainsAny(name, " {[\"'"):
		return l.fail(l.i, width, `a blank must follow the colon, as in "`+short(name)+": "+short(rest)+`"`)
	}
	return l.fail(l.i, width, `a key and a colon are missing here: write "key: value", or indent the line if it goes on with the text above`)
}

// value reads what stands behind a colon or a dash.
func (l *lineScanner) value() *syntaxError {
	from := l.i
	switch r := l.look(0); {
	case r == '"' || r == '\'':
		if s := l.quoted(); s != nil {
			return s
		}
		return l.ended(from, "quote", `put quotes round the whole of it; inside single quotes write '' for one '`)
	case r == '{' || r == '[':
		if s := l.brackets(); s != nil {
			return s
		}
		return l.ended(from, "bracket", `put quotes round a text that begins with "`+string(r)+`"`)
	case r == '|' || r == '>':
		return l.blockText()
	case r == '&' || r == '!':
		for !l.blankAt(0) {
			l.i++
		}
		if l.ends(wantsValue) {
			return nil
		}
		return l.value()
	case strings.ContainsRune("@`%,]}", r) || r == '*' && strings.ContainsAny(l.restOfLine(), " \t"):
		return l.fail(l.i, l.restWidth(), `a text cannot begin with "`+string(r)+`": put quotes round it`)
	case l.atDash():
		return l.fail(l.i, 1, "a list cannot begin on the line of its key: begin it on the next line, or write it in brackets")
	}
	return l.plain()
}

// ended checks that a line ends behind a closing quote or bracket.
func (l *lineScanner) ended(from int, closing, todo string) *syntaxError {
	if l.ends(complete) {
		return nil
	}
	return l.fail(l.i, l.restWidth(), "more text stands behind the closing "+closing+": "+todo).with(from, "the "+closing+" is opened here")
}

// plain reads the first line of a text without quotes.
func (l *lineScanner) plain() *syntaxError {
	from := l.i
	for ; !l.atLineEnd(); l.i++ {
		if l.look(0) == ':' && l.blankAt(1) {
			colon := l.i
			l.i = from
			return l.fail(colon, 1, `a second colon on this line would make a key of the text before it: put quotes round the whole text`).with(from, "the text begins here")
		}
	}
	l.left = openText
	l.skipLine()
	return nil
}

// blockText passes over a text that stands indented below its "|" or ">".
func (l *lineScanner) blockText() *syntaxError {
	from := l.i
	for l.i++; !l.blankAt(0); l.i++ {
		if !strings.ContainsRune("+-123456789", l.look(0)) {
			return l.fail(from, len([]rune(string(l.runes[from])+l.restOfLine())), `a text cannot begin with "`+string(l.runes[from])+`": put quotes round it`)
		}
	}
	l.skipBlanks()
	if !l.atLineEnd() {
		return l.fail(l.i, l.restWidth(), `the text must begin on the line below "`+string(l.runes[from])+`"`)
	}
	l.skipLine()
	l.skipIndented()
	l.left = complete
	return nil
}

// skipIndented passes over the lines of a block text: all that are indented as deep as the first one,
// and the empty ones. The first must be indented deeper than the key.
func (l *lineScanner) skipIndented() {
	least := 0
	if len(l.levels) > 0 {
		least = l.top().col + 1
	}
	for first := true; l.more(); {
		start := l.i
		for l.look(0) == ' ' {
			l.i++
		}
		empty := isBreak(l.look(0))
		if !empty && l.i-start < least {
			l.i = start
			return
		}
		if !empty && first {
			least, first = l.i-start, false
		}
		l.skipLine()
	}
}
