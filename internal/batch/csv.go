package batch

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// rowReader turns one line into a row. Readers are shared by all workers.
type rowReader interface {
	read(line []byte, r *Row) error
}

// csvReader reads rows under one header line.
type csvReader struct {
	comma   byte
	columns []int // key of each column
}

// commas are the separators understood, tried in this order on the header: no
// name of a reading holds any of them. A semicolon is what spreadsheets write
// where the comma is the decimal sign.
var commas = []byte{';', '\t', ','}

// newCSV reads a header line. All that is wrong with it is told at once.
func newCSV(row *Row, line []byte) (*csvReader, error) {
	if !utf8.Valid(line) {
		return nil, errNoUTF8
	}
	c := &csvReader{comma: ','}
	for _, comma := range commas {
		if bytes.IndexByte(line, comma) >= 0 {
			c.comma = comma
			break
		}
	}
	var wrong []error
	for number := 1; ; number++ {
		field, rest, more, err := c.field(line)
		if err != nil {
			return nil, fmt.Errorf("column %d: %w", number, err)
		}
		at, err := row.key(strings.TrimSpace(string(field)))
		switch {
		case err != nil:
			wrong = append(wrong, fmt.Errorf("column %d: %w", number, err))
		case slices.Contains(c.columns, at):
			wrong = append(wrong, fmt.Errorf("column %d: %q stands in column %d already", number, row.keys[at].Name, slices.Index(c.columns, at)+1))
		}
		c.columns = append(c.columns, at)
		if !more {
			return c, errors.Join(wrong...)
		}
		line = rest
	}
}

// read takes a line apart in place: the row's values point into it.
func (c *csvReader) read(line []byte, r *Row) error {
	if !utf8.Valid(line) {
		return errNoUTF8
	}
	if bytes.IndexByte(line, '"') < 0 {
		return c.readPlain(line, r)
	}
	for number := 0; ; number++ {
		field, rest, more, err := c.field(line)
		if err != nil {
			return fmt.Errorf("field %d: %w", number+1, err)
		}
		if number >= len(c.columns) {
			return c.tooMany()
		}
		r.set(c.columns[number], field)
		if !more {
			return c.enough(number + 1)
		}
		line = rest
	}
}

// readPlain is read for a line without quotes, nearly all there are.
func (c *csvReader) readPlain(line []byte, r *Row) error {
	for number, at := range c.columns {
		end := bytes.IndexByte(line, c.comma)
		if end < 0 {
			r.set(at, line)
			return c.enough(number + 1)
		}
		r.set(at, line[:end])
		line = line[end+1:]
	}
	return c.tooMany()
}

func (c *csvReader) enough(fields int) error {
	if fields == len(c.columns) {
		return nil
	}
	return fmt.Errorf("it has %d fields where the header has %d", fields, len(c.columns))
}

func (c *csvReader) tooMany() error {
	return fmt.Errorf("it has more fields than the %d of the header", len(c.columns))
}

// field cuts the first field off a line and undoes its quotes in place; more
// says whether a separator followed it.
func (c *csvReader) field(line []byte) (field, rest []byte, more bool, err error) {
	if len(line) == 0 || line[0] != '"' {
		field, rest, more = bytes.Cut(line, []byte{c.comma})
		return field, rest, more, nil
	}
	to := 0
	for from := 1; from < len(line); from++ {
		if line[from] != '"' {
			line[to] = line[from]
			to++
			continue
		}
		if from+1 < len(line) && line[from+1] == '"' {
			line[to] = '"'
			to++
			from++
			continue
		}
		field, rest = line[:to], line[from+1:]
		if len(rest) == 0 {
			return field, nil, false, nil
		}
		if rest[0] != c.comma {
			return nil, nil, false, errors.New("something follows the closing quote")
		}
		return field, rest[1:], true, nil
	}
	return nil, nil, false, errors.New("its quote is not closed on the same line")
}
