package terminal

import "io"

// Tell prints paragraphs, one a string, to the width of the terminal or of o. A
// paragraph is set in by the blanks that it begins with.
func Tell(w io.Writer, text []string, o Options) error {
	return print(w, paragraphs(plainText, text, columns(o)))
}
