package report

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// clean makes one line of text safe to show anywhere: runs of white space
// become one space; control codes, hidden formatting marks, code points that
// no document may hold and bytes that are not UTF-8 become U+FFFD, so that the
// reader sees that something stood there.
//
// Trees and answers come from strangers. Every word of theirs passes through
// here before it is escaped for its form.
func clean(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range s {
		switch {
		case unicode.IsSpace(r):
			gap = true
			continue
		case hidden(r):
			r = utf8.RuneError
		}
		if gap && b.Len() > 0 {
			b.WriteByte(' ')
		}
		gap = false
		b.WriteRune(r)
	}
	return b.String()
}

// hidden reports whether a rune would act on a reader's screen instead of
// being seen on it. The joiners that some scripts need, and the soft hyphen,
// are let through.
func hidden(r rune) bool {
	switch r {
	case 0x00AD, 0x200C, 0x200D:
		return false
	}
	nonCharacter := r&0xFFFE == 0xFFFE || r >= 0xFDD0 && r <= 0xFDEF
	return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || nonCharacter
}

// plain turns a declared word into prose: "starter_feed_stud" is "starter feed
// stud".
func plain(word string) string { return strings.ReplaceAll(word, "_", " ") }

// sentence makes a sentence of a text: a capital first and a stop last. An
// empty text stays empty.
func sentence(s string) string {
	s = clean(s)
	if s == "" {
		return ""
	}
	if !strings.ContainsAny(s[len(s)-1:], ".!?:") && !strings.HasSuffix(s, ".”") && !strings.HasSuffix(s, ".)") {
		s += "."
	}
	return capital(s)
}

// capital makes the first letter a capital one, unless the word is a symbol
// such as "mV" whose case means something.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	next, _ := utf8.DecodeRuneInString(s[n:])
	if unicode.IsUpper(next) {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// sentences joins texts into one paragraph, leaving the empty ones out.
func sentences(texts ...string) string {
	var out []string
	for _, t := range texts {
		if t = sentence(t); t != "" {
			out = append(out, t)
		}
	}
	return strings.Join(out, " ")
}

// series joins words as prose does: "a, b and c".
func series(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

// shorten cuts a text to at most n runes, the last of them an ellipsis when
// something was cut.
func shorten(s string, n int) string {
	if utf8.RuneCountInString(s) <= n {
		return s
	}
	return strings.TrimRight(string([]rune(s)[:n-1]), " ") + "…"
}

// lower makes the first letter a small one, for a title inside a sentence,
// unless the text begins with an abbreviation.
func lower(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if next, _ := utf8.DecodeRuneInString(s[n:]); n == 0 || unicode.IsUpper(next) {
		return s
	}
	return string(unicode.ToLower(r)) + s[n:]
}

// number prints a number with a fixed count of decimals and never as "-0".
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}
