package source

import "unicode"

// harmless tells that a character can be printed without doing anything to the terminal or to the
// order of the text. Two joiners are harmless, because some scripts are not written without them.
func harmless(r rune) bool {
	if r >= ' ' && r <= '~' {
		return true // what nearly all text is made of
	}
	const nonJoiner, joiner = '\u200c', '\u200d'
	if r == nonJoiner || r == joiner {
		return true
	}
	if r&0xfffe == 0xfffe || r >= 0xfdd0 && r <= 0xfdef { // never characters, by the Unicode standard
		return false
	}
	return !unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Cs)
}
