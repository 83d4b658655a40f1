package unit

import (
	"strings"
	"unicode"
)

// quoted puts s in quotes for a message: one line, no control codes, not
// longer than a message can bear.
func quoted(s string) string {
	const most = 40
	var b strings.Builder
	b.WriteByte('"')
	n := 0
	for _, r := range s {
		if n++; n > most {
			b.WriteString("...")
			break
		}
		b.WriteRune(printable(r))
	}
	b.WriteByte('"')
	return b.String()
}

// nearestName is the known spelling nearest to name, "" when none is near: the
// same letters in another case, else one slip (two in a long word). Of several
// equally near the first in the table.
func nearestName(name string) string {
	if u, ok := folded[fold(name)]; ok {
		return u.Name
	}
	letters := []rune(fold(name))
	if len(letters) < 2 || len(letters) > 30 {
		return ""
	}
	best, least := "", 1
	if len(letters) > 5 {
		least = 2
	}
	for _, u := range units {
		for _, s := range append(append([]string{u.Name}, u.symbols...), u.words...) {
			if n := slips(letters, []rune(fold(s))); n < least || n == least && best == "" {
				best, least = s, n
			}
		}
	}
	return best
}

// slips counts the letters to add, drop, change or swap with their neighbour to
// turn a into b.
func slips(a, b []rune) int {
	before, last := []int(nil), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row := make([]int, len(b)+1)
		row[0] = i + 1
		for j := range b {
			change := last[j]
			if a[i] != b[j] {
				change++
			}
			row[j+1] = min(change, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}

// printable is r, or a replacement sign for what must not reach a terminal.
func printable(r rune) rune {
	if unicode.IsPrint(r) {
		return r
	}
	if unicode.IsSpace(r) {
		return ' '
	}
	return unicode.ReplacementChar
}
