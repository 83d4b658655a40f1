package source

import (
	"regexp"
	"strconv"
	"strings"
)

// When yaml.v3 cannot read a text, it gives a line (often the wrong one) and a sentence for people who
// write parsers. So the text is then gone through once more by a line scanner that is content
// with the plain lines of YAML (indentation, keys and colons, dashes, quotes, brackets) and stops at
// the first thing that cannot be right, which it can name in the author's terms. Where it finds
// nothing, yaml.v3's own line and a reworded sentence have to do.

// syntaxError is the spot where a text stops being YAML.
type syntaxError struct {
	rule      string
	at, width int // runes
	message   string
	noteAt    int // what the error belongs to, with note; none when note is empty
	note      string
}

// addSyntaxFault reports what makes yaml.v3 refuse the text.
func (f *File) addSyntaxFault(err error, faults *Faults) {
	s := f.lineScanner(0).read()
	if s == nil {
		s = f.yamlSyntaxError(err)
	}
	fault := faults.Add(s.rule, f.place(s.at), s.width, "%s", s.message)
	if s.note != "" {
		fault.Notes = append(fault.Notes, Note{f.place(s.noteAt), s.note})
	}
}

var yamlLine = regexp.MustCompile(`^yaml: (?:line (\d+): )?(.*)$`)

// plainWords rewords yaml.v3's complaints.
var plainWords = []struct{ theirs, ours string }{
	{"mapping values are not allowed", `a colon followed by a blank stands where no key can be: put quotes round a text that holds ": "`},
	{"could not find expected ':'", `a key without a colon stands here or on the line above: write "key: value"`},
	{"did not find expected key", "no key can be read here: check the indentation, quotes and brackets on this line and the one above"},
	{"did not find expected <document start>", "the content of the file is complete before its end: check the indentation, brackets and quotes"},
	{"did not find expected ',' or", "brackets or braces are not closed, or a comma is missing between their entries"},
	{"did not find expected node content", "a value is missing: check brackets and commas on this line"},
	{"block sequence entries are not allowed", `a list entry ("- ") cannot stand here: begin the list on a line of its own`},
	{"did not find expected '-' indicator", `this line stands among the entries of a list, but does not begin with "- "`},
	{"cannot start any token", `a text cannot begin with this character: put quotes round it`},
	{"found unexpected end of stream", "a quote is opened and never closed"},
	{"unknown escape", `a backslash inside double quotes begins an escape that YAML does not know: use single quotes, or write \\`},
	{"unknown anchor", `there are more texts that begin with "*" than can be looked at in one run: put quotes round them`},
	{"exceeded max depth", "lists and mappings nest too deep"},
}

// yamlSyntaxError takes yaml.v3's word for the line and marks the whole of it.
func (f *File) yamlSyntaxError(err error) *syntaxError {
	line, message := 1, err.Error()
	if match := yamlLine.FindStringSubmatch(message); match != nil {
		message = match[2]
		if n, err := strconv.Atoi(match[1]); err == nil {
			line = min(max(n, 1), len(f.starts))
		}
	}
	for _, words := range plainWords {
		if strings.Contains(message, words.theirs) {
			message = words.ours
		}
	}
	from, to := f.starts[line-1], f.lineEnd(line)
	for from < to && isBlank(f.runes[from]) {
		from++
	}
	return &syntaxError{rule: "yaml-syntax", at: from, width: to - from, message: message}
}
