package batch

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// readAll gives every line with its number, as blocks hand them out.
func readAll(t require.TestingT, in io.Reader, most int) (lines []string, numbers []int, cut []int) {
	l := &lineReader{in: in, most: most}
	b := newBlock()
	for {
		err := l.fill(b)
		if errors.Is(err, io.EOF) {
			return lines, numbers, cut
		}
		require.NoError(t, err)
		if b.cut {
			cut = append(cut, b.first)
			continue
		}
		number := b.first
		for rest := b.lines; len(rest) > 0; number++ {
			var line []byte
			line, rest, _ = bytes.Cut(rest, []byte{'\n'})
			lines, numbers = append(lines, string(line)), append(numbers, number)
		}
	}
}

// However the input arrives, the same lines come out, numbered without a gap.
func TestLinesDoNotDependOnReads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.SliceOf(rapid.StringMatching(`[a-c,"]{0,12}`)).Draw(t, "lines")
		text := strings.Join(want, "\n")
		if text != "" {
			text += "\n"
		} else {
			want = nil
		}
		if rapid.Bool().Draw(t, "no last line feed") && text != "" && want[len(want)-1] != "" {
			text = strings.TrimSuffix(text, "\n")
		}
		in := io.Reader(strings.NewReader(text))
		if rapid.Bool().Draw(t, "one byte at a time") {
			in = iotest.OneByteReader(in)
		}
		lines, numbers, cut := readAll(t, in, rapid.IntRange(1, maxLine).Draw(t, "most"))
		assert.Empty(t, cut)
		require.Equal(t, want, lines)
		for i, n := range numbers {
			assert.Equal(t, i+1, n)
		}
	})
}

// A line that is too long costs itself and no other.
func TestLongLine(t *testing.T) {
	text := "first\n" + strings.Repeat("x", 3*maxLine) + "\nthird\n" + strings.Repeat("y", maxLine) + "\nfifth"
	lines, numbers, cut := readAll(t, strings.NewReader(text), maxLine)
	assert.Equal(t, []string{"first", "third", "fifth"}, lines)
	assert.Equal(t, []int{1, 3, 5}, numbers)
	assert.Equal(t, []int{2, 4}, cut)
}

func TestLongestLine(t *testing.T) {
	text := strings.Repeat("x", maxLine-1)
	lines, _, cut := readAll(t, strings.NewReader(text+"\n"), maxLine)
	assert.Equal(t, []string{text}, lines)
	assert.Empty(t, cut)
}

func TestLinesPassAnErrorOn(t *testing.T) {
	broken := errors.New("the cable was pulled")
	l := &lineReader{in: io.MultiReader(strings.NewReader("one\ntw"), iotest.ErrReader(broken)), most: maxLine}
	b := newBlock()
	require.NoError(t, l.fill(b))
	assert.Equal(t, "one\n", string(b.lines))
	assert.ErrorIs(t, l.fill(b), broken)
}

func TestLinesGiveUpOnAReaderThatNeverReads(t *testing.T) {
	l := &lineReader{in: silent{}, most: maxLine}
	assert.ErrorIs(t, l.fill(newBlock()), io.ErrNoProgress)
}

type silent struct{}

func (silent) Read([]byte) (int, error) { return 0, nil }
