package source

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// Where does the k-th rune of a value stand in the file? A node says only where its scalar starts.
// Between there and the k-th rune lie quotes, escapes, folded lines and indentation, which the value
// no longer shows. So the raw text is scanned once more by the rules of YAML, and for every rune of
// the value the scan notes the index it came from. The value's length is known beforehand and says
// where a plain scalar ends, which would otherwise depend on everything round it.
//
// A folded line break stands where the line ends; a blank line that became a line break stands at its
// own end.

// In is the place of the k-th rune (from 0) of a scalar's value. k may be the length of the value:
// the place just behind it. Anything but a scalar has only its start.
func (f *File) In(n *yaml.Node, k int) Place {
	if n == nil || n.Kind != yaml.ScalarNode {
		return f.At(n)
	}
	at := f.scan(n).at
	return f.place(at[min(max(k, 0), len(at)-1)])
}

// Span is the place of the runes from up to (not including) to of a scalar's value, and the width to
// underline: as much of it as stands on the first line, at least 1.
func (f *File) Span(n *yaml.Node, from, to int) (Place, int) {
	if n == nil || n.Kind != yaml.ScalarNode {
		return f.At(n), 1
	}
	s := f.scan(n)
	from = min(max(from, 0), len(s.value))
	to = min(max(to, from), len(s.value))
	place := f.place(s.at[from])
	if to == from {
		return place, 1
	}
	end := min(s.at[to-1]+s.width[to-1], f.lineEnd(place.Line))
	return place, max(end-s.at[from], 1)
}

// end is the index just behind a scalar's last rune, closing quote included.
func (f *File) end(n *yaml.Node) int {
	if n.Kind == yaml.AliasNode {
		return min(f.start(n)+1+utf8.RuneCountInString(n.Value), len(f.runes))
	}
	return f.scan(n).i
}

// reading is a text and how far it has been read.
type reading struct {
	text []rune
	i    int // the next rune
}

func (r *reading) more() bool { return r.i < len(r.text) }

// look is the rune n places ahead, 0 behind the end of the text.
func (r *reading) look(n int) rune {
	if r.i+n >= len(r.text) {
		return 0
	}
	return r.text[r.i+n]
}

// scan is one pass over the raw text of a scalar.
type scan struct {
	reading
	line  int    // where the line starts, kept up from the first line break on
	value []rune // the value as scanned so far; equal to the node's when the scan is done
	at    []int  // for each rune of value its index in text, and behind them one for the end
	width []int  // for each rune of value how many runes of text it is written with
	want  int    // runes in the node's value
}

func (f *File) scan(n *yaml.Node) *scan {
	s := &scan{reading: reading{f.runes, f.start(n)}, want: utf8.RuneCountInString(n.Value)}
	s.properties()
	switch {
	case n.Style&yaml.DoubleQuotedStyle != 0:
		s.quoted('"')
	case n.Style&yaml.SingleQuotedStyle != 0:
		s.quoted('\'')
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		s.block(n.Value, n.Style&yaml.FoldedStyle != 0)
	default:
		s.plain()
	}
	return s
}

func (s *scan) emit(r rune, at, width int) {
	s.value = append(s.value, r)
	s.at = append(s.at, at)
	s.width = append(s.width, width)
}

// finish notes the place of the end.
func (s *scan) finish(at int) { s.at = append(s.at, at) }

func (s *scan) blank() bool { return isBlank(s.look(0)) }
func (s *scan) broke() bool { return isBreak(s.look(0)) }

// lineBreak takes one line break and gives its index.
func (s *scan) lineBreak() int {
	at := s.i
	if s.look(0) == '\r' {
		s.i++
	}
	if s.look(0) == '\n' {
		s.i++
	}
	s.line = s.i
	return at
}

// properties passes over an anchor and a tag, with the comments behind them, and
// gives their indices or -1.
func (s *scan) properties() (anchor, tag int) {
	anchor, tag = -1, -1
	for s.look(0) == '&' || s.look(0) == '!' {
		if s.look(0) == '&' {
			anchor = s.i
		} else {
			tag = s.i
		}
		s.i += propertyWidth(s.text[s.i:])
		for comment := false; s.blank() || s.broke() || comment && s.more(); s.i++ {
			comment = comment && !s.broke() || s.look(1) == '#'
		}
	}
	return anchor, tag
}

// propertyWidth is the number of runes of the anchor or tag at the start of a text. A tag
// ends at a blank, an anchor at all that is no letter or digit.
func propertyWidth(text []rune) int {
	for n, r := range text {
		switch {
		case n == 0:
		case text[0] == '!' && strings.ContainsRune(" \t\r\n", r):
			return n
		case text[0] == '&' && r != '_' && r != '-' && (r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r)):
			return n
		}
	}
	return len(text)
}

// gap takes blanks and line breaks between two words of a plain or quoted scalar and emits what they
// fold to. escaped tells that a backslash has already taken the first break.
func (s *scan) gap(escaped bool) {
	from, first := s.i, -1
	var breaks []int
	for s.blank() || s.broke() {
		switch {
		case s.blank():
			s.i++
		case first < 0 && !escaped:
			first = s.lineBreak()
		default:
			breaks = append(breaks, s.lineBreak())
		}
	}
	switch {
	case first < 0 && !escaped:
		for at := from; at < s.i; at++ {
			s.emit(s.text[at], at, 1)
		}
	case len(breaks) == 0 && !escaped:
		s.emit(' ', from, 1)
	default:
		for _, at := range breaks {
			s.emit('\n', at, 1)
		}
	}
}

func (s *scan) plain() {
	for len(s.value) < s.want && s.more() {
		if s.blank() || s.broke() {
			s.gap(false)
			continue
		}
		s.emit(s.look(0), s.i, 1)
		s.i++
	}
	s.finish(s.i)
}

func (s *scan) quoted(quote rune) {
	s.i++
	for s.more() && s.look(0) != quote || quote == '\'' && s.look(0) == quote && s.look(1) == quote {
		switch r := s.look(0); {
		case s.blank() || s.broke():
			s.gap(false)
		case r == quote:
			s.emit(r, s.i, 2)
			s.i += 2
		case r == '\\' && quote == '"':
			s.escape()
		default:
			s.emit(r, s.i, 1)
			s.i++
		}
	}
	s.finish(s.i)
	if s.more() {
		s.i++
	}
}

// shortEscapes are the escapes of one letter after the backslash and what they stand for.
var shortEscapes = map[rune]rune{
	'0': 0, 'a': '\a', 'b': '\b', 't': '\t', '\t': '\t', 'n': '\n', 'v': '\v', 'f': '\f', 'r': '\r',
	'e': 0x1b, 'N': 0x85, '_': 0xa0, 'L': 0x2028, 'P': 0x2029,
}

// longEscapes are the escapes that a number of so many hexadecimal digits follows.
var longEscapes = map[rune]int{'x': 2, 'u': 4, 'U': 8}

func (s *scan) escape() {
	at := s.i
	s.i++
	if s.broke() {
		s.lineBreak()
		s.gap(true)
		return
	}
	letter := s.look(0)
	s.i++
	if digits := longEscapes[letter]; digits > 0 {
		from := s.i
		s.i = min(from+digits, len(s.text))
		code, _ := strconv.ParseInt(string(s.text[from:s.i]), 16, 32) // yaml.v3 has read it
		s.emit(rune(code), at, s.i-at)
		return
	}
	if short, ok := shortEscapes[letter]; ok {
		letter = short
	}
	s.emit(letter, at, 2)
}

// block scans a literal or folded text. Its indentation is the difference between the leading blanks
// of the first line that is not empty as it stands in the file and as it stands in the value.
func (s *scan) block(value string, folded bool) {
	for s.more() && !s.broke() { // the header: |, >, a digit, a sign, a comment
		s.i++
	}
	if s.broke() {
		s.lineBreak()
	}
	body := s.i
	indent := s.indentation(value)
	s.i = body

	last, wasIndented := -1, false // index of the break that ended the line before; that line began with a blank
	breaks := s.emptyLines(indent)
	for s.more() && s.i-s.line == indent && len(s.value) < s.want {
		indented := s.blank()
		switch {
		case last < 0:
		case !folded || wasIndented || indented:
			s.emit('\n', last, 1)
		case len(breaks) == 0:
			s.emit(' ', last, 1)
		}
		for _, at := range breaks {
			s.emit('\n', at, 1)
		}
		wasIndented = indented
		for s.more() && !s.broke() {
			s.emit(s.look(0), s.i, 1)
			s.i++
		}
		last = -1
		if s.broke() {
			last = s.lineBreak()
		}
		breaks = s.emptyLines(indent)
	}
	s.tail(last, breaks)
}

// tail emits as many of the closing line breaks as the value holds: chomping decided that already.
func (s *scan) tail(last int, breaks []int) {
	if last >= 0 {
		breaks = append([]int{last}, breaks...)
	}
	end := s.i
	for _, at := range breaks {
		if len(s.value) == s.want {
			end = at
			break
		}
		s.emit('\n', at, 1)
	}
	s.finish(end)
	s.i = end
}

// emptyLines takes lines of nothing but indentation, and the indentation of the line after them.
func (s *scan) emptyLines(indent int) []int {
	var breaks []int
	for {
		for s.look(0) == ' ' && s.i-s.line < indent {
			s.i++
		}
		if !s.broke() {
			return breaks
		}
		breaks = append(breaks, s.lineBreak())
	}
}

// indentation reads the body of a block text from s.i on. A text of empty lines only has none to tell,
// and no line that could reach any.
func (s *scan) indentation(value string) int {
	line := strings.TrimLeft(value, "\n")
	if line == "" {
		return math.MaxInt
	}
	inValue := len(line) - len(strings.TrimLeft(line, " "))
	empty := len(value) - len(line)
	for ; empty > 0 && s.more(); s.i++ {
		if s.look(0) == '\n' {
			empty--
		}
	}
	inFile := 0
	for s.look(inFile) == ' ' {
		inFile++
	}
	return inFile - inValue
}
