package text

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Sentence makes a clean sentence of a text: a capital first and a full stop last. An empty
// text stays empty.
func Sentence(s string) string { return Capital(Stop(Clean(s))) }

// Stop ends a text with a full stop, unless it is empty or ends as a sentence does.
func Stop(s string) string {
	s = strings.TrimSpace(s)
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?:") || strings.HasSuffix(s, ".”") || strings.HasSuffix(s, ".)") {
		return s
	}
	return s + "."
}

// Capital makes the first letter a capital one, unless the word is a symbol such as "mV"
// whose case means something.
func Capital(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if next, _ := utf8.DecodeRuneInString(s[n:]); n == 0 || unicode.IsUpper(next) {
		return s
	}
	return string(unicode.ToTitle(first)) + s[n:]
}

// Lower makes the first letter a small one, for a title inside a sentence, unless it begins
// an abbreviation or is a symbol: "LED", "D+" and "Ω" stay as they are.
func Lower(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	next, _ := utf8.DecodeRuneInString(s[n:])
	if n == 0 || !unicode.In(next, unicode.Ll, unicode.M) && next != '\'' && next != '’' && !strings.HasPrefix(s, "A ") {
		return s
	}
	return string(unicode.ToLower(first)) + s[n:]
}

// Spoken is a declared word as people say it: "starter_feed_stud" is "starter feed stud".
func Spoken(word string) string { return strings.ReplaceAll(word, "_", " ") }

// List joins words as prose does, before the last of them "and" or "or": "a, b and c".
func List(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " " + last + " " + words[n]
}

// Count is a number with its noun: "1 step", "3 steps", "2 branches".
func Count(n int, noun string) string {
	switch {
	case n == 1:
	case strings.HasSuffix(noun, "ch"), strings.HasSuffix(noun, "sh"), strings.HasSuffix(noun, "s"), strings.HasSuffix(noun, "x"):
		noun += "es"
	default:
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}
