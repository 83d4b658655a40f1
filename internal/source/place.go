package source

import "strconv"

// Place is a spot in a file. Line and Col count from 1; Col counts runes, not bytes, and a byte order
// mark at the beginning of a file is not counted. A Line of 0 means the file as a whole.
type Place struct {
	File      string
	Line, Col int
}

// String gives file:line:col, or the file's name alone when the place is the whole file.
func (p Place) String() string {
	if p.Line == 0 {
		return visible(p.File)
	}
	return visible(p.File) + ":" + strconv.Itoa(p.Line) + ":" + strconv.Itoa(p.Col)
}
