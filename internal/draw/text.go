package draw

import (
	"strconv"
	"strings"

	"deadflat/internal/text"
)

// widths are the widths of the printable ASCII characters in thousandths of the
// type size. Source: the metrics that Helvetica and its stand-ins share, from
// memory.
var widths = [95]int{278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
	556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015,
	667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611,
	278, 278, 278, 469, 556, 333,
	556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500,
	334, 260, 334, 584}

// font is a type size with how much wider than plain type it runs.
type font struct{ size, wide float64 }

// width is how far a text reaches. Characters outside ASCII are taken to be as
// wide as they can be.
func (f font) width(s string) float64 {
	sum := 0
	for _, r := range s {
		switch {
		case r >= ' ' && r <= '~':
			sum += widths[r-' ']
		case r < 0x1100:
			sum += 667
		default:
			sum += 1000
		}
	}
	return float64(sum) / 1000 * f.size * f.wide
}

// wrap breaks a text into at most so many lines; what does not fit ends in an
// ellipsis. A word longer than a line is broken.
func (f font) wrap(s string, room float64, most int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Split(text.Glue(text.Clean(s)), " ") {
		for {
			joined := word
			if line != "" {
				joined = line + " " + word
			}
			if f.width(joined) <= room {
				line = joined
				break
			}
			if line != "" {
				lines, line = append(lines, line), ""
			} else {
				head := f.head(word, room)
				lines, word = append(lines, head), word[len(head):]
			}
			if len(lines) >= most {
				lines[most-1] = f.cut(lines[most-1]+" …", room)
				return lines
			}
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// head is as much of a word as fits, one character at least.
func (f font) head(word string, room float64) string {
	end := 0
	for i, r := range word {
		next := i + len(string(r))
		if end > 0 && f.width(word[:next]) > room {
			break
		}
		end = next
		if end > 400 { // no line is that long; the rest need not be measured
			break
		}
	}
	return word[:end]
}

// cut makes a line that ends in an ellipsis fit.
func (f font) cut(line string, room float64) string {
	for f.width(line) > room {
		r := []rune(strings.TrimSuffix(line, " …"))
		if len(r) < 2 {
			return "…"
		}
		line = string(r[:len(r)-1]) + " …"
	}
	return line
}

func number(n int) string { return strconv.Itoa(n) }
