package tests

import (
	"os"
	"path/filepath"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// C1 controls and the marks that turn the direction of text round are neither control
// codes nor blanks to JSON.
func TestNothingOfATableActsOnTheScreen(t *testing.T) {
	folder, env := home(t)
	const label = "van\u009b31m\u202e\u2066\U000e0041"
	require.NoError(t, os.WriteFile(filepath.Join(folder, "fleet.csv"), []byte("vehicle,complaint\n"+label+",turns normally\n"+label+",no\u009bsuch\n"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "fleet.jsonl"), []byte(`{"vehicle":"`+label+`","complaint":"no\u009bsuch"}`+"\n"), 0o600))
	for _, form := range []string{"--json", "--csv", "--workers=2"} {
		for _, args := range [][]string{{"fleet.csv"}, {"fleet.jsonl"}, {"--set", "vehicle=" + label, "--set", "complaint=turns normally"}} {
			r := runIn(t, folder, env, "", append([]string{"decide", "yard", "--tree", yardTree(t), form}, args...)...)
			require.Contains(t, r.stdout, "van")
			for _, c := range r.stdout + r.stderr {
				require.False(t, c != '\n' && (unicode.IsControl(c) || unicode.Is(unicode.Cf, c)), "%q", r.stdout+r.stderr)
			}
			if form == "--json" {
				assert.Contains(t, r.stdout, `van\u009b31m\u202e\u2066\udb40\udc41`)
			}
		}
	}
}
