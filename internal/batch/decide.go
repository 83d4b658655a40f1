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

// worker decides one vehicle after another.
type worker struct {
	row    *Row
	runner *engine.Runner
	renew  func() // gives a new runner
	result Result
}

// newWorker decides what is put into row. With explain the walk is kept whole
// for printing, which takes several times as long.
func (d *Decider) newWorker(row *Row, explain bool) *worker {
	w := &worker{row: row}
	w.renew = func() {
		w.runner = d.Tree.NewRunner(d.Meter)
		w.runner.Explain(explain)
	}
	w.renew()
	return w
}

// broken is the error of a row on which the program itself failed.
func broken(failure any) error {
	return fmt.Errorf("the program failed on this row, please report it with the row and the tree: %v", failure)
}

// Decide decides a single vehicle.
func (d *Decider) Decide(row *Row) (r *Result) {
	defer func() {
		if p := recover(); p != nil {
			r = &Result{Vehicle: row.vehicle(), Err: broken(p)}
		}
	}()
	return d.newWorker(row, true).decide()
}

// decide gives everything the row says to the walk, which takes it as it asks.
func (w *worker) decide() *Result {
	w.result = Result{Vehicle: w.row.vehicle(), runner: w.runner}
	w.runner.Reset()
	for at := range w.row.keys {
		if text := w.row.value(at); len(text) > 0 {
			k := &w.row.keys[at]
			if k.Vehicle {
				continue
			}
			if refusal := w.runner.Give(k.Column, text); refusal != nil {
				return w.wrong(refused(k.Name, text, refusal))
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

// refused says why a value was not taken, and what could stand there instead.
func refused(name string, text []byte, refusal *engine.Refusal) error {
	says := fmt.Sprintf("%q is %q: %s", name, text, refusal.Reason)
	if refusal.Suggest != "" {
		says += fmt.Sprintf("; did you mean %q?", refusal.Suggest)
	}
	return errors.New(says)
}
