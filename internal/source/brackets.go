package source

import "strings"

// bracket is an open "[" or "{" and what was read since the last comma inside.
type bracket struct {
	at    int
	colon bool // a key and its colon
	value bool // a value that is complete: only a comma, a colon or the closing bracket may follow
}

var closing = map[rune]rune{'[': ']', '{': '}'}

// brackets passes over a list in brackets or a mapping in braces, with all that is nested in it.
func (l *lineScanner) brackets() *syntaxError {
	var open []bracket
	for l.more() {
		l.skipBlanks()
		r := l.look(0)
		switch {
		case r == '\n' && l.keyBelow():
			return l.unclosed(open[len(open)-1].at, "bracket")
		case r == '\n' || r == '\r':
			l.i++
			continue
		case l.atLineEnd():
			l.skipLine()
			l.i-- // the line break is looked at
			continue
		case r == '[' || r == '{':
			if len(open) > 0 && open[len(open)-1].value {
				return l.noComma()
			}
			open = append(open, bracket{at: l.i})
			if len(open)+len(l.levels) > MaxDepth {
				return l.tooDeep()
			}
			l.i++
			continue
		case r == ']' || r == '}':
			last := open[len(open)-1]
			if closing[l.runes[last.at]] != r {
				return l.fail(l.i, 1, `"`+string(r)+`" stands here, but the bracket that is open must be closed with "`+string(closing[l.runes[last.at]])+`"`).with(last.at, "opened here")
			}
			l.i++
			if open = open[:len(open)-1]; len(open) == 0 {
				return nil
			}
			open[len(open)-1].value = true
			continue
		}
		if s := l.inBrackets(&open[len(open)-1]); s != nil {
			return s
		}
	}
	return l.unclosed(open[len(open)-1].at, "bracket")
}

func (l *lineScanner) noComma() *syntaxError {
	return l.fail(l.i, 1, "a comma is missing before this, or the text that goes on here needs quotes round the whole of it")
}

// inBrackets reads a comma, a colon or a text.
func (l *lineScanner) inBrackets(b *bracket) *syntaxError {
	r := l.look(0)
	switch {
	case r == ',' && !b.value && !b.colon:
		return l.fail(l.i, 1, "nothing stands before this comma: remove it, or write what is missing")
	case r == ',':
		b.colon, b.value = false, false
		l.i++
		return nil
	case r == ':' && (l.blankAt(1) || b.value):
		if b.colon {
			return l.fail(l.i, 1, "a second colon before the next comma: a comma is missing, or the text needs quotes round it")
		}
		if !b.value {
			return l.fail(l.i, 1, "a key is missing before this colon")
		}
		b.colon, b.value = true, false
		l.i++
		return nil
	case b.value:
		return l.noComma()
	}
	b.value = true
	if r == '"' || r == '\'' {
		return l.quoted()
	}
	if strings.ContainsRune("@`%?|>", r) {
		return l.fail(l.i, 1, `a text cannot begin with "`+string(r)+`": put quotes round it`)
	}
	return l.plainInBrackets()
}

// plainInBrackets passes over a text without quotes; it may go on on the next line.
func (l *lineScanner) plainInBrackets() *syntaxError {
	from := l.i
	for l.more() {
		switch r := l.look(0); {
		case strings.ContainsRune(",]}", r) || r == ':' && l.blankAt(1):
			return nil
		case strings.ContainsRune("[{?", r):
			return l.fail(l.i, 1, `a text inside brackets cannot hold "`+string(r)+`": put quotes round the whole text`).with(from, "the text begins here")
		case r == '#' && l.atLineEnd() || r == '\n' && l.keyBelow():
			return nil // brackets reads on from here
		}
		l.i++
	}
	return nil
}
