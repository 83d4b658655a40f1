package drill

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// Format and Version mark the first line of a drill's file.
const (
	Format  = "deadflat drill"
	Version = 2
)

// Tell is how much of a file tells whether it is a drill's.
const Tell = 64

// Is reports whether a file that begins so is a drill's.
func Is(begin []byte) bool {
	return bytes.HasPrefix(begin, []byte(`{"format":"`+Format+`"`))
}

// Header is the first line of a drill's file: with the lines that follow it is the
// whole drill. The tree is that of the program; its hash says when it is another
// than it was.
type Header struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	Level   int    `json:"level"`
	Family  string `json:"family,omitempty"`
	Seed    uint64 `json:"seed"`
	Tree    string `json:"tree"`
	Hash    string `json:"hash"`
	Meter   string `json:"meter"`
}

// Typed is every later line: what was typed and taken.
type Typed struct {
	Do string `json:"do"`
}

// Header gives the first line of this drill's file.
func (d *Drill) Header() Header {
	return Header{Format, Version, d.Level, d.Family, d.Seed, d.Tree.Name, d.Tree.Hash, d.Meter.Name}
}

// ErrNotDrill is what Parse gives for a file that is none.
var ErrNotDrill = errors.New("not a drill")

// Parse takes a drill's file apart. A last line that was cut off is left out; whole
// is the length of what is not.
func Parse(data []byte) (h Header, lines []string, whole int, err error) {
	for n := 1; ; n++ {
		end := bytes.IndexByte(data[whole:], '\n')
		if end < 0 {
			break
		}
		text := data[whole : whole+end]
		whole += end + 1
		d := json.NewDecoder(bytes.NewReader(text))
		d.DisallowUnknownFields()
		if n == 1 {
			if err := d.Decode(&h); err != nil || h.Format != Format {
				return h, nil, 0, fmt.Errorf("%w: its first line is not that of a drill", ErrNotDrill)
			}
			if h.Version != Version {
				return h, nil, 0, fmt.Errorf("%w: it is of version %d, and this program reads %d", ErrNotDrill, h.Version, Version)
			}
			continue
		}
		var l Typed
		if err := d.Decode(&l); err != nil || strings.TrimSpace(l.Do) == "" {
			return h, nil, 0, fmt.Errorf("%w: line %d is not what was typed in a drill", ErrNotDrill, n)
		}
		if lines = append(lines, l.Do); len(lines) > mostLines+1 {
			return h, nil, 0, fmt.Errorf("%w: it has more than %d lines", ErrNotDrill, mostLines+1)
		}
	}
	if h.Format == "" {
		return h, nil, 0, fmt.Errorf("%w: it is empty", ErrNotDrill)
	}
	return h, lines, whole, nil
}

// Replay does the lines of a file. A panic is an error of its line, so that one file
// cannot take the program down.
func (d *Drill) Replay(lines []string) (err error) {
	at := 0
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%v", r)
		}
		if err != nil {
			err = fmt.Errorf("line %d, %q, cannot be done again: %w", at+2, lines[at], err)
		}
	}()
	for at = range lines {
		if _, err := d.Do(lines[at]); err != nil {
			return err
		}
	}
	return nil
}
