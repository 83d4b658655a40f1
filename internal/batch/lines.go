package batch

import (
	"bytes"
	"io"
)

// A row is a line: rows are cut at every line feed, quoted or not, so that one
// bad row can never swallow those after it. No reading holds a line feed.
const (
	maxLine   = 64 << 10 // the longest row, line feed included, and the size of a block
	idleReads = 100      // empty reads in a row before a reader is called broken
)

// block is a run of whole lines on its way through a stream.
type block struct {
	first int    // number of its first line in the input, from 1
	lines []byte // the last line of the input may lack its line feed
	cut   bool   // lines holds only the beginning of one line that is too long

	buffer []byte
	out    []byte
	totals Totals
	ready  chan struct{}
}

func newBlock() *block {
	return &block{buffer: make([]byte, maxLine), ready: make(chan struct{}, 1)}
}

// lineReader cuts a stream into blocks.
type lineReader struct {
	in   io.Reader
	most int    // bytes read at a time: small where a row makes a long result
	rest []byte // the beginning of a line whose end is still to come
	next int    // number of the next line, less one
	err  error  // what ended the input, io.EOF or worse
}

// fill puts the lines that are there into b. It waits for the first whole line
// but not for a full block, so that rows typed one by one come out one by one.
// The error is io.EOF when there are no more.
func (l *lineReader) fill(b *block) error {
	text := append(b.buffer[:0], l.rest...)
	l.rest = l.rest[:0]
	for {
		if end := bytes.LastIndexByte(text, '\n') + 1; end > 0 {
			l.rest = append(l.rest, text[end:]...)
			l.give(b, text[:end], bytes.Count(text[:end], []byte{'\n'}))
			return nil
		}
		if l.err != nil {
			if len(text) == 0 || l.err != io.EOF {
				return l.err
			}
			l.give(b, text, 1)
			return nil
		}
		if len(text) == cap(text) {
			l.give(b, text, 1)
			b.cut = true
			l.skipLine()
			return nil
		}
		var n int
		n, l.err = readSome(l.in, text[len(text):min(len(text)+l.most, cap(text))])
		text = text[:len(text)+n]
	}
}

func (l *lineReader) give(b *block, lines []byte, count int) {
	b.first, b.lines, b.cut = l.next+1, lines, false
	l.next += count
}

// skipLine drops the rest of a line that is too long.
func (l *lineReader) skipLine() {
	scratch := make([]byte, maxLine)
	for l.err == nil {
		var n int
		n, l.err = readSome(l.in, scratch)
		if _, after, found := bytes.Cut(scratch[:n], []byte{'\n'}); found {
			l.rest = append(l.rest, after...)
			return
		}
	}
}

// readSome reads at least one byte or says why there are none.
func readSome(in io.Reader, into []byte) (int, error) {
	for range idleReads {
		if n, err := in.Read(into); n > 0 || err != nil {
			return n, err
		}
	}
	return 0, io.ErrNoProgress
}
