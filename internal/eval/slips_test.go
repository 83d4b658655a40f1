package eval

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The place of a slip is counted in runes, also behind words of several bytes, and a piece of
// a longer name is none.
func TestPlaceOfASlip(t *testing.T) {
	s := newTestScope()
	s.vars["turned"].Choices = []string{"normally", "not hot"}
	for text, at := range map[string]string{
		`kind == "µΩ" and rest => limits.low`: "=>",
		`kind == "µΩ" or known rest`:          "known rest",
		`kind == "µΩ" or (hot`:                "(",
		`Inlet ≥ limits.low`:                  "≥",
		`IN_rest In ["µ"]`:                    "In",
		`"µΩ" != "µ" or turned == not hot`:    "not hot",
	} {
		c := NewCompiler(s)
		require.Nil(t, c.Guard(text))
		p := c.Problems[0]
		require.Equal(t, at, string([]rune(text)[p.From:p.To]), "%s: %s", text, p.Message)
	}
}
