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
	note := "it should have been closed before this line ends"
	if !o.more() {
		note = "the file ends here"
	}
	return o.slip(from, 1, "the "+what+" opened here is never closed").with(o.i, note)
}
