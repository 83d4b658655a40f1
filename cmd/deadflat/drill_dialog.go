package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/drill"
	"deadflat/internal/terminal"
	"deadflat/internal/text"
)

// drillDialog carries a drill on, and keeps its lines in a file.
type drillDialog struct {
	*drill.Drill
	file *os.File
	end  int64 // of what this program has read and written of it
	left bool
}

func (d *drillDialog) Over() bool { return d.Done || d.left }

func (d *drillDialog) Leave() error {
	d.left = true
	return nil
}

func (d *drillDialog) Prompt() terminal.Prompt {
	p := terminal.Prompt{Title: fmt.Sprintf("Level %d, seed %d: %s", d.Level, d.Seed, drill.Levels[d.Level-1]), Commands: []terminal.Command{{Word: "help"}}}
	q, n := d.Asked()
	if q == nil {
		p.Where, p.Log = d.Elapsed(), true
		p.Text = terminal.Paragraphs(append(slices.Clone(d.Told), "Type help for what can be done, find when you know it."))
		p.Do = terminal.Paragraphs(d.TreeNow())
		p.Fields = []terminal.Field{{Name: "line", Ask: "What next"}}
		return p
	}
	p.Key, p.Title, p.Where = fmt.Sprint("question ", n), fmt.Sprintf("Question %d of %d", n, len(d.Questions)), p.Title
	p.Text = terminal.Paragraphs(q.Text)
	f := terminal.Field{Name: p.Key, Ask: "Your answer"}
	for i, c := range q.Choices {
		key := strconv.Itoa(i + 1)
		f.Choices = append(f.Choices, terminal.Choice{Key: key, Name: c, Line: key})
	}
	p.Fields = []terminal.Field{f}
	return p
}

// slower is how many times as long the beginning of a crank takes when it is slowed
// down. Modelling choice: its 0.3 s become six.
const slower = 20

// leaving are the words that leave a drill.
var leaving = []string{"pause", "quit", "exit"}

func (d *drillDialog) Answer(_, line string) (terminal.Reply, error) {
	if slices.Contains(leaving, strings.ToLower(strings.TrimSpace(line))) {
		return terminal.Reply{}, d.Leave()
	}
	if err := d.alone(); err != nil {
		return terminal.Reply{}, err
	}
	r, err := d.Do(line)
	if err != nil {
		return terminal.Reply{Refused: []terminal.Part{{Kind: terminal.Trouble, Text: text.Sentence(err.Error())}}}, nil
	}
	if r.Long {
		return terminal.Reply{Page: &terminal.Page{Head: line, Parts: terminal.Paragraphs(strings.Split(r.Text, "\n"))}}, nil
	}
	if err := appendLine(d.file, drill.Typed{Do: line}); err != nil {
		return terminal.Reply{}, fmt.Errorf("the line is not saved: %w", err)
	}
	if d.end, err = d.file.Seek(0, io.SeekCurrent); err != nil {
		return terminal.Reply{}, err
	}
	var reply terminal.Reply
	if r.Text != "" {
		reply.Told = terminal.Paragraphs(strings.Split(r.Text, "\n"))
	}
	if t := r.Trace; t != nil {
		reply.Told = append(reply.Told, terminal.Paragraphs(t.Words())...)
		a := &terminal.Animation{Head: "The crank, as the meter shows it", Seconds: t.Seconds(r.Slow), Slower: 1}
		if r.Slow {
			a.Head, a.Slower = "The beginning of the crank", slower
		}
		a.Frame = func(at float64, columns, rows int) []string { return t.Draw(r.Slow, at, columns, rows) }
		reply.Animation = a
	}
	return reply, nil
}

// alone reports as an error that another program has gone on with the drill meanwhile:
// what is written now would stand over its lines.
func (d *drillDialog) alone() error {
	s, err := d.file.Stat()
	if err == nil && s.Size() != d.end {
		err = fmt.Errorf("%q has been gone on with by another program meanwhile: leave one of the two, and take it up again with --resume", d.file.Name())
	}
	return err
}
