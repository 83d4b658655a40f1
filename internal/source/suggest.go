package source

import (
	"fmt"
	"slices"
	"strings"
)

// DidYouMean gives `; did you mean "x"?` for the known word that is nearest to the one written, else
// for one that begins as it does, or nothing when none is near. Of equally near words the first in alphabetical order is taken, so the
// order of known does not matter.
func DidYouMean(word string, known []string) string {
	best, least := "", allowedEdits(word)+1
	for _, candidate := range slices.Sorted(slices.Values(known)) {
		if candidate == word {
			continue
		}
		if d := editDistance(plainWord(word), plainWord(candidate), least); d < least {
			best, least = candidate, d
		}
	}
	for _, candidate := range slices.Sorted(slices.Values(known)) {
		if best == "" && (begins(word, candidate) || begins(candidate, word)) {
			best = candidate
		}
	}
	if best == "" {
		return ""
	}
	return advise(best)
}

func advise(word string) string { return fmt.Sprintf("; did you mean %q?", word) }

// begins tells whether a word is another with at most six letters behind it, and no short one.
func begins(long, short string) bool {
	l, s := string(plainWord(long)), string(plainWord(short))
	return len(s) >= 3 && len(l) > len(s) && len(l) <= len(s)+6 && strings.HasPrefix(l, s)
}

// allowedEdits is how many letters may differ before a suggestion becomes a guess: a third of the
// word, one at least and four at most.
func allowedEdits(word string) int {
	n := len([]rune(word))
	if n < 2 {
		return 0
	}
	return min(max(n/3, 1), 4)
}

// plainWord levels what people mix up without noticing: capitals, blanks, hyphens, underscores.
func plainWord(s string) []rune {
	return []rune(strings.NewReplacer("-", "_", " ", "_").Replace(strings.ToLower(s)))
}

// editDistance counts the letters to add, drop, change, or swap with their neighbour to get from a to b
// (edit distance with swaps of neighbours). It gives limit when there are limit or more.
func editDistance(a, b []rune, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	// Three rows of the usual table: two back (for swaps), one back, and the present one.
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return min(last[len(b)], limit)
}
