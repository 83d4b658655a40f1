package source

import "strings"

// quoted passes over a text in quotes, which may run over several lines. A line that begins like a key
// and is indented no deeper than the line with the opening quote shows that the closing one is missing.
func (o *outline) quoted() *slip {
	from, quote := o.i, o.look(0)
	for o.i++; o.more(); o.i++ {
		switch r := o.look(0); {
		case r == '\n':
			if o.keyBelow() {
				return o.unclosed(from, "quote")
			}
		case r == '\\' && quote == '"':
			if s := o.escape(); s != nil {
				return s
			}
		case r == quote && quote == '\'' && o.look(1) == quote:
			o.i++
		case r == quote:
			o.i++
			return nil
		}
	}
	return o.unclosed(from, "quote")
}

// escape checks the escape at a backslash and stops on its last rune.
func (o *outline) escape() *slip {
	from, letter := o.i, o.look(1)
	_, short := shortEscapes[letter]
	digits := longEscapes[letter]
	if !short && digits == 0 && !strings.ContainsRune(" \"'/\\\r\n", letter) {
		return o.slip(from, 2, `a backslash inside double quotes begins an escape that YAML does not know: use single quotes, or write two backslashes`)
	}
	for n := range digits {
		if !strings.ContainsRune("0123456789abcdefABCDEF", o.look(2+n)) || o.look(2+n) == 0 {
			return o.slip(from, 2+n, `a backslash inside double quotes begins an escape that is not finished: use single quotes, or write two backslashes`)
		}
	}
	if letter != '\r' && letter != '\n' {
		o.i += 1 + digits
	}
	return nil
}

// keyBelow tells, at a line break inside quotes or brackets, whether the next line must be a key of
// its own: it is indented no deeper than the line where they were opened.
func (o *outline) keyBelow() bool {
	below := outline{File: o.File, i: o.i + 1}
	start := below.i
	below.skipBlanks()
	return below.i-start <= o.indent && likeKey.MatchString(below.restOfLine())
}

func (o *outline) unclosed(from int, what string) *slip {
	at := min(o.i, len(o.runes))
	return o.slip(from, 1, "the "+what+" opened here is never closed").with(at, "it should have been closed before this line ends")
}

// bracket is an open "[" or "{" and what was read since the last comma inside.
type bracket struct {
	at    int
	colon bool // a key and its colon
	value bool // a value that is complete: only a comma, a colon or the closing bracket may follow
}

var closing = map[rune]rune{'[': ']', '{': '}'}

// brackets passes over a list in brackets or a mapping in braces, with all that is nested in it.
func (o *outline) brackets() *slip {
	var open []bracket
	for o.more() {
		o.skipBlanks()
		r := o.look(0)
		switch {
		case r == '\n' && o.keyBelow():
			return o.unclosed(open[len(open)-1].at, "bracket")
		case r == '\n' || r == '\r':
			o.i++
			continue
		case o.atLineEnd():
			o.i += len([]rune(o.comment()))
			continue
		case r == '[' || r == '{':
			if len(open) > 0 && open[len(open)-1].value {
				return o.noComma()
			}
			open = append(open, bracket{at: o.i})
			if len(open)+len(o.levels) > MaxDepth {
				return o.tooDeep()
			}
			o.i++
			continue
		case r == ']' || r == '}':
			last := open[len(open)-1]
			if closing[o.runes[last.at]] != r {
				return o.slip(o.i, 1, `"`+string(r)+`" stands here, but the bracket that is open must be closed with "`+string(closing[o.runes[last.at]])+`"`).with(last.at, "opened here")
			}
			o.i++
			if open = open[:len(open)-1]; len(open) == 0 {
				return nil
			}
			open[len(open)-1].value = true
			continue
		}
		if s := o.inBrackets(&open[len(open)-1]); s != nil {
			return s
		}
	}
	return o.unclosed(open[len(open)-1].at, "bracket")
}

// comment is the rest of the line.
func (o *outline) comment() string {
	end := o.i
	for end < len(o.runes) && o.runes[end] != '\n' {
		end++
	}
	return string(o.runes[o.i:end])
}

func (o *outline) noComma() *slip {
	return o.slip(o.i, 1, "a comma is missing before this, or the text that goes on here needs quotes round the whole of it")
}

// inBrackets reads a comma, a colon or a text.
func (o *outline) inBrackets(b *bracket) *slip {
	r := o.look(0)
	switch {
	case r == ',' && !b.value && !b.colon:
		return o.slip(o.i, 1, "nothing stands before this comma: remove it, or write what is missing")
	case r == ',':
		b.colon, b.value = false, false
		o.i++
		return nil
	case r == ':' && (o.blankAt(1) || b.value):
		if b.colon {
			return o.slip(o.i, 1, "a second colon before the next comma: a comma is missing, or the text needs quotes round it")
		}
		if !b.value {
			return o.slip(o.i, 1, "a key is missing before this colon")
		}
		b.colon, b.value = true, false
		o.i++
		return nil
	case b.value:
		return o.noComma()
	}
	b.value = true
	if r == '"' || r == '\'' {
		return o.quoted()
	}
	if strings.ContainsRune("@`%?|>", r) {
		return o.slip(o.i, 1, `a text cannot begin with "`+string(r)+`": put quotes round it`)
	}
	return o.plainInBrackets()
}

// plainInBrackets passes over a text without quotes; it may go on on the next line.
func (o *outline) plainInBrackets() *slip {
	from := o.i
	for o.more() {
		switch r := o.look(0); {
		case strings.ContainsRune(",]}", r) || r == ':' && o.blankAt(1):
			return nil
		case strings.ContainsRune("[{?", r):
			return o.slip(o.i, 1, `a text inside brackets cannot hold "`+string(r)+`": put quotes round the whole text`).with(from, "the text begins here")
		case r == '#' && o.atLineEnd() || r == '\n' && o.keyBelow():
			return nil // brackets reads on from here
		}
		o.i++
	}
	return nil
}
