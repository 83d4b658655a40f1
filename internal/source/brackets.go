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
