package tests

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hostileTree is a tree whose steps can be walked and whose size or texts are
// meant to do harm.
func hostileTree(steps int, title string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "tree: evil\ntitle: %q\nedition: 1\nbegin: s0\nreadings: {r: {ask: %q, short: r, choices: [a, %q]}}\nsteps:\n", title, title, "b"+title)
	for i := range steps {
		next := fmt.Sprintf("s%d", i+1)
		if i == steps-1 {
			next = "f"
		}
		fmt.Fprintf(&b, "  s%d: {kind: inspect, title: %q, take: [r], by: r, cases: {a: %s, %q: f}}\n", i, title, next, "b"+title)
	}
	fmt.Fprintf(&b, "findings: {f: {title: %q, action: f, remedy: f, prove_by: s0}}\n", title)
	return b.String()
}

// What a trainer was sent by a stranger is drawn, compared and tried within
// bounds, and nothing of it gets out but text.
func TestHostileTreesForTrainers(t *testing.T) {
	for name, text := range map[string]string{
		"texts that want to be code": hostileTree(3, `</text><script>alert(1)</script>"]; --> %%{x}`),
		"long texts":                 hostileTree(3, strings.Repeat("x", 900)),
		"many steps":                 hostileTree(800, "a step"),
	} {
		t.Run(name, func(t *testing.T) {
			folder, env := home(t)
			for _, file := range []string{"evil.yaml", "other.yaml"} {
				require.NoError(t, os.WriteFile(filepath.Join(folder, file), []byte(text), 0o600))
			}
			for _, form := range []string{"svg", "html", "dot", "mermaid", "sheet"} {
				o := runIn(t, folder, env, "", "draw", "evil.yaml", "--as", form)
				assert.Equal(t, 0, o.code, "%s: %s", form, o.stderr)
				if form != "dot" { // where it stands in quotes
					assert.NotContains(t, o.stdout[:min(len(o.stdout), 1<<16)], "<script")
				}
				assert.Less(t, len(o.stdout), 20_000_000)
			}
			o := runIn(t, folder, env, "", "compare", "evil.yaml", "other.yaml", "--walks", "5")
			assert.Equal(t, 0, o.code, o.stderr)
			assert.Less(t, len(o.stdout), 100_000)
			o = runIn(t, folder, env, "", "try", "evil.yaml")
			assert.Contains(t, []int{0, 1}, o.code, o.stderr)
			assert.Less(t, len(o.stdout), 1_000_000)
		})
	}
	for name, text := range map[string]string{
		"a circle":        "tree: &a [*a]\n",
		"deep":            "tree: deep\nsteps: " + strings.Repeat("[", 20_000),
		"control codes":   "tree: a\ntitle: \"\\e[2J\\e]0;owned\\a\"\nedition: 1\nbegin: s\n",
		"turning letters": "tree: a\ntitle: \"\\u202Eevil\"\nedition: 1\nbegin: s\n",
		"a deep guard":    "tree: a\ntitle: a\nedition: 1\nbegin: s\nreadings: {r: {ask: r, short: r, unit: V, span: [0, 1]}}\nsteps: {s: {kind: measure, title: s, take: [r], branches: [{if: '" + strings.Repeat("(", 900) + "r" + strings.Repeat(")", 900) + " > 0', to: f}, {otherwise: f}]}}\nfindings: {f: {title: f, action: f}}\n",
	} {
		t.Run(name, func(t *testing.T) {
			folder, env := home(t)
			require.NoError(t, os.WriteFile(filepath.Join(folder, "bad.yaml"), []byte(text), 0o600))
			for _, args := range [][]string{{"draw", "bad.yaml"}, {"compare", "bad.yaml", "no-start"}, {"try", "bad.yaml"}} {
				o := runIn(t, folder, env, "", args...)
				assert.Contains(t, []int{1, 2}, o.code, "%v: %s%s", args, o.stdout, o.stderr)
				assert.Less(t, len(o.stdout)+len(o.stderr), 200_000)
			}
		})
	}
}
