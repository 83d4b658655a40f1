package terminal

import (
	"context"
	"strconv"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// Dialog is what a face carries on: something is asked, a line is typed, something
// comes of it. All of a person's words and everything told to them is data here; a face
// lays it out and decides nothing. One goroutine at a time uses it.
type Dialog interface {
	// Prompt is what is asked now. It changes nothing.
	Prompt() Prompt
	// Answer takes the line given for a field of the prompt, "" where it has no name.
	// What it changes has been kept when it comes back. An error is one that no other
	// line can mend.
	Answer(field, line string) (Reply, error)
	// Leave ends the dialog for now, so that it can be taken up again later.
	Leave() error
	// Over reports whether nothing more is asked.
	Over() bool
}

// A Prompt is what is asked, and all there is to know before it is answered. A face
// that prints and cannot take back prints what stands under one Key only once.
type Prompt struct {
	Key   string
	Label string // what the title names: "Step"; may be empty
	Title string
	Where string // how far it is

	Possible []string // what is still possible, told in ever fewer words
	State    []Part   // what must not be forgotten
	Cautions []Part   // to be seen before anything is done
	Text     []Part   // what is known
	Do       []Part   // what is to be done now
	Result   []Part   // where it has come to, whole: worth keeping. Text holds it in short
	Doubt    []Part   // what speaks against the last line. While it stands, it alone is shown

	Fields   []Field // what may be filled in; those of one act together
	Commands []Command
	Timer    time.Duration // what it takes by itself; 0 for no time of its own
	Log      bool          // the lines and what came of them stay in sight, the latest last
}

// A Field takes one line.
type Field struct {
	Name     string   // goes back with the line; a face keeps half-typed text under it
	Ask      string   // the question, with its unit
	Line     string   // the same where lines are typed; empty for the same words
	Known    bool     // the question names what may be typed: the choices need no list
	Choices  []Choice // nil: text or a number is typed
	Many     bool     // several may be chosen; the line names them, with commas
	Enter    bool     // Enter alone gives the first choice
	Hazard   bool     // about safety: it takes a deliberate key, never Enter alone
	Optional bool     // "skip" leaves it out

	Next     []Part // the fields that follow it
	Place    []Part // where the meter goes, and how the vehicle stands
	Expected []Part // what a good one reads, and what it read before
	Passing  []Part // how it may be passed over
	Drawing  []string
}

// A Choice is one of several.
type Choice struct {
	Key    string // may be typed in place of the line; may be empty
	Name   string
	About  string
	Line   string // what it gives as an answer
	Ticked bool   // of a field for many: chosen already
}

// Numbered are choices that are typed by their numbers, from 1.
func Numbered(names []string) []Choice {
	var out []Choice
	for i, name := range names {
		n := strconv.Itoa(i + 1)
		out = append(out, Choice{Key: n, Name: name, Line: n})
	}
	return out
}

// shown is a choice as one line, short without what is known of it.
func (c Choice) shown(short bool) string {
	s := c.Name
	if c.Key != "" {
		s = c.Key + " " + s
	}
	if c.About != "" && !short {
		s += ": " + c.About
	}
	return text.Clean(s)
}

// A Command is a word that may be typed in place of an answer.
type Command struct {
	Word string
	Args string
	Key  string // the same on a numeric pad; may be empty
}

// A Reply is what came of a line.
type Reply struct {
	Told      []Part
	Refused   []Part // why nothing was taken
	Decided   []Part // what the answer decided: to be read before the next question
	Page      *Page  // a longer text that was asked for
	Timer     bool   // the countdown is to start, or to stop
	Animation *Animation

	decided []*engine.Explanation // the branches that an answer took
}

// Refuse is the reply to a line that is not taken.
func Refuse(reason string) Reply { return Reply{Refused: say(Trouble, "", text.Sentence(reason))} }

// A Page is a text of its own, to be read and put aside.
type Page struct {
	Head  string
	Parts []Part
}

// Converse carries on a dialog until it is over, on a screen of its own or in plain
// lines. The end of the input, Ctrl-C and the end of ctx leave it.
func Converse(ctx context.Context, d Dialog, o Options) error {
	switch {
	case d.Over():
		return nil
	case o.Plain:
		return runPlain(ctx, d, o)
	}
	return runScreen(ctx, d, o)
}
