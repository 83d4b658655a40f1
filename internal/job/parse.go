package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"deadflat/internal/engine"
)

// maxFile bounds what is read into memory. A long job with its trees takes well
// under 2 MB. Source: common practice, no source.
const maxFile = 64 << 20

// Reasons a file is refused, for errors.Is.
var (
	ErrNotJob  = errors.New("not a job file")
	ErrNewer   = errors.New("written by a newer version")
	ErrDamaged = errors.New("damaged")
	ErrTree    = errors.New("the tree does not fit")
	ErrBusy    = errors.New("in use")
)

// parsed is a job file taken apart.
type parsed struct {
	header Header
	events []engine.Event
	whole  int64 // bytes up to and including the last whole line
	torn   int64 // bytes after them, left by a write that was cut off
	open   bool  // the last whole line lacks its line feed
}

// parse takes a job file apart. Only the last line may be torn: it is one
// without its line feed that does not read. Behind it may stand the zero bytes
// that some file systems leave after a power cut. No strict beginning of a JSON
// object is itself a JSON object, so a last line that reads is whole.
func parse(data []byte) (*parsed, error) {
	p := &parsed{}
	line, rest, ended := cutLine(bytes.TrimRight(data, "\x00"))
	if err := readHeader(line, ended, &p.header); err != nil {
		return nil, err
	}
	p.count(line, ended)
	for number := 2; len(rest) > 0; number++ {
		line, rest, ended = cutLine(rest)
		var ev engine.Event
		err := strict(line, &ev)
		if err == nil && ev.Seq != len(p.events)+1 {
			err = fmt.Errorf("it holds event %d where event %d was expected", ev.Seq, len(p.events)+1)
		}
		if err != nil && ended {
			return nil, fmt.Errorf("line %d is %w: %w; the lines before it are whole", number, ErrDamaged, err)
		}
		if err != nil {
			break
		}
		p.events = append(p.events, ev)
		p.count(line, ended)
	}
	p.torn = int64(len(data)) - p.whole
	return p, nil
}

// count adds a whole line.
func (p *parsed) count(line []byte, ended bool) {
	p.whole += int64(len(line))
	if ended {
		p.whole++
	}
	p.open = !ended
}

// cutLine splits off the first line; ended reports whether it had a line feed.
func cutLine(data []byte) (line, rest []byte, ended bool) {
	return bytes.Cut(data, []byte{'\n'})
}

// readHeader reads the first line, telling apart what is no job file, what was
// cut off while it was begun, and what a later program wrote.
func readHeader(line []byte, ended bool, h *Header) error {
	if !bytes.HasPrefix(line, []byte(`{"format":"`+Format+`"`)) {
		if !ended && len(line) > 0 && bytes.HasPrefix([]byte(`{"format":"`+Format+`"`), line) {
			return fmt.Errorf("%w: it was cut off before its first line was written and holds no answers", ErrDamaged)
		}
		return fmt.Errorf(`%w: its first line does not begin with {"format":"%s"`, ErrNotJob, Format)
	}
	var mark struct {
		Version int `json:"version"`
	}
	if err := json.Unmarshal(line, &mark); err != nil {
		if !ended {
			return fmt.Errorf("%w: it was cut off before its first line was written and holds no answers", ErrDamaged)
		}
		return fmt.Errorf("line 1 is %w: %w", ErrDamaged, err)
	}
	if mark.Version > Version {
		return fmt.Errorf("%w of this program: it is in format version %d and this program reads up to %d", ErrNewer, mark.Version, Version)
	}
	if mark.Version < 1 {
		return fmt.Errorf("line 1 is %w: there is no format version %d", ErrDamaged, mark.Version)
	}
	if err := strict(line, h); err != nil {
		return fmt.Errorf("line 1 is %w: %w", ErrDamaged, err)
	}
	if h.Functions > Functions {
		return fmt.Errorf("%w of this program: its tree calls functions of version %d and this program has those up to %d", ErrNewer, h.Functions, Functions)
	}
	return nil
}

// strict decodes one whole JSON object and refuses keys it does not know: a
// file with keys of its own says things this program would drop in silence.
func strict(line []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return errors.New("it ends too early")
		}
		return err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("something follows the end of the object")
	}
	return nil
}

// encode gives the line of one header or event, with its line feed.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
