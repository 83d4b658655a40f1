package terminal

import (
	"context"
	"fmt"
	"io"
	"os"

	"golang.org/x/term"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// plain is the face that prints and reads lines. It uses no control codes and
// no drawing: each line says in words what it is.
type plain struct {
	*session
	width int
	echo  bool            // the input is not typed at this terminal, so show it
	page  string          // the page that has been printed
	field string          // the field that has been printed under it
	found *engine.Finding // the finding that has been printed
}

func runPlain(ctx context.Context, s *session, o Options) error {
	f := &plain{session: s, width: columns(o), echo: echoes(o)}
	if err := print(o.Err, lay(s.notes(), f.width)); err != nil {
		return err
	}
	for !s.over() {
		if err := f.ask(); err != nil {
			return err
		}
		line, more, err := nextLine(ctx, o.In)
		switch {
		case err != nil:
			return leaveAfter(s, err)
		case !more:
			if err := s.leave(); err != nil {
				return err
			}
			return print(o.Err, []string{""})
		}
		if err := f.hear(line); err != nil {
			return err
		}
	}
	return nil
}

// echoes reports whether typed lines must be shown by us, because they are not
// typed at a terminal.
func echoes(o Options) bool {
	in, ok := o.In.(*os.File)
	return !ok || !term.IsTerminal(int(in.Fd()))
}

// leaveAfter pauses the job because of err, and returns it.
func leaveAfter(s *session, err error) error {
	if failed := s.leave(); failed != nil {
		return fmt.Errorf("%w; %w", err, failed)
	}
	return err
}

// hear takes a line and prints what came of it.
func (f *plain) hear(line string) error {
	if f.echo {
		if err := print(f.o.Err, []string{text.Clean(line)}); err != nil {
			return err
		}
	}
	r, err := f.take(line, f.focus())
	if err != nil {
		return err
	}
	switch {
	case f.o.Brief:
		r.told = append(r.told, inBrief(r.decided)...)
	case len(r.decided) > 0:
		r.told = append(append(r.told, part{kind: gap}), allInFull(r.decided, false)...)
	}
	if r.timer {
		d, _ := stepTime(f.walk.Next().Step)
		r.told = say(plainText, "", "This step takes "+spell(d)+"; watch a clock.")
	}
	if r.page != nil {
		f.field = "" // a long page pushes the field out of sight
		r.told = append(r.told, part{plainText, "", r.page.head + "."})
		r.told = append(r.told, r.page.parts...)
	}
	return print(f.o.Err, lay(append(r.told, r.trouble...), f.width))
}

// focus is the reading that a bare value is for: the first open field.
func (f *plain) focus() *engine.Reading {
	if fields := f.walk.Next().Fields; len(fields) > 0 {
		return fields[0].Reading
	}
	return nil
}

// ask prints what is asked now: the step's page once, then the question, with
// the cursor left behind it.
func (f *plain) ask() error {
	if f.odd != nil {
		if err := print(f.o.Err, lay(say(trouble, "", f.odd.thought), f.width)); err != nil {
			return err
		}
		return f.question(f.odd.ask + " (y or n)")
	}
	p := f.walk.Next()
	if key := pageKey(p); key != f.page {
		f.page, f.field = key, ""
		if err := f.showPage(p); err != nil {
			return err
		}
	}
	switch {
	case p.Result != nil:
		return f.question("What next")
	case p.Stuck != "":
		return f.question("Type back, or pause")
	case p.Ack:
		return f.question(done(p.Step))
	}
	return f.askField(p)
}

// pageKey changes whenever a page must be printed anew.
func pageKey(p *engine.Prompt) string {
	switch {
	case p.Result != nil:
		return fmt.Sprint(p.Round, " ends in ", p.Result.Finding.ID, p.Result.PutBack)
	case p.Gate != nil:
		return fmt.Sprint(p.Round, p.Step.ID, " gate ", p.Gate.ID)
	}
	return fmt.Sprint(p.Round, p.Step.ID)
}

func done(st *engine.Step) string {
	if gentle(st) {
		return "Press Enter when done"
	}
	return "Type done when done"
}

func (f *plain) showPage(p *engine.Prompt) error {
	if p.Result != nil {
		return f.finding(p)
	}
	f.found = nil
	name, where := heading(p)
	parts := []part{{kind: gap}, {title, "Step", text.Sentence(name)}}
	if !f.o.Brief {
		parts[1].text += " " + text.Sentence(where)
		parts = append(parts, say(state, "", possible(p, few))...)
	}
	parts = append(parts, kept(p)...)
	parts = append(parts, cautions(p)...)
	parts = append(parts, putBackHere(p)...)
	if f.o.Brief {
		parts = append(parts, inShort(p, false)...)
	} else {
		parts = append(parts, instruction(p, false)...)
	}
	return print(f.o.Err, lay(parts, f.width))
}

// finding prints a finding once, and then what may be done about it.
func (f *plain) finding(p *engine.Prompt) error {
	parts := []part{{kind: gap}}
	if f.found != p.Result.Finding {
		f.found = p.Result.Finding
		if err := print(f.o.Out, lay(append(parts, result(p.Result, f.o.Brief)...), f.width)); err != nil {
			return err
		}
	}
	for _, w := range ways(p.Result) {
		parts = append(parts, part{choice, "", w.shown})
	}
	return print(f.o.Err, lay(parts, f.width))
}

// askField asks for the first open reading, once with where the meter goes,
// what is expected and the choices.
func (f *plain) askField(p *engine.Prompt) error {
	fd := p.Fields[0]
	if f.field != fd.Reading.ID {
		f.field = fd.Reading.ID
		if err := print(f.o.Err, lay(f.about(p, fd), f.width)); err != nil {
			return err
		}
	}
	return f.question(asks(fd.Reading))
}

func (f *plain) about(p *engine.Prompt, fd engine.Field) []part {
	parts := append(then(p, fd.Reading), placing(fd)...)
	if !f.o.Brief {
		parts = append(parts, expected(fd)...)
	}
	for i, c := range fd.Reading.Choices {
		about := ""
		if !f.o.Brief && fd.Reading.About[c] != "" {
			about = ": " + fd.Reading.About[c]
		}
		parts = append(parts, part{choice, "", fmt.Sprintf("%d %s%s", i+1, c, about)})
	}
	if fd.Reading.Unsure {
		parts = append(parts, part{choice, "", fmt.Sprintf("%d not sure", len(fd.Reading.Choices)+1)})
	}
	return append(parts, passing(p, fd)...)
}

func (f *plain) question(ask string) error { return askLine(f.o.Err, ask, f.width) }

// askLine prints a question and leaves the cursor behind it.
func askLine(w io.Writer, ask string, width int) error {
	lines := text.Wrap(ask+":", width-12, "", "")
	if err := print(w, lines[:len(lines)-1]); err != nil {
		return err
	}
	if _, err := io.WriteString(w, lines[len(lines)-1]+" "); err != nil {
		return fmt.Errorf("cannot write to the terminal: %w", err)
	}
	return nil
}
