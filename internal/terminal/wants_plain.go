package terminal

import (
	"os"
	"runtime"

	"golang.org/x/term"
)

// WantsPlain reports whether lines serve better than forms: when either end is
// not a terminal, when the terminal cannot move its cursor (TERM is "dumb" or
// not set), or when the account asks for it with ACCESSIBLE, as people who
// work with a screen reader do. Out is where the questions go.
func WantsPlain(in, out *os.File, getenv func(string) string) bool {
	if getenv("ACCESSIBLE") != "" || getenv("TERM") == "dumb" {
		return true
	}
	if getenv("TERM") == "" && runtime.GOOS != "windows" {
		return true
	}
	return !term.IsTerminal(int(in.Fd())) || !term.IsTerminal(int(out.Fd()))
}

const (
	widest    = 80 // longer lines are hard to follow
	narrowest = 40 // below this the words no longer fit beside the marks
)

// columns is the width to write at: what the caller asks for, else the
// terminal's own, kept between 40 and 80.
func columns(o Options) int {
	if f, ok := o.Err.(*os.File); ok && o.Width == 0 {
		o.Width, _, _ = term.GetSize(int(f.Fd()))
	}
	if o.Width == 0 {
		o.Width = widest
	}
	return within(o.Width, Options{})
}

// within is how much of a terminal of so many columns is used: no more than the
// caller asks for.
func within(columns int, o Options) int {
	width := min(max(columns, narrowest), widest)
	if o.Width > 0 {
		width = min(width, o.Width)
	}
	return width
}
