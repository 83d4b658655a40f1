package main

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"syscall"
	"time"

	"deadflat/internal/drill"
	"deadflat/internal/journal"
	"deadflat/internal/terminal"
	"deadflat/internal/text"
)

// drillDialog carries a drill on, and keeps its lines in a file.
type drillDialog struct {
	*drill.Drill
	file  *journal.File
	begun time.Time
	typed []drill.Typed // every line so far
	lost  error         // why the last of them is not in the file
	left  bool
}

func (d *drillDialog) Over() bool { return d.left || d.Done && d.lost == nil }

func (d *drillDialog) Leave() error {
	d.left = true
	return nil
}

func (d *drillDialog) Prompt() terminal.Prompt {
	p := terminal.Prompt{Title: fmt.Sprintf("Level %d, seed %d: %s", d.Level, d.Seed, drill.Levels[d.Level-1].Title), Commands: []terminal.Command{{Word: "help"}}}
	q, n := d.Asked()
	if d.lost != nil {
		p.Key, p.Text = "lost", terminal.Paragraphs([]string{text.Sentence(d.lost.Error())})
		p.Fields = []terminal.Field{{Name: "lost", Ask: "Go on in another file, with every line so far in it? (y or n)"}}
		return p
	}
	if q == nil {
		p.Where, p.Log = d.Elapsed(), true
		p.Text = terminal.Paragraphs(append(slices.Clone(d.Told), "Type help for what can be done, find when you know it."))
		p.Do = terminal.Paragraphs(d.TreeNow())
		p.Fields = []terminal.Field{{Name: "line", Ask: "What next"}}
		return p
	}
	p.Key, p.Title, p.Where = fmt.Sprint("question ", n), fmt.Sprintf("Question %d of %d", n, len(d.Questions)), p.Title
	p.Text = terminal.Paragraphs(q.Text)
	p.Fields = []terminal.Field{{Name: p.Key, Ask: "Your answer", Choices: terminal.Numbered(q.Choices)}}
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
	if d.lost != nil {
		return d.goOnElsewhere(line)
	}
	r, err := d.Do(line)
	if err != nil {
		return terminal.Refuse(err.Error()), nil
	}
	if r.Long {
		return terminal.Reply{Page: &terminal.Page{Head: line, Parts: terminal.Paragraphs(strings.Split(r.Text, "\n"))}}, nil
	}
	d.keep(drill.Typed{At: time.Now().Round(0), Do: line})
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

// keep puts a line on disk.
func (d *drillDialog) keep(line drill.Typed) {
	if !d.file.Summed() {
		line.At = time.Time{} // version 2 has no times
	}
	d.typed = append(d.typed, line)
	if err := d.file.Append(line); err != nil {
		d.lost = fmt.Errorf("the line is not saved: %w", err)
	}
}

// goOnElsewhere takes the answer to whether the drill goes on in another file.
func (d *drillDialog) goOnElsewhere(line string) (terminal.Reply, error) {
	switch strings.ToLower(strings.TrimSpace(line)) {
	case "1", "y", "yes":
		resume := d.another()
		if d.lost != nil {
			return terminal.Reply{}, nil // and it is asked again
		}
		return terminal.Reply{Told: terminal.Paragraphs([]string{"To go on later: " + resume})}, nil
	case "2", "n", "no":
		return terminal.Reply{}, d.lost
	}
	return terminal.Refuse("type y or n"), nil
}

// another keeps the whole drill in another file from here on, and gives the command
// that takes it up again.
func (d *drillDialog) another() (resume string) {
	lines := []any{d.Header(d.begun)}
	for _, l := range d.typed {
		lines = append(lines, l)
	}
	f, err := elsewhere(drill.Kind, d.file.Path, lines)
	if err != nil {
		d.lost = fmt.Errorf("the drill is not saved in another file either: %w", err)
		return ""
	}
	_ = d.file.Close() // what it holds is in the other one
	d.file, d.lost = f, nil
	return d.resume()
}

func (d *drillDialog) resume() string {
	return "deadflat drill --resume " + shown(drill.Kind, d.file.Path)
}

// take carries the drill on until it is over, or left, and talks it over.
func (d *drillDialog) take(s streams, plain bool) error {
	defer func() { _ = d.file.Close() }() // every line is on disk
	// A signal leaves the drill; whatever was typed is on disk by then.
	ctx, stop := untilSignal(syscall.SIGHUP)
	defer stop()
	o := terminal.Options{In: s.in, Out: s.out, Err: s.err, Plain: plain || terminal.WantsPlain(s.in, s.err, os.Getenv)}
	err := terminal.Converse(ctx, d, o)
	if err == nil && d.lost != nil {
		d.another() // nobody is asked any more
	}
	switch {
	case err != nil:
		return err
	case d.lost != nil:
		return d.lost
	case !d.Done:
		fmt.Fprintf(s.err, "The drill is kept: %s\n", d.resume())
		return errFaults
	}
	err = terminal.Tell(s.out, strings.Split(d.Debrief(), "\n"), o)
	if err == nil && !d.Passed() {
		err = errFaults
	}
	return err
}
