package unit

import "strings"

// numeral is a number found in words.
type numeral struct {
	sign     string // "-" or ""
	text     string // digits, an optional point and digits
	decimals int
	tail     string // what is joined to its last word: the unit of "12.55V"
	ended    bool   // a comma or semicolon, after a word also a full stop, closed it: no unit follows
}

// scanNumber takes a number, in digits or in words, from the start of words; n
// is 0 when none begins there.
func scanNumber(words []string) (num numeral, n int, refused *Refused) {
	if len(words) == 0 {
		return num, 0, refuse("", "a number is missing")
	}
	sign, body := "", words
	if s, ok := signWord(words[0]); ok {
		sign, body = s, words[1:]
	} else if s, first := cutSign(words[0]); first != words[0] {
		sign, body = s, append([]string{first}, words[1:]...)
	}
	if len(body) > 0 {
		scan := scanWords
		if startsDigits(body[0]) {
			scan = scanDigits
		}
		num, n, refused = scan(body)
	}
	if n == 0 {
		return num, 0, refuse(words[0], "%s is not a number: type one such as 12.55", quoted(words[0]))
	}
	num.sign = sign
	return num, n + len(words) - len(body), refused
}

// startsNumber reports whether a number, or more of one, begins at words[0].
func startsNumber(words []string) bool {
	_, first := cutSign(words[0])
	if startsDigits(first) {
		return true
	}
	return goesOn(numberWords(words))
}

// startsDigits reports whether s begins like a number in digits: "12", ".15".
func startsDigits(s string) bool { return leadsWithDigit(strings.TrimLeft(s, ".,")) }

func leadsWithDigit(s string) bool { return s != "" && isDigit(s[0]) }

// The signs people's keyboards give for minus: the plain one, the minus sign
// proper, and the dash that some programs put in its place.
var minusSigns = []string{"-", "−", "–"}

// cutSign takes the sign off the start of a word; "-" for minus, else "".
func cutSign(word string) (sign, rest string) {
	for _, m := range minusSigns {
		if strings.HasPrefix(word, m) {
			return "-", word[len(m):]
		}
	}
	return "", strings.TrimPrefix(word, "+")
}

// signWord reads a word that is a sign and nothing else.
func signWord(word string) (sign string, ok bool) {
	switch strings.ToLower(word) {
	case "minus", "negative":
		return "-", true
	case "plus", "+":
		return "", true
	}
	sign, rest := cutSign(word)
	return sign, sign == "-" && rest == ""
}

// scanDigits takes a number in digits, words[0] beginning with it: "12.55",
// "12,55V", and also "12 point 5" and "12 and a half".
func scanDigits(words []string) (num numeral, n int, refused *Refused) {
	word := words[0]
	end := numeralEnd(word)
	digits, tail := word[:end], word[end:]
	stop := "" // the mark that closes the word
	switch last := len(digits) - 1; {
	case tail == ";":
		stop = tail
	case tail != "":
		num.tail = tail
	case !isDigit(digits[last]):
		stop, digits = digits[last:], digits[:last]
	}
	num.ended = stop != "" && stop != "."
	whole, fraction, mark := strings.Cut(strings.ReplaceAll(digits, ",", "."), ".")
	num.text, num.decimals = joined(whole, fraction), len(fraction)
	switch {
	case strings.Contains(fraction, "."):
		return num, 1, refuse(word, "%s has two decimal marks: type one, and no mark for thousands", quoted(word))
	case strings.Contains(digits, ",") && thousands(whole, fraction):
		return num, 1, ambiguous(whole+"."+fraction, whole+fraction)
	case !mark && tail == "" && len(words) > 1 && brokenAtMark(stop, words[1]):
		text := word + " " + words[1]
		return num, 2, refuse(text, "%s can be one number or two: type no blank beside a decimal mark", quoted(text))
	case mark || num.ended || tail != "":
		return num, 1, nil
	}
	f, used, refused := scanFraction(words[1:])
	if used > 0 {
		num.text, num.decimals = joined(whole, f.digits), len(f.digits)
		num.tail, num.ended = f.tail, f.ended
	}
	return num, 1 + used, refused
}

// brokenAtMark reports whether a whole number and the word after it may be one
// number with a blank beside its decimal mark: "12, 6", "12. 6", "12 .6".
func brokenAtMark(stop, next string) bool {
	if stop == "" {
		return !leadsWithDigit(next) && startsDigits(next)
	}
	return leadsWithDigit(next)
}

// thousands reports whether a comma between whole and fraction may part
// thousands: 1,234 and 12,345, but not 0,123 or 1234,567.
func thousands(whole, fraction string) bool {
	return len(fraction) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'
}
