package drill

import (
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/trees"
)

// A text that begins with a letter beyond ASCII is nowhere cut inside it.
func TestLettersBeyondASCII(t *testing.T) {
	begins := regexp.MustCompile(`\b(title|ask|say): ("?)[A-Za-z]`)
	var sources []engine.Source
	for name, text := range trees.All() {
		sources = append(sources, engine.Source{Name: name, Data: begins.ReplaceAll(text, []byte("$1: ${2}Ü"))})
	}
	lib := engine.Open(sources, trees.Index)
	for level := 1; level <= len(Levels); level++ {
		o := options(level, "", 3)
		o.Library, o.Tree = lib, lib.Tree("no-start")
		d, err := New(o)
		require.NoError(t, err)
		var said []string
		for _, q := range d.Questions {
			said = append(append(said, q.Text...), q.Choices...)
		}
		for _, line := range []string{"look", "rest", "words findings", "words points", "why", "suspects", "tree", "1", "1", "give up"} {
			r, err := d.Do(line)
			if err != nil {
				said = append(said, err.Error())
			}
			said = append(said, r.Text)
		}
		all := strings.Join(append(said, d.Debrief(), d.Sheet()), "\n")
		assert.Contains(t, all, "Ü", "level %d", level)
		assert.True(t, utf8.ValidString(all) && !strings.Contains(all, "\ufffd"), "level %d", level)
	}
}

// Nothing that was typed steers whoever reads the drill.
func TestControlCodesAreNotWrittenUp(t *testing.T) {
	for level := 1; level <= len(Levels); level++ {
		d, err := New(options(level, "", 3))
		require.NoError(t, err)
		for _, line := range []string{"ask \x1b[31mred\u202e", "measure battery_positive_post\vbody", "1\x1b[2J", "1\r2", "time \u0085\u2066", "help \x9b"} {
			_, _ = d.Do(line) // what is refused is not written up
		}
		var page strings.Builder
		require.NoError(t, d.HTML(&page))
		assert.NotRegexp(t, "[\x00-\x09\x0b-\x1f\x7f\u0080-\u009f\u202a-\u202e\u2066-\u2069]", page.String()+d.Debrief()+d.Sheet(), "level %d", level)
	}
}
