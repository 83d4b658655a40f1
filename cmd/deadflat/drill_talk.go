package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"deadflat/internal/drill"
	"deadflat/internal/terminal"
	"deadflat/internal/text"
)

// drillTalk carries a drill on as a talk, and keeps its lines in a file.
type drillTalk struct {
	*drill.Drill
	file *os.File
	end  int64 // of what this program has read and written of it
}

func (t *drillTalk) Over() bool { return t.Done }

func (t *drillTalk) Ask() terminal.Asked {
	a := terminal.Asked{Head: fmt.Sprintf("Level %d, seed %d: %s", t.Level, t.Seed, drill.Levels[t.Level-1])}
	if q, n := t.Asked(); q != nil {
		a.Where, a.Fresh = fmt.Sprintf("Question %d of %d", n, len(t.Questions)), true
		a.Text, a.Choices, a.Question = q.Text, q.Choices, "Your answer"
		return a
	}
	a.Where, a.Question = t.Elapsed(), "What next"
	a.Text = append(append(a.Text, t.Told...), "Type help for what can be done, find when you know it.")
	a.Next = t.TreeNow()
	return a
}

// slower is how many times as long the beginning of a crank takes when it is slowed
// down. Modelling choice: its 0.3 s become six.
const slower = 20

func (t *drillTalk) Take(line string) (terminal.Told, error) {
	if err := t.alone(); err != nil {
		return terminal.Told{}, err
	}
	r, err := t.Do(line)
	if err != nil {
		return terminal.Told{Text: []string{text.Sentence(err.Error())}, Wrong: true}, nil
	}
	if !r.Long {
		if err := appendLine(t.file, drill.Typed{Do: line}); err != nil {
			return terminal.Told{}, fmt.Errorf("the line is not saved: %w", err)
		}
		if t.end, err = t.file.Seek(0, io.SeekCurrent); err != nil {
			return terminal.Told{}, err
		}
	}
	told := terminal.Told{Long: r.Long}
	if r.Text != "" {
		told.Text = strings.Split(r.Text, "\n")
	}
	if r.Trace != nil {
		told.Text = append(told.Text, r.Trace.Words()...)
		told.Film = &terminal.Film{Head: "The crank, as the meter shows it", Seconds: r.Trace.Seconds(r.Slow), Slower: 1}
		if r.Slow {
			told.Film.Head, told.Film.Slower = "The beginning of the crank", slower
		}
		told.Film.Frame = func(at float64, columns, rows int) []string { return r.Trace.Draw(r.Slow, at, columns, rows) }
	}
	return told, nil
}

// alone reports as an error that another program has gone on with the drill meanwhile:
// what is written now would stand over its lines.
func (t *drillTalk) alone() error {
	s, err := t.file.Stat()
	if err == nil && s.Size() != t.end {
		err = fmt.Errorf("%q has been gone on with by another program meanwhile: leave one of the two, and take it up again with --resume", t.file.Name())
	}
	return err
}
