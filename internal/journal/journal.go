// Package journal keeps append-only files: a header and then one line for each
// thing that was said, so that nothing is lost when the power goes.
//
// It knows nothing of what the lines mean: packages job and drill do. It imports
// nothing of ours but plain text and keeps nothing in memory but the file at hand.
//
// What always holds: a line is on disk, in the file of that name, before Append
// returns; two programs never write one file at a time; a file cut off at any byte
// opens to the lines that were whole; a line that was changed, doubled, moved or lost
// from the middle is noticed; a file is refused with the reason, never half read.
//
// The file is JSON, one object a line, and lines end with a line feed. The first
// begins with "format" and "version". Every line ends with "sum", its checksum: the
// first 16 hex digits of the SHA-256 of the checksum of the line before it (nothing
// for the first line) followed by this line's own bytes up to the comma before "sum".
// It finds damage. It is no signature: who writes a whole file anew can make it fit.
package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Kind is a kind of file.
type Kind struct {
	Noun    string // "job": it names the folder, the ending and the format as well
	Version int    // that is written, and the newest that is read
	Oldest  int    // version that is read
	Sums    int    // the first version whose lines carry checksums
}

// Ending is the end of the name of every file of the kind.
func (k *Kind) Ending() string { return "." + k.Noun }

// Format is what the first line says it is.
func (k *Kind) Format() string { return "deadflat " + k.Noun }

// begins is how the first line begins, up to the version.
func (k *Kind) begins() string { return `{"format":"` + k.Format() + `","version":` }

// maxFile bounds what is read into memory, in bytes. A long job with its trees takes
// well under 2 MB. Source: common practice, no source.
const maxFile = 64_000_000

// Reasons a file is refused or cannot be written, for errors.Is.
var (
	ErrNewer   = errors.New("written by a newer version")
	ErrDamaged = errors.New("damaged")
	ErrBusy    = errors.New("in use")
	ErrLost    = errors.New("not the file that was opened any more")
)

// Lines is a file taken apart.
type Lines struct {
	Version int
	Summed  bool  // the lines carry checksums, and they fit
	Torn    int64 // bytes of a last line that was cut off, which is left out

	kind  *Kind
	lines [][]byte // whole ones, without checksums and line feeds
	sum   string   // of the last of them
	whole int64    // bytes up to and including it
	open  bool     // it lacks its line feed
}

// Len counts the lines, the header too.
func (l *Lines) Len() int { return len(l.lines) }

// Decode reads line number n, from 1, and refuses keys that into does not have: a
// file with keys of its own says things this program would drop in silence.
func (l *Lines) Decode(n int, into any) error {
	d := json.NewDecoder(bytes.NewReader(l.lines[n-1]))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return Damaged(n, err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return Damaged(n, errors.New("something follows the end of the object"))
	}
	return nil
}

// Damaged says which line is damaged, and why.
func Damaged(line int, why error) error {
	if line == 1 {
		return fmt.Errorf("line 1 is %w: %w", ErrDamaged, why)
	}
	return fmt.Errorf("line %d is %w: %w; the lines before it are whole", line, ErrDamaged, why)
}

// Parse takes a file apart. Only the last line may be torn: it has no line feed and
// ends too early. Behind it may stand the zero bytes that some file systems leave
// after a power cut. No strict beginning of a JSON object is itself one, so a last
// line that reads is whole.
func (k *Kind) Parse(data []byte) (*Lines, error) {
	l := &Lines{kind: k}
	rest := bytes.TrimRight(data, "\x00")
	var err error
	if l.Version, err = k.version(rest); err != nil {
		return nil, err
	}
	l.Summed = l.Version >= k.Sums
	for len(rest) > 0 {
		line, after, ended := bytes.Cut(rest, []byte{'\n'})
		if !ended && cutOff(line) {
			break
		}
		body, sum := line, ""
		if l.Summed {
			if body, sum, err = unseal(l.sum, line); err != nil {
				return nil, Damaged(len(l.lines)+1, err)
			}
		}
		l.lines, l.sum = append(l.lines, body), sum
		l.whole += int64(len(rest) - len(after))
		l.open = !ended
		rest = after
	}
	if len(l.lines) == 0 {
		return nil, k.holdsNothing()
	}
	l.Torn = int64(len(data)) - l.whole
	return l, nil
}

// version reads how a file begins, telling apart what is of another kind, what was
// cut off while it was begun, and what a later program wrote.
func (k *Kind) version(data []byte) (int, error) {
	if len(data) <= len(k.begins()) && strings.HasPrefix(k.begins(), string(data)) {
		return 0, k.holdsNothing()
	}
	digits, is := bytes.CutPrefix(data, []byte(k.begins()))
	if !is {
		return 0, fmt.Errorf("not a %s file: its first line does not begin with %s", k.Noun, k.begins())
	}
	if end := bytes.IndexFunc(digits, func(r rune) bool { return r < '0' || r > '9' }); end >= 0 {
		digits = digits[:end]
	}
	v, err := strconv.Atoi(string(digits))
	switch {
	case err == nil && v > k.Version:
		return 0, fmt.Errorf("%w of this program: it is in format version %d and this program reads up to %d", ErrNewer, v, k.Version)
	case err != nil || v < k.Oldest:
		return 0, fmt.Errorf("line 1 is %w: there is no format version %q, it is %d to %d", ErrDamaged, digits, k.Oldest, k.Version)
	}
	return v, nil
}

func (k *Kind) holdsNothing() error {
	return fmt.Errorf("%w: it was cut off before its first line was written and holds no answers: delete it and begin a new %s", ErrDamaged, k.Noun)
}

// cutOff reports whether line is the beginning of a JSON object.
func cutOff(line []byte) bool {
	var object json.RawMessage
	err := json.NewDecoder(bytes.NewReader(line)).Decode(&object)
	return errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
}

const (
	sealBegin = `,"sum":"`
	sealEnd   = `"}`
	sumLen    = 16
	sealLen   = len(sealBegin) + sumLen + len(sealEnd)
)

// checksum of a line whose bytes before its own checksum are body.
func checksum(before string, body []byte) string {
	h := sha256.New()
	h.Write([]byte(before))
	h.Write(body)
	return hex.EncodeToString(h.Sum(nil))[:sumLen]
}

// seal gives the line of v, with its line feed, and its checksum.
func seal(before string, v any) (line []byte, sum string, err error) {
	if line, err = encode(v); err != nil {
		return nil, "", err
	}
	body := line[:len(line)-len("}\n")]
	sum = checksum(before, body)
	return append(body, sealBegin+sum+sealEnd+"\n"...), sum, nil
}

// unseal takes the checksum off a line and holds the line against it.
func unseal(before string, line []byte) (body []byte, sum string, err error) {
	at := len(line) - sealLen
	if at <= 0 || !bytes.HasPrefix(line[at:], []byte(sealBegin)) || !bytes.HasSuffix(line, []byte(sealEnd)) {
		return nil, "", errors.New("there is no checksum at its end")
	}
	sum = string(line[at+len(sealBegin) : len(line)-len(sealEnd)])
	if want := checksum(before, line[:at]); sum != want {
		return nil, "", fmt.Errorf("its checksum is %q where %q was expected, so it was changed, or lines before it were lost, doubled or moved", sum, want)
	}
	return append(bytes.Clone(line[:at]), '}'), sum, nil
}

// encode gives the line of v, with its line feed, as versions without checksums
// have it.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(v)
	return b.Bytes(), err
}
