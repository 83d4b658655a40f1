package terminal

import (
	"context"
	"fmt"
	"slices"

	"deadflat/internal/text"
)

// plainRows is how high a drawing is where lines run on. Common practice, no source:
// it fits on every screen with what stands under it.
const plainRows = 20

// talkPlain is the face that prints and reads lines. A film is shown as it is at its
// end.
func talkPlain(ctx context.Context, t Talk, o Options) error {
	width, echo := columns(o), echoes(o)
	var shown Asked
	for !t.Over() {
		a := t.Ask()
		if err := askPlain(a, shown, o, width); err != nil {
			return err
		}
		shown = a
		line, more, err := nextLine(ctx, o.In)
		switch {
		case err != nil:
			return err
		case !more || leaves(line):
			if err := print(o.Err, []string{""}); err != nil {
				return err
			}
			return ErrPaused
		}
		if echo {
			if err := print(o.Err, []string{text.Clean(line)}); err != nil {
				return err
			}
		}
		told, err := t.Take(line)
		if err != nil {
			return err
		}
		if err := tellPlain(told, o, width); err != nil {
			return err
		}
	}
	return nil
}

// askPlain prints what is asked. What has been printed already is not printed again.
func askPlain(a, shown Asked, o Options, width int) error {
	var said []string
	if a.Head != shown.Head {
		said = append(said, text.Sentence(a.Head))
	}
	if a.Fresh || a.Head != shown.Head {
		said = append(said, text.Sentence(a.Where))
	}
	for _, t := range a.Text {
		if a.Fresh || !slices.Contains(shown.Text, t) {
			said = append(said, t)
		}
	}
	if slices.Equal(a.Text, shown.Text) {
		said = nil
	} else {
		said = append(append([]string{""}, said...), numbered(a.Choices)...)
	}
	if !slices.Equal(a.Next, shown.Next) {
		said = append(said, a.Next...)
	}
	lines := paragraphs(plainText, said, width)
	if err := print(o.Err, lines); err != nil {
		return err
	}
	return askLine(o.Err, a.Question, width)
}

func tellPlain(told Told, o Options, width int) error {
	if err := print(o.Err, paragraphs(plainText, told.Text, width)); err != nil {
		return err
	}
	if f := told.Film; f != nil {
		head := f.Head
		if f.Slower != 1 {
			head = fmt.Sprintf("%s, %g times as long as it takes", head, f.Slower)
		}
		if err := print(o.Err, append([]string{head + ":"}, f.Frame(f.Seconds, width, plainRows)...)); err != nil {
			return err
		}
	}
	return nil
}
