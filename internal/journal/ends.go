package journal

import (
	"bytes"
	"os"
)

// endLen is how much of either end of a file is read at first, in bytes: more than
// most lines have.
const endLen = 4096

// Ends reads the two ends of a file: its beginning, which holds what stands first in
// its header, and its last line without the checksum. That is enough for a list, and
// does not take longer for a long file. ok is false where the ends do not tell: the
// file has no line after its header, a line is cut off or does not fit its checksum,
// or it is not a file of the kind. Read then says what is the matter.
func (k *Kind) Ends(path string) (head, last []byte, ok bool) {
	f, err := openRegular(path, os.O_RDONLY)
	if err != nil {
		return nil, nil, false
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, nil, false
	}
	head = make([]byte, min(endLen, info.Size()))
	if _, err := f.ReadAt(head, 0); err != nil {
		return nil, nil, false
	}
	version, err := k.version(head)
	if err != nil {
		return nil, nil, false
	}
	for n := int64(endLen); ; n *= 8 {
		tail := make([]byte, min(n, info.Size(), maxFile))
		if _, err := f.ReadAt(tail, info.Size()-int64(len(tail))); err != nil {
			return nil, nil, false
		}
		before, last, ok := lastLine(tail)
		switch {
		case ok && version < k.Sums:
			return head, last, true
		case ok:
			last, _, err = unseal(before, last)
			return head, last, err == nil
		case n >= info.Size():
			return nil, nil, false
		}
	}
}

// lastLine gives the last line of a text that ends with a line feed, and the checksum
// of the line before it.
func lastLine(tail []byte) (before string, last []byte, ok bool) {
	lines, ended := bytes.CutSuffix(tail, []byte{'\n'})
	at := bytes.LastIndexByte(lines, '\n')
	if !ended || at < sealLen {
		return "", nil, false
	}
	sum := lines[at-len(sealEnd)-sumLen : at-len(sealEnd)]
	return string(sum), lines[at+1:], true
}
