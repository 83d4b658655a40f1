package terminal

import (
	"context"
	"errors"
	"fmt"
	"io"
)

// longest is how many bytes of a line are kept; the rest of it is dropped.
// Common practice, no source: many times what anybody types.
const longest = 4096

// nextLine reads one line, without its end. More is false when the input has
// ended or ctx is done. It takes no byte beyond the line, so that whoever
// reads next loses nothing; a read that still waits when ctx is done ends with
// the program.
func nextLine(ctx context.Context, in io.Reader) (line string, more bool, err error) {
	type result struct {
		line string
		err  error
	}
	read := make(chan result, 1)
	go func() {
		l, err := readLine(in)
		read <- result{l, err}
	}()
	select {
	case <-ctx.Done():
		return "", false, nil
	case r := <-read:
		if errors.Is(r.err, io.EOF) {
			return r.line, r.line != "", nil
		}
		if r.err != nil {
			return "", false, fmt.Errorf("cannot read the answer: %w", r.err)
		}
		return r.line, true, nil
	}
}

func readLine(in io.Reader) (string, error) {
	var line []byte
	one := make([]byte, 1)
	for {
		n, err := in.Read(one)
		if n == 1 {
			if one[0] == '\n' {
				return string(line), nil
			}
			if len(line) < longest {
				line = append(line, one[0])
			}
		}
		if err != nil {
			return string(line), err
		}
	}
}
