package source

import "strings"

// quoted passes over a text in quotes, which may run over several lines. A line that begins like a key
// and is indented no deeper than the line with the opening quote shows that the closing one is missing.
func (l *lineScanner) quoted() *syntaxError {
	from, quote := l.i, l.look(0)
	for l.i++; l.more(); l.i++ {
		switch r := l.look(0); {
		case r == '\n':
			if l.keyBelow() {
				return l.unclosed(from, "quote")
			}
		case r == '\\' && quote == '"':
			if s := l.escape(); s != nil {
				return s
			}
		case r == quote && quote == '\'' && l.look(1) == quote:
			l.i++
		case r == quote:
			l.i++
			return nil
		}
	}
	return l.unclosed(from, "quote")
}

// escape checks the escape at a backslash and stops on its last rune.
func (l *lineScanner) escape() *syntaxError {
	from, letter := l.i, l.look(1)
	_, short := shortEscapes[letter]
	digits := longEscapes[letter]
	if !short && digits == 0 && !strings.ContainsRune(" \"'/\\\r\n", letter) {
		return l.fail(from, 2, `a backslash inside double quotes begins an escape that YAML does not know: use single quotes, or write two backslashes`)
	}
	for n := range digits {
		if !strings.ContainsRune("0123456789abcdefABCDEF", l.look(2+n)) || l.look(2+n) == 0 {
			return l.fail(from, 2+n, `a backslash inside double quotes begins an escape that is not finished: use single quotes, or write two backslashes`)
		}
	}
	if letter != '\r' && letter != '\n' {
		l.i += 1 + digits
	}
	return nil
}

// keyBelow tells, at a line break inside quotes or brackets, whether the next line must be a key of
// its own: it is indented no deeper than the line where they were opened, and than the keys
// to which that belongs.
func (l *lineScanner) keyBelow() bool {
	below := l.lineScanner(l.i + 1)
	start := below.i
	below.skipBlanks()
	deepest := l.indent
	if len(l.levels) > 0 {
		deepest = min(deepest, l.top().col)
	}
	return below.i-start <= deepest && likeKey.MatchString(below.restOfLine())
}

func (l *lineScanner) unclosed(from int, what string) *syntaxError {
	note := "it should have been closed before this line ends"
	if !l.more() {
		note = "the file ends here"
	}
	return l.fail(from, 1, "the "+what+" opened here is never closed").with(l.i, note)
}
