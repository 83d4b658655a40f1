package drill

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"strings"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/journal"
)

// Kind is the kind of file a drill is kept in. Version 2 has neither checksums nor
// times; a drill of it still opens, and goes on without them.
var Kind = &journal.Kind{Noun: "drill", Version: 3, Oldest: 2, Sums: 3}

// Header is the first line of a drill's file: with the lines that follow it is the
// whole drill. Tree and meter are those of the program; their hashes say when they are
// others than they were.
type Header struct {
	Format    string    `json:"format"`
	Version   int       `json:"version"`
	Level     int       `json:"level"`
	Family    string    `json:"family,omitempty"`
	Seed      uint64    `json:"seed"`
	Tree      string    `json:"tree"`
	Hash      string    `json:"hash"`
	Meter     string    `json:"meter"`
	MeterHash string    `json:"meter_hash,omitempty"` // "sha256:..." over its text; none in files of before
	Begun     time.Time `json:"begun,omitzero"`
}

// Typed is every later line: what was typed and taken, and when.
type Typed struct {
	At time.Time `json:"at,omitzero"`
	Do string    `json:"do"`
}

// Header gives the first line of this drill's file.
func (d *Drill) Header(begun time.Time) Header {
	return Header{Kind.Format(), Kind.Version, d.Level, d.Family, d.Seed, d.Tree.Name, d.Tree.Hash, d.Meter.Name, meterHash(d.Meter), begun.Round(0)}
}

// Changed names what is not in this program as it was when the drill was begun.
func (d *Drill) Changed(h Header) []string {
	var what []string
	if h.Hash != d.Tree.Hash {
		what = append(what, "tree")
	}
	if h.Meter != d.Meter.Name || h.MeterHash != "" && h.MeterHash != meterHash(d.Meter) {
		what = append(what, "meter")
	}
	return what
}

func meterHash(m *engine.Meter) string {
	return fmt.Sprintf("sha256:%x", sha256.Sum256([]byte(m.Text)))
}

// Decode reads the lines of a drill's file.
func Decode(l *journal.Lines) (h Header, typed []Typed, err error) {
	if l.Len() > mostLines+2 {
		return h, nil, fmt.Errorf("not a drill file: it has %d lines, and %d are the most that one has", l.Len(), mostLines+2)
	}
	if err := l.Decode(1, &h); err != nil {
		return h, nil, err
	}
	for n := 2; n <= l.Len(); n++ {
		var t Typed
		err := l.Decode(n, &t)
		if err == nil && strings.TrimSpace(t.Do) == "" {
			err = journal.Damaged(n, errors.New("nothing was typed"))
		}
		if err != nil {
			return h, nil, err
		}
		typed = append(typed, t)
	}
	return h, typed, nil
}

// Lines are the lines that were typed.
func Lines(typed []Typed) []string {
	lines := make([]string, len(typed))
	for i, t := range typed {
		lines[i] = t.Do
	}
	return lines
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
