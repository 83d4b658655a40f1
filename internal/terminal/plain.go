package terminal

import (
	"context"
	"fmt"
	"io"
	"os"
	"slices"

	"golang.org/x/term"

	"deadflat/internal/text"
)

// plain is the face that prints and reads lines. It uses no control codes: each line
// says in words what it is.
type plain struct {
	Dialog
	o     Options
	width int
	echo  bool    // the input is not typed at this terminal, so show it
	shown *Prompt // whose page has been printed; nil at the beginning
	field string  // whose choices and places have been printed under it
	asked bool    // whether a field's have been
	ended string  // the title of the result that has been printed
}

func runPlain(ctx context.Context, d Dialog, o Options) error {
	in, isFile := o.In.(*os.File)
	f := &plain{Dialog: d, o: o, width: columns(o), echo: !isFile || !term.IsTerminal(int(in.Fd()))}
	if err := f.print(notes(o)); err != nil {
		return err
	}
	for !d.Over() {
		name, err := f.ask()
		if err != nil {
			return err
		}
		line, more, err := nextLine(ctx, o.In)
		switch {
		case err != nil:
			return leaveAfter(d, err)
		case !more:
			if err := d.Leave(); err != nil {
				return err
			}
			return print(o.Err, []string{""})
		}
		if err := f.answer(name, line); err != nil {
			return err
		}
	}
	return nil
}

func (f *plain) print(parts []Part) error { return print(f.o.Err, lay(parts, f.width)) }

// leaveAfter leaves the dialog because of err, and returns it.
func leaveAfter(d Dialog, err error) error {
	if failed := d.Leave(); failed != nil {
		return fmt.Errorf("%w; %w", err, failed)
	}
	return err
}

// answer gives a line to the dialog and prints what came of it.
func (f *plain) answer(field, line string) error {
	if f.echo {
		if err := print(f.o.Err, []string{text.Clean(line)}); err != nil {
			return err
		}
	}
	timer := f.Prompt().Timer
	r, err := f.Answer(field, line)
	if err != nil {
		return err
	}
	parts := r.Told
	if len(r.Decided) > 0 {
		parts = append(append(parts, Part{Kind: Gap}), r.Decided...)
	}
	if r.Timer {
		parts = append(parts, Part{Text: "This step takes " + spell(timer) + "; watch a clock."})
	}
	if r.Page != nil {
		f.asked = f.asked && f.field == "" // a long page pushes the field out of sight
		parts = append(append(parts, say(Plain, "", text.Sentence(r.Page.Head))...), r.Page.Parts...)
	}
	if a := r.Animation; a != nil {
		parts = append(parts, Part{Text: a.title() + ":"})
		parts = append(parts, drawn(a.Frame(a.Seconds, f.width, animationRows))...)
	}
	return f.print(append(parts, r.Refused...))
}

// ask prints what is asked now, what has been printed already left out, with the
// cursor left behind the question. It gives the name of the field that is asked for.
func (f *plain) ask() (field string, err error) {
	p := f.Prompt()
	fd := p.Fields[0]
	if len(p.Doubt) > 0 {
		if err := f.print(p.Doubt); err != nil {
			return "", err
		}
		return fd.Name, f.question(fd)
	}
	switch {
	case f.shown == nil || p.Key != f.shown.Key:
		f.asked = false
		err = f.page(p)
	case !slices.Equal(p.Do, f.shown.Do):
		err = f.print(p.Do)
	}
	f.shown = &p
	if err == nil && (!f.asked || f.field != fd.Name) {
		f.asked, f.field = true, fd.Name
		err = f.print(f.about(fd))
	}
	if err != nil {
		return "", err
	}
	return fd.Name, f.question(fd)
}

// page prints a prompt but for its field. A result is printed once.
func (f *plain) page(p Prompt) error {
	parts := []Part{{Kind: Gap}}
	if p.Result != nil {
		if f.ended != p.Title {
			f.ended = p.Title
			if err := print(f.o.Out, lay(append(parts, p.Result...), f.width)); err != nil {
				return err
			}
		}
		return f.print(parts)
	}
	f.ended = ""
	head := text.Sentence(p.Title)
	if !f.o.Brief && p.Where != "" {
		head += " " + text.Sentence(p.Where)
	}
	parts = append(parts, say(Title, p.Label, head)...)
	if !f.o.Brief && len(p.Possible) > 0 {
		parts = append(parts, say(State, "", p.Possible[0])...)
	}
	return f.print(slices.Concat(parts, p.State, p.Cautions, p.Text, p.Do))
}

// about is what stands over a field's question.
func (f *plain) about(fd Field) []Part {
	parts := append(slices.Clone(fd.Next), fd.Place...)
	if !f.o.Brief {
		parts = append(parts, fd.Expected...)
	}
	if !fd.Known {
		for _, c := range fd.Choices {
			parts = append(parts, Part{Text: c.shown(false), In: 2})
		}
	}
	return append(parts, fd.Passing...)
}

// question prints a field's question and leaves the cursor behind it.
func (f *plain) question(fd Field) error {
	ask := fd.Line
	if ask == "" {
		ask = fd.Ask
	}
	lines := text.Wrap(ask+":", f.width-12, "", "")
	if err := print(f.o.Err, lines[:len(lines)-1]); err != nil {
		return err
	}
	if _, err := io.WriteString(f.o.Err, lines[len(lines)-1]+" "); err != nil {
		return fmt.Errorf("cannot write to the terminal: %w", err)
	}
	return nil
}
