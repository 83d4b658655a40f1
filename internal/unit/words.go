package unit

import (
	"strconv"
	"strings"
)

// Numbers as people say them. A whole number is
//
//	under 100:  "seven", "fifteen", "forty", "forty two", "forty-two"
//	under 1000: [under 100 | "a"] "hundred" ["and"] [under 100]
//	larger:     [under 1000 | "a"] "thousand" ["and"] [under 1000]
//
// and a fraction is "point" and its digits one by one ("point oh five"), or one
// number under 100 for two digits ("point fifty five"), or "and a half", "and a
// quarter". Two numbers in a row, as in "twelve fifty five", are refused: they
// can mean 12.55 or 1255.

type wordKind int

const (
	wordDigit wordKind = iota // zero to nine
	wordOh                    // zero as a letter, in a fraction or before the point
	wordTeen                  // ten to nineteen
	wordTens                  // twenty to ninety
	wordHundred
	wordThousand
	wordPoint // the decimal mark
	wordPart  // half, quarter: value is the digits after the point
	wordAnd
	wordA
)

// numberWord is one word of a number.
type numberWord struct {
	kind  wordKind
	value int
	from  int  // index of the typed word it stands in: "forty-two" holds two
	ended bool // a comma, semicolon or full stop follows: the last of its row
}

var dictionary = map[string]numberWord{
	"hundred": {kind: wordHundred}, "thousand": {kind: wordThousand},
	"point": {kind: wordPoint}, "dot": {kind: wordPoint}, "comma": {kind: wordPoint},
	"half": {kind: wordPart, value: 5}, "quarter": {kind: wordPart, value: 25},
	"and": {kind: wordAnd}, "a": {kind: wordA},
	"oh": {kind: wordOh}, "o": {kind: wordOh},
	"nought": {kind: wordDigit}, "naught": {kind: wordDigit},
}

func init() {
	for i, s := range strings.Fields("zero one two three four five six seven eight nine") {
		dictionary[s] = numberWord{kind: wordDigit, value: i}
	}
	for i, s := range strings.Fields("ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen") {
		dictionary[s] = numberWord{kind: wordTeen, value: 10 + i}
	}
	for i, s := range strings.Fields("twenty thirty forty fifty sixty seventy eighty ninety") {
		dictionary[s] = numberWord{kind: wordTens, value: 20 + 10*i}
	}
}

// numberWords reads the number words at the start of words, up to the first
// that is none or is followed by a comma, semicolon or full stop.
func numberWords(words []string) []numberWord {
	var found []numberWord
	for i, typed := range words {
		word := strings.TrimRight(typed, ",;.")
		ended := len(word) < len(typed)
		var parts []numberWord
		for _, part := range strings.Split(strings.ToLower(word), "-") {
			w, ok := dictionary[part]
			if !ok {
				return found
			}
			w.from = i
			parts = append(parts, w)
		}
		parts[len(parts)-1].ended = ended
		found = append(found, parts...)
		if ended {
			break
		}
	}
	return found
}

func kindAt(ws []numberWord, i int) wordKind {
	if i < 0 || i >= len(ws) {
		return -1
	}
	return ws[i].kind
}

// goesOn reports whether ws, what follows a number, begins another or more of
// the same one. "and", "a" and "oh" alone do not: "twelve and a bit".
func goesOn(ws []numberWord) bool {
	i := 0
	if kindAt(ws, i) == wordAnd {
		i++
	}
	if kindAt(ws, i) == wordA {
		i++
		k := kindAt(ws, i)
		return k == wordHundred || k == wordThousand || k == wordPart
	}
	if kindAt(ws, i) == wordOh {
		i++
	}
	k := kindAt(ws, i)
	return k >= 0 && k != wordAnd && k != wordA
}

// scanWords takes a number in words from the start of words.
func scanWords(words []string) (numeral, int, *Refused) {
	ws := numberWords(words)
	whole, used := wholeNumber(ws)
	if used == 0 && kindAt(ws, 0) != wordPoint {
		return numeral{}, 0, nil
	}
	taken := 0
	if used > 0 {
		taken = ws[used-1].from + 1
	}
	num := numeral{text: strconv.Itoa(whole), ended: used > 0 && ws[used-1].ended}
	if num.ended {
		return num, taken, nil
	}
	if used < len(ws) && ws[used].from < taken { // "five-point"
		return num, taken, refuse(words[taken-1], "%s is not a number: type one such as 12.55", quoted(words[taken-1]))
	}
	frac, more, refused := scanFraction(words[taken:])
	switch {
	case refused != nil && used == 0:
		return numeral{}, 0, nil
	case refused != nil:
		return numeral{}, taken + more, refused
	case more > 0:
		return numeral{text: joined(num.text, frac.digits), decimals: len(frac.digits), tail: frac.tail, ended: frac.ended}, taken + more, nil
	case goesOn(ws[used:]):
		all := ws[len(ws)-1].from + 1
		return num, all, twoInWords(strings.Join(words[:all], " "), whole, ws[used:])
	}
	return num, taken, nil
}

// twoInWords refuses a number in words, text, in which another follows the
// first. Where the second can be the digits that go on the first, both readings
// are named.
func twoInWords(text string, whole int, next []numberWord) *Refused {
	second := ""
	if n, used := wholeNumber(next); used == len(next) && n < 100 {
		second = strconv.Itoa(n)
	} else if digits, used := spokenDigits(next); used == len(next) && len(digits) < 6 {
		second = digits
	}
	if second == "" {
		return refuse(text, "%s is not one number: type it in digits, such as 12.55", quoted(text))
	}
	first := strconv.Itoa(whole)
	return ambiguous(first+"."+second, strings.TrimLeft(first, "0")+second)
}

// wholeNumber reads a whole number under a million; used is 0 when there is
// none.
func wholeNumber(ws []numberWord) (n, used int) {
	n, used = underThousand(ws)
	if kindAt(ws, used) != wordThousand || used > 0 && (n == 0 || n >= 1000) {
		if kindAt(ws, 0) == wordA && used == 1 {
			return 0, 0
		}
		return n, used
	}
	if used == 0 {
		n = 1
	}
	n, used = n*1000, used+1
	more, m := added(ws, used, underThousand)
	if more >= 1000 {
		return n, used
	}
	return n + more, used + m
}

// underThousand reads what stands before or after "thousand"; "a" before it
// counts as 1. It may be as much as 9999, as in "ninety nine hundred".
func underThousand(ws []numberWord) (n, used int) {
	n, used = underHundred(ws)
	if kindAt(ws, 0) == wordA {
		n, used = 1, 1
	}
	if kindAt(ws, used) != wordHundred || used > 0 && n == 0 {
		return n, used
	}
	if used == 0 {
		n = 1
	}
	n, used = n*100, used+1
	more, m := added(ws, used, underHundred)
	return n + more, used + m
}

// added reads, after a multiplier that ends at ws[used-1], what is added to it,
// with or without "and".
func added(ws []numberWord, used int, read func([]numberWord) (int, int)) (n, more int) {
	skip := 0
	if kindAt(ws, used) == wordAnd {
		skip = 1
	}
	if n, more = read(ws[min(used+skip, len(ws)):]); more == 0 || n == 0 || kindAt(ws, used+skip) == wordA {
		return 0, 0
	}
	return n, skip + more
}

func underHundred(ws []numberWord) (n, used int) {
	switch kindAt(ws, 0) {
	case wordDigit, wordTeen:
		return ws[0].value, 1
	case wordOh:
		if kindAt(ws, 1) == wordPoint {
			return 0, 1
		}
	case wordTens:
		if kindAt(ws, 1) == wordDigit && ws[1].value > 0 {
			return ws[0].value + ws[1].value, 2
		}
		return ws[0].value, 1
	}
	return 0, 0
}

// fraction is what follows the decimal mark.
type fraction struct {
	digits string
	tail   string // what is joined to the last word
	ended  bool
}

// scanFraction takes "point one five", "point 15V", "and a half" from the start
// of words; used is 0 when none of these begins there.
func scanFraction(words []string) (f fraction, used int, refused *Refused) {
	ws := numberWords(words)
	if kindAt(ws, 0) == wordAnd && kindAt(ws, 1) == wordA && kindAt(ws, 2) == wordPart && !goesOn(ws[3:]) {
		return fraction{digits: strconv.Itoa(ws[2].value), ended: ws[2].ended}, ws[2].from + 1, nil
	}
	if kindAt(ws, 0) != wordPoint {
		return fraction{}, 0, nil
	}
	if len(ws) == 1 && len(words) > 1 && !ws[0].ended && leadsWithDigit(words[1]) {
		return pointDigits(words)
	}
	digits, n := spokenDigits(ws[1:])
	text := func(n int) string { return strings.Join(words[:n], " ") }
	if n == 0 {
		return fraction{}, 1, refuse(text(1), "a digit is missing after %s", quoted(text(1)))
	}
	last, rest := ws[n], ws[n+1:]
	if goesOn(rest) || len(rest) > 0 && rest[0].from == last.from {
		n := ws[len(ws)-1].from + 1
		return fraction{}, n, refuse(text(n), "%s is not one number: say the digits after the point one by one", quoted(text(n)))
	}
	return fraction{digits: digits, ended: last.ended}, last.from + 1, nil
}

// spokenDigits reads the digits after the point: one by one, or one number from
// ten to ninety-nine, perhaps after zeros. It stops at the first word that does
// not belong.
func spokenDigits(ws []numberWord) (digits string, used int) {
	var found []byte
	for used < len(ws) {
		w := ws[used]
		switch w.kind {
		case wordDigit, wordOh:
			found = append(found, byte('0'+w.value))
			used++
		case wordTeen, wordTens:
			if strings.Trim(string(found), "0") != "" {
				return string(found), used
			}
			n, more := underHundred(ws[used:])
			return string(found) + strconv.Itoa(n), used + more
		default:
			return string(found), used
		}
	}
	return string(found), used
}

// pointDigits reads "point 15", "point 15V": words[1] begins with a digit.
func pointDigits(words []string) (fraction, int, *Refused) {
	word := words[1]
	end := 0
	for end < len(word) && isDigit(word[end]) {
		end++
	}
	f := fraction{digits: word[:end], tail: word[end:]}
	text := strings.Join(words[:2], " ")
	if strings.Trim(f.tail, ",;.") == "" {
		f.tail, f.ended = "", f.tail != ""
	}
	switch {
	case f.tail != "" && strings.ContainsAny(f.tail[:1], ".,"):
		return f, 2, refuse(text, "%s has two decimal marks: type one", quoted(text))
	case !f.ended && f.tail == "" && len(words) > 2 && startsDigits(words[2]):
		return f, 3, refuse(strings.Join(words[:3], " "), "%s can be one number or two: type it in digits, such as 12.55", quoted(strings.Join(words[:3], " ")))
	}
	return f, 2, nil
}
