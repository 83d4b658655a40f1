package batch

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/text"
)

// Source: OWASP, "CSV Injection": cells that begin with = + - @, a tab or a return,
// or with the full-width forms of the signs, may be run as formulas.
func TestNoCellIsRunBySpreadsheet(t *testing.T) {
	for vehicle, want := range map[string]string{
		`=HYPERLINK("x")`: `'=HYPERLINK("x")`, "+cmd|' /C x'!A0": "'+cmd|' /C x'!A0", "-1+1": "'-1+1", "@SUM(A1)": "'@SUM(A1)",
		"\t=1": "'=1", "\x01=1": "'=1", "\u200b=1": "'=1", "＝1": "'＝1", "＋1": "'＋1", "－1": "'－1", "＠a": "'＠a", "-": "'-", "- 5": "'- 5", "-0x10": "'-0x10",
		"-12.5": "-12.5", "+3": "+3", "-1e-5": "-1e-5", "12": "12", "-12,5": "-12,5", "van=1": "van=1", "'=1": "'=1", "": "",
	} {
		d := smallDecider(t)
		r := &Result{Vehicle: bytes.TrimSpace([]byte(vehicle)), Err: errNoUTF8}
		cell := func() string {
			rows, err := csv.NewReader(bytes.NewReader(d.CSV(r))).ReadAll()
			require.NoError(t, err)
			return rows[1][1]
		}
		assert.Equal(t, want, cell(), "%q", vehicle)
		d.RawCells = true
		assert.Equal(t, text.Clean(string(r.Vehicle)), cell(), "raw %q", vehicle)
	}
}

func TestAnyCellIsTextOrNumber(t *testing.T) {
	number := func(s string) bool {
		return strings.Trim(s, "+-.,eE0123456789") == "" && strings.ContainsAny(s, "0123456789")
	}
	rapid.Check(t, func(t *rapid.T) {
		field := rapid.StringOf(rapid.SampledFrom([]rune("=+-@＝＋－＠'\"\t\r\n 1.e,;a\u200b"))).Draw(t, "field")
		rows, err := csv.NewReader(bytes.NewReader(append(appendCell(nil, []byte(field)), ",x\n"...))).ReadAll()
		require.NoError(t, err)
		got := strings.TrimSpace(rows[0][0])
		require.False(t, strings.ContainsRune("=＝＠@＋－", []rune(got + " ")[0]), got)
		require.True(t, !strings.ContainsRune("+-", []rune(got + " ")[0]) || number(got), got)
	})
}
