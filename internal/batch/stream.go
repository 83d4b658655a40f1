package batch

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"sync"
	"unicode/utf8"
)

// Form is how results are written.
type Form string

// The forms of results. As rows of a stream, JSON is one object a line.
const (
	AsText Form = "text"
	AsJSON Form = "json"
	AsCSV  Form = "csv"
)

// Totals count what came of the rows of a stream.
type Totals struct{ Found, More, Bad int }

func (t *Totals) add(o Totals) {
	t.Found += o.Found
	t.More += o.More
	t.Bad += o.Bad
}

func (t *Totals) count(s State) {
	switch s {
	case Found:
		t.Found++
	case More:
		t.More++
	case Bad:
		t.Bad++
	}
}

// HeaderError says that a stream was not begun because its first line does not
// tell what its rows hold.
type HeaderError struct{ Err error }

func (e *HeaderError) Error() string { return e.Err.Error() }
func (e *HeaderError) Unwrap() error { return e.Err }

// Stream decides one vehicle a row, from CSV with a header line or from JSON
// lines, and writes one result a row in the same order. fixed holds what is
// given for every row. The error is a *HeaderError, or one of in or out.
func (d *Decider) Stream(in io.Reader, out io.Writer, as Form, fixed *Row, workers int) (Totals, error) {
	lines := &lineReader{in: in, most: maxLine}
	if as == AsJSON {
		lines.most = maxLine / 8
	}
	first, row := newBlock(), fixed.copy()
	reader, err := begin(lines, first, row)
	if err != nil {
		return Totals{}, err
	}
	if as == AsCSV {
		if _, err := io.WriteString(out, csvHeader); err != nil {
			return Totals{}, err
		}
	}
	s := &stream{decider: d, reader: reader, as: as, csv: newCSVWriter(d.Tree, d.RawCells), lines: lines}
	return s.run(first, out, row, max(workers, 1))
}

var byteOrderMark = []byte("\uFEFF")

// begin reads the first line that is not blank and finds out from it how rows
// are written. What follows the header stays in b for the first worker; the
// keys that the header names are put into row.
func begin(l *lineReader, b *block, row *Row) (rowReader, error) {
	for {
		err := l.fill(b)
		if errors.Is(err, io.EOF) {
			return nil, &HeaderError{errors.New("there is nothing in it: expected a header line with the names of readings, or JSON lines")}
		}
		if err != nil {
			return nil, err
		}
		if b.first == 1 {
			b.lines = bytes.TrimPrefix(b.lines, byteOrderMark)
		}
		for len(b.lines) > 0 {
			line, rest, _ := bytes.Cut(b.lines, []byte{'\n'})
			line = bytes.TrimSpace(line)
			if len(line) == 0 {
				b.lines = rest
				b.first++
				continue
			}
			if line[0] == '{' {
				return jsonReader{}, nil
			}
			c, err := header(line, b.cut, row)
			if err != nil {
				return nil, err
			}
			b.lines = rest
			b.first++
			return c, nil
		}
	}
}

func header(line []byte, cut bool, row *Row) (*csvReader, error) {
	switch {
	case cut:
		return nil, &HeaderError{fmt.Errorf("its first line is longer than %d kB", maxLine>>10)}
	case line[0] == '[':
		return nil, &HeaderError{errors.New("it begins with a JSON list: write one object a line, without the list round them")}
	}
	c, err := newCSV(row, line)
	if err != nil {
		return nil, &HeaderError{err}
	}
	return c, nil
}

// stream is the machinery that decides blocks of rows side by side. Blocks go
// round in a ring: read, decided by any worker, written in order, read again.
// The number of blocks bounds the memory.
type stream struct {
	decider *Decider
	reader  rowReader
	as      Form
	csv     *csvWriter
	lines   *lineReader

	free    chan *block // empty blocks
	todo    chan *block // read, to be decided
	ordered chan *block // the same blocks in the order they were read
	stop    chan struct{}
	readErr error // set before ordered is closed
}

func (s *stream) run(first *block, out io.Writer, row *Row, workers int) (Totals, error) {
	blocks := 2*workers + 1
	s.free, s.todo, s.ordered = make(chan *block, blocks), make(chan *block, blocks), make(chan *block, blocks)
	s.stop = make(chan struct{})
	for range blocks - 1 {
		s.free <- newBlock()
	}
	var running sync.WaitGroup
	for range workers {
		w := s.decider.newWorker(row.copy(), s.as == AsJSON)
		running.Go(func() { s.work(w) })
	}
	go s.read(first)
	totals, err := s.write(out)
	close(s.stop)
	running.Wait()
	if err == nil {
		err = s.readErr
	}
	return totals, err
}

// read fills blocks until the input ends or the writer has given up. It may
// outlive run when the input is a pipe on which nothing comes any more.
func (s *stream) read(b *block) {
	defer close(s.ordered)
	defer close(s.todo)
	for {
		s.ordered <- b
		s.todo <- b
		select {
		case b = <-s.free:
		case <-s.stop:
			return
		}
		if err := s.lines.fill(b); err != nil {
			if !errors.Is(err, io.EOF) {
				s.readErr = err
			}
			return
		}
	}
}

// write passes results on in order and gives their blocks back.
func (s *stream) write(out io.Writer) (Totals, error) {
	var totals Totals
	for b := range s.ordered {
		<-b.ready
		totals.add(b.totals)
		if _, err := out.Write(b.out); err != nil {
			return totals, err
		}
		s.free <- b
	}
	return totals, nil
}

// work decides blocks one after the other.
func (s *stream) work(w *worker) {
	for {
		select {
		case b, more := <-s.todo:
			if !more {
				return
			}
			s.block(b, w)
			b.ready <- struct{}{}
		case <-s.stop:
			return
		}
	}
}

// block decides every row of a block and writes the results into it.
func (s *stream) block(b *block, w *worker) {
	b.out, b.totals = b.out[:0], Totals{}
	if b.cut {
		s.give(b, &Result{Line: b.first, Err: errLongLine})
		return
	}
	number := b.first
	for rest := b.lines; len(rest) > 0; number++ {
		var line []byte
		line, rest, _ = bytes.Cut(rest, []byte{'\n'})
		line = bytes.TrimSuffix(line, []byte{'\r'})
		if len(bytes.TrimSpace(line)) > 0 {
			s.row(b, w, line, number)
		}
	}
}

var errLongLine = fmt.Errorf("the row is longer than %d kB", maxLine>>10)

// row decides one line. A mistake in the program costs this row and no other.
func (s *stream) row(b *block, w *worker, line []byte, number int) {
	before := len(b.out)
	defer func() {
		if p := recover(); p != nil {
			b.out = b.out[:before]
			s.give(b, &Result{Line: number, Err: broken(p)})
			w.renew()
		}
	}()
	w.row.clear()
	if err := s.reader.read(line, w.row); err != nil {
		r := &Result{Line: number, Err: err}
		if vehicle := w.row.vehicle(); utf8.Valid(vehicle) {
			r.Vehicle = vehicle
		}
		s.give(b, r)
		return
	}
	r := w.decide()
	r.Line = number
	s.give(b, r)
}

// give appends a result to its block in the form asked for.
func (s *stream) give(b *block, r *Result) {
	switch s.as {
	case AsCSV:
		b.out = s.csv.row(b.out, r)
	case AsJSON:
		b.out = append(append(b.out, r.JSON()...), '\n')
	default:
		b.out = append(append(b.out, r.Summary()...), '\n')
	}
	b.totals.count(r.State())
}
