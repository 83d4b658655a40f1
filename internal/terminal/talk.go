package terminal

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"deadflat/internal/text"
)

// Talk is a conversation of typed lines that is no walk through a tree: something
// stands to be known, a line is typed, and something is told. Whoever carries it on
// sees to it that a line that was taken is kept before Take comes back.
type Talk interface {
	// Ask is what stands to be known before the next line.
	Ask() Asked
	// Take takes a line. An error is one that no other line can mend.
	Take(line string) (Told, error)
	// Over reports whether nothing more is asked.
	Over() bool
}

// Asked is what is asked. Text is paragraphs, one a line, and leading blanks set one
// in. Choices are typed like
// anything else: what they are, the talk knows.
type Asked struct {
	Head, Where string // what this is, and where it stands: on one line where there is room
	Text        []string
	Next        []string // what is to be done now, right over the line
	Question    string
	Choices     []string // numbered from 1
	Fresh       bool     // it stands under what came of the lines before: a new question
}

// Told is what came of a line.
type Told struct {
	Text  []string // as in Asked
	Wrong bool     // the line was not taken, and the text says why
	Long  bool     // it is to be read and put aside: a page of its own
	Film  *Film
}

// Film is a drawing that comes about in time.
type Film struct {
	Head    string
	Seconds float64 // how long it takes
	Slower  float64 // by how much it is slowed down; 1 is as long as it takes
	// Frame draws it up to a moment, in so many columns and rows. Its lines are
	// shown as they are.
	Frame func(at float64, columns, rows int) []string
}

// ErrPaused is what Converse gives when a person left before the talk was over, or
// the input ended.
var ErrPaused = errors.New("left before it was over")

// leaving are the words that pause a talk.
var leaving = []string{"pause", "quit", "exit"}

// leaves reports whether a line leaves the talk.
func leaves(line string) bool {
	line = strings.ToLower(strings.TrimSpace(line))
	for _, w := range leaving {
		if line == w {
			return true
		}
	}
	return false
}

// Converse carries on a talk until it is over, on a screen of its own or in plain
// lines. Both faces take the same lines and tell the same.
func Converse(ctx context.Context, t Talk, o Options) error {
	talk := talkScreen
	if o.Plain {
		talk = talkPlain
	}
	err := talk(ctx, t, o)
	if err != nil && !errors.Is(err, ErrPaused) {
		return fmt.Errorf("talk: %w", err)
	}
	return err
}

// paragraphs lays text out, each paragraph set in as it begins.
func paragraphs(k kind, said []string, width int) []string {
	var lines []string
	for _, p := range said {
		words := strings.TrimLeft(p, " ")
		in := len(p) - len(words)
		if words == "" {
			lines = append(lines, "")
			continue
		}
		indent := strings.Repeat(" ", in)
		for _, l := range text.Wrap(words, width, indent, indent+strings.Repeat(" ", 2*min(in, 1))) {
			lines = append(lines, paint(k, l))
		}
	}
	return lines
}

// numbered are choices as they are shown.
func numbered(choices []string) []string {
	out := make([]string, len(choices))
	for i, c := range choices {
		out[i] = fmt.Sprintf("  %d %s", i+1, c)
	}
	return out
}
