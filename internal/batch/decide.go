package batch

import (
	"errors"
	"fmt"

	"deadflat/internal/engine"
)

// Decider decides vehicles on one tree with readings of one meter. It may be
// shared by goroutines; each decides with a worker of its own.
type Decider struct {
	Tree  *engine.Tree
	Meter *engine.Meter

	RawCells bool // CSV for a program: no apostrophe before what a spreadsheet would run
}

// Result is what came of one vehicle. It is good until its worker decides the
// next one.
type Result struct {
	Line    int    // of the row in its input; 0 without one
	Vehicle []byte // the label given
	Err     error  // what is wrong with the row; nothing below is set then

	Ending engine.Ending
	runner *engine.Runner
}

// State is how far a vehicle got.
type State string

// The states of a result.
const (
	Found State = "finding" // a finding was reached
	More  State = "more"    // a reading is needed that was not given
	Bad   State = "error"   // the row cannot be decided as it stands
)

// State sums a result up in one word.
func (r *Result) State() State {
	switch {
	case r.Err != nil:
		return Bad
	case r.Ending.Finding != nil:
		return Found
	}
	return More
}

// worker decides one vehicle after another.
type worker struct {
	row    *Row
	runner *engine.Runner
	result Result
}

// newWorker decides what is put into row. With explain the walk is kept whole
// for printing, which takes several times as long.
func (d *Decider) newWorker(row *Row, explain bool) *worker {
	w := &worker{row: row, runner: d.Tree.NewRunner(d.Meter)}
	w.runner.Explain(explain)
	return w
}

// Decide decides a single vehicle.
func (d *Decider) Decide(row *Row) *Result { return d.newWorker(row, true).decide() }

// decide gives everything the row says to the walk, which takes it as it asks.
func (w *worker) decide() *Result {
	w.result = Result{Vehicle: w.row.vehicle(), runner: w.runner}
	w.runner.Reset()
	for at := range w.row.keys {
		if text := w.row.value(at); len(text) > 0 {
			if err := w.say(&w.row.keys[at], text); err != nil {
				return w.wrong(err)
			}
		}
	}
	w.result.Ending = w.runner.Run()
	if stuck := w.result.Ending.Stuck; stuck != "" {
		return w.wrong(errors.New(stuck))
	}
	return &w.result
}

func (w *worker) wrong(err error) *Result {
	w.result.Err = err
	return &w.result
}

// say gives one value to the walk.
func (w *worker) say(k *Key, text []byte) error {
	switch {
	case k.Vehicle:
		return nil
	case k.Reading != nil:
		return w.reading(k, text)
	case k.Unable:
		return w.runner.Mark(k.Column, string(text))
	}
	done, err := yesOrNo(string(text))
	if err != nil {
		return fmt.Errorf("%q %w", k.Name, err)
	}
	if !done {
		return nil
	}
	return w.runner.Mark(k.Column, "")
}

func yesOrNo(text string) (bool, error) {
	switch text {
	case "yes", "y", "true", "done", "1":
		return true, nil
	case "no", "n", "false", "0":
		return false, nil
	}
	return false, fmt.Errorf("is %q: expected yes or no", text)
}

// reading gives one reading. Plain numbers and whole choices, nearly all there
// are in a table, take a short way to the same effect as being typed.
func (w *worker) reading(k *Key, text []byte) error {
	r := k.Reading
	if r.Number() {
		if v, ok := plainNumber(text); ok && w.runner.PutNumber(k.Column, r.Unit.Base(v)) {
			return nil
		}
	} else if i := wholeChoice(r.Choices, text); i >= 0 {
		w.runner.PutChoice(k.Column, i)
		return nil
	}
	answer, refusal := w.row.tree.Parse(r, string(text))
	if refusal == nil {
		refusal = w.runner.Put(k.Column, &answer)
	}
	if refusal != nil {
		return refused(k.Name, text, refusal)
	}
	return nil
}

// refused says why a value was not taken, and what could stand there instead.
func refused(name string, text []byte, refusal *engine.Refusal) error {
	says := fmt.Sprintf("%q is %q: %s", name, text, refusal.Reason)
	if refusal.Suggest != "" {
		says += fmt.Sprintf("; did you mean %q?", refusal.Suggest)
	}
	return errors.New(says)
}

// wholeChoice finds a choice that is spelt out. A text of digits is left to the
// slow way, where it is the number of a choice.
func wholeChoice(choices []string, text []byte) int {
	if text[0] >= '0' && text[0] <= '9' {
		return -1
	}
	for i, c := range choices {
		if c == string(text) {
			return i
		}
	}
	return -1
}
