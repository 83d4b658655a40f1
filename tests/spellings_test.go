package tests

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A tree of a person's own, one that it runs, and what both share.
const (
	hornTree = `tree: horn
title: Horn is silent
edition: 1
use: [horns]
begin: listen
steps:
  listen: {kind: inspect, title: Listen, take: [click], by: click, cases: {"yes": supply, "no": relay}}
  supply: {kind: tree, run: supply-wire, cases: {dead: wire, fed: horn}}
findings:
  relay: {title: The horn relay does not pull, action: relay}
  wire: {title: The wire to the horn is broken, action: wire}
  horn: {title: The horn itself is dead, action: horn}
`
	supplyTree = `tree: supply-wire
title: Supply of the horn
edition: 1
use: [horns]
begin: measure
steps:
  measure: {kind: measure, title: Measure, take: [supply], by: supply, bands: [{below: limits.fed, to: dead}, {to: fed}]}
findings:
  dead: {title: Dead, action: wire}
  fed: {title: Fed, action: horn}
`
	hornShared = `shared: horns
title: Horns
readings:
  click: {ask: Does the horn relay click, short: click, yes_no: true}
  supply: {ask: Voltage at the plug of the horn, short: plug, unit: V, span: [0, 18]}
limits:
  fed: {is: 11 V, source: "common practice, no source"}
`
)

// Every way of YAML to write the names of a tree and of what it needs goes through save,
// resume and report.
func TestEverySpellingOfATreeOpensAgain(t *testing.T) {
	was := func(pairs ...string) func(string) string { return strings.NewReplacer(pairs...).Replace }
	for name, spell := range map[string]func(string) string{
		"plain":                       was(),
		"single quotes":               was("tree: horn\n", "tree: 'horn'\n", "run: supply-wire", "run: 'supply-wire'", "[horns]", "['horns']", "tree: supply-wire", "tree: 'supply-wire'", "shared: horns", "shared: 'horns'"),
		"double quotes":               was("tree: horn\n", "tree: \"horn\"\n", "run: supply-wire", "run: \"supply-wire\"", "[horns]", "[\"horns\"]", "tree: supply-wire", "tree: \"supply-wire\"", "shared: horns", "shared: \"horns\""),
		"escapes":                     was("tree: horn\n", "tree: \"h\\x6frn\"\n", "run: supply-wire", "run: \"supply\\u002dwire\"", "[horns]", "[\"h\\x6frns\"]"),
		"quoted keys":                 was("tree: ", "\"tree\": ", "run: ", "'run': ", "use: ", "\"use\": ", "shared: ", "'shared': "),
		"blanks round the colon":      was("tree: ", "tree :   ", "use: [horns]", "use :   [  horns  ]", "shared: ", "shared :  "),
		"comments behind":             was("tree: horn\n", "tree: horn # run: other\n", "use: [horns]\n", "use: [horns] # , none\n", "shared: horns\n", "shared: horns # tree: x\n"),
		"comments before":             was("tree: ", "# tree: other\n# use: [none]\n\ntree: ", "shared: ", "---\n# shared: other\nshared: "),
		"a byte-order mark":           func(s string) string { return "\ufeff" + s },
		"lines of another system":     was("\n", "\r\n"),
		"both":                        func(s string) string { return "\ufeff" + strings.ReplaceAll(s, "\n", "\r\n") },
		"a block list":                was("use: [horns]\n", "use:\n  - horns\n"),
		"a block list at the margin":  was("use: [horns]\n", "use:\n- 'horns' # these\n"),
		"a list over several lines":   was("use: [horns]\n", "use: [\n  horns,\n  ]\n"),
		"use at the end":              func(s string) string { return moved(s, "use: ") },
		"the name at the end":         func(s string) string { return moved(moved(s, "tree: "), "shared: ") },
		"a block text":                was("tree: horn\n", "tree: >-\n  horn\n", "run: supply-wire", "run: \"supply-wire\""),
		"the value below":             was("tree: horn\n", "tree:\n  horn\n", "shared: horns\n", "shared:\n    \"horns\"\n"),
		"run first in braces":         was("{kind: tree, run: supply-wire, cases:", "{run: supply-wire, kind: tree, cases:"),
		"run last in braces":          was("{kind: tree, run: supply-wire, cases: {dead: wire, fed: horn}}", "{kind: tree, cases: {dead: wire, fed: horn}, run: supply-wire}"),
		"run in lines":                was("{kind: tree, run: supply-wire, cases: {dead: wire, fed: horn}}", "\n    kind: tree\n    run:   supply-wire   # that one\n    cases:\n      dead: wire\n      fed: horn"),
		"run on several lines":        was("{kind: tree, run: supply-wire,", "{kind: tree,\n    run:\n      'supply-wire',"),
		"a title that looks like one": was("title: Horn is silent", "title: \"Horn\\nuse: [none]\\nrun: other\"", "title: Horns", "title: 'shared: none'"),
		"everything in braces":        inBraces,
	} {
		t.Run(name, func(t *testing.T) {
			folder, env := home(t)
			own := filepath.Join(folder, "own")
			require.NoError(t, os.Mkdir(own, 0o700))
			for file, text := range map[string]string{"a.yaml": hornTree, "b.yaml": supplyTree, "c.yaml": hornShared} {
				require.NoError(t, os.WriteFile(filepath.Join(own, file), []byte(spell(text)), 0o600))
			}
			o := runIn(t, folder, env, "yes\n", "walk", "horn", "--plain", "--kit", "all", "--tree", "own", "--job", "van.job")
			require.Equal(t, 1, o.code, "%s%s", o.stdout, o.stderr)
			require.NoError(t, os.RemoveAll(own))
			o = runIn(t, folder, env, "12.4\n", "walk", "--plain", "--resume", "van.job")
			require.Equal(t, 0, o.code, "%s%s", o.stdout, o.stderr)
			o = runIn(t, folder, env, "", "report", "van.job")
			assert.Equal(t, 0, o.code, "%s%s", o.stdout, o.stderr)
			assert.Contains(t, o.stdout, "The horn itself is dead")
		})
	}
}

// moved puts the line that begins with a key at the end of a file.
func moved(text, key string) string {
	lines := strings.SplitAfter(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, key) {
			return strings.Join(lines[:i], "") + strings.Join(lines[i+1:], "") + l
		}
	}
	return text
}

// inBraces writes the top level of a file as one mapping in braces.
func inBraces(text string) string {
	var b strings.Builder
	open := false
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		key, section := strings.CutSuffix(line, ":")
		switch {
		case section && open:
			b.WriteString("},\n" + key + ": {\n")
		case section:
			open = true
			b.WriteString(key + ": {\n")
		default:
			b.WriteString(line + ",\n")
		}
	}
	return "{" + b.String() + "}}\n"
}
