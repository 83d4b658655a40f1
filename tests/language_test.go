package tests

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/leadacid"
	"deadflat/internal/prove"
	"deadflat/internal/schema"
	"deadflat/internal/source"
)

// The samples of trees/LANGUAGE.md. A block ```yaml good loads without a fault;
// a block ```yaml bad RULE... gives faults of those rules and no others, and the ```text block
// behind it is what the program prints. -update rewrites those.
//
// A sample that declares no tree, no shared words and no faults is a fragment:
// it is set at the top of a small tree, so that the places in messages are those
// of the sample. That tree uses the block ```yaml frame, less what the sample
// declares itself. Whole files under one heading are loaded together.
const guide = "trees/LANGUAGE.md"

func TestSamplesOfTheGuide(t *testing.T) {
	g := readGuide(t)
	for i, b := range g.blocks {
		words := strings.Fields(b.info)
		if !b.is("yaml") || len(words) < 2 || words[1] != "good" && words[1] != "bad" {
			continue
		}
		t.Run(fmt.Sprintf("line %d", b.line), func(t *testing.T) {
			lib, faults := engine.Load(g.sources(t, b), leadacid.Find("voltage_from_charge"))
			if words[1] == "good" {
				assert.Empty(t, printed(faults))
				if name := treeNamed(b.text); name != "" || fragment(b.text) {
					assert.NotNil(t, lib.Tree(name+map[bool]string{true: "my-tree"}[name == ""]))
				}
				return
			}
			assert.Equal(t, b.rules(), rulesOf(faults), "%s", printed(faults))
			require.True(t, i+1 < len(g.blocks) && g.blocks[i+1].is("text"), "a ```text block with the message follows a bad sample")
			if *update {
				g.replace(t, i+1, printed(faults))
				return
			}
			assert.Equal(t, g.blocks[i+1].text, printed(faults))
		})
	}
}

// rules are those that a bad sample says it breaks, sorted: the first is what it
// shows, any others come of it.
func (b block) rules() []string {
	words := strings.Fields(strings.TrimSuffix(b.info, " alone"))
	if len(words) < 3 || words[1] != "bad" {
		return nil
	}
	return slices.Sorted(slices.Values(words[2:]))
}

func rulesOf(faults *source.Faults) []string {
	found := map[string]bool{}
	for _, f := range faults.Sorted() {
		found[f.Rule] = true
	}
	return slices.Sorted(maps.Keys(found))
}

// TestEveryRuleIsInTheGuide: the guide's table names every rule that a file can
// break, and no other; and each is shown by a bad sample, or by one here that
// cannot be printed in a guide.
func TestEveryRuleIsInTheGuide(t *testing.T) {
	g := readGuide(t)
	rules := rulesInTheCode(t)
	assert.Equal(t, rules, g.table("rule"))
	shown := map[string]bool{}
	for _, b := range g.blocks {
		for _, rule := range b.rules() {
			shown[rule] = true
		}
	}
	shown["not-a-guard"] = true // the type check speaks first; kept in case it ever does not
	for rule, text := range map[string]string{
		"not-utf8":     "tree: caf\xe9\n",
		"control-code": "tree: a\ntitle: \"b\x07\"\n",
		"odd-blank":    "tree: a\ntitle: b\u00a0\n",
	} {
		faults := &source.Faults{}
		source.Read("my-tree.yaml", []byte(text), faults)
		require.Equal(t, 1, faults.Len(), "%s", printed(faults))
		assert.Equal(t, rule, faults.Sorted()[0].Rule)
		shown[rule] = true
	}
	for _, rule := range rules {
		assert.True(t, shown[rule], "no bad sample shows the rule %s", rule)
	}
}

// rulesInTheCode finds the rule names where faults are made.
func rulesInTheCode(t *testing.T) []string {
	made := regexp.MustCompile(`(?:[Ff]ault|\.Add|[Pp]roblem|\.wrong)[({]"([a-z0-9-]+)",|rule: "([a-z0-9-]+)"`)
	found := map[string]bool{}
	for _, folder := range []string{"engine", "eval", "source"} {
		files, err := filepath.Glob(filepath.Join("..", "internal", folder, "*.go"))
		require.NoError(t, err)
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			text, err := os.ReadFile(f)
			require.NoError(t, err)
			for _, m := range made.FindAllStringSubmatch(string(text), -1) {
				found[m[1]+m[2]] = true
			}
		}
	}
	require.Greater(t, len(found), 30, "the rules are no longer found where faults are made")
	return slices.Sorted(maps.Keys(found))
}

// TestRulesOfProofAreInTheGuide: the table is made of the rules themselves.
func TestRulesOfProofAreInTheGuide(t *testing.T) {
	const head = "| rule of prove | what it demands | why |\n|---|---|---|\n"
	want := ""
	for _, r := range prove.Rules {
		mark := ""
		if r.Remark {
			mark = " (a remark)"
		}
		want += fmt.Sprintf("| `%s` | %s%s | %s |\n", r.ID, r.Title, mark, r.Reason)
	}
	text := readDocument(t, guide)
	before, after, ok := strings.Cut(text, head)
	require.True(t, ok, "the guide has no table of the rules of prove")
	rows, rest, _ := strings.Cut(after, "\n\n")
	if *update {
		text = before + head + want + "\n" + strings.TrimLeft(strings.TrimPrefix(after, rows), "\n")
		require.NoError(t, os.WriteFile(filepath.Join("..", guide), []byte(text), 0o644))
		return
	}
	require.NotEmpty(t, rest)
	assert.Equal(t, want, rows+"\n", "write it anew with -update")
}

// TestKeysOfTheGuide: each table of keys in the guide lists exactly the keys that
// the loader takes there. Which those are it says itself, when it meets a key
// that it does not know.
func TestKeysOfTheGuide(t *testing.T) {
	g := readGuide(t)
	const strange = "qqqqqqqq: 1"
	step := func(rest string) string {
		return "steps:\n  rest: {kind: measure, title: Rest, " + strange + ", " + rest + "}\n"
	}
	for table, probes := range map[string][]string{
		"key of a tree":          {"tree: my-tree\ntitle: T\nedition: 1\nbegin: rest\n" + strange + "\nsteps:\n  rest: {kind: decide, title: Rest, to: done_here}\nfindings:\n  done_here: {title: Done, action: none}\n"},
		"key of `reviewed`":      {"reviewed: {by: a, " + strange + "}\n"},
		"key of a shared file":   {"shared: words\n" + strange + "\n"},
		"key of a fault":         {"faults:\n  - {id: a, title: A, " + strange + "}\n"},
		"key of a reading":       {"readings:\n  strange: {ask: A, short: strange, yes_no: true, " + strange + "}\n"},
		"key of `probe`":         {"readings:\n  strange: {ask: A, short: strange, unit: V, span: [0, 1], probe: {red: body, black: body, " + strange + "}}\n"},
		"key of `odd`":           {"readings:\n  strange: {ask: A, short: strange, yes_no: true, odd: [{if: strange, ask: B, " + strange + "}]}\n"},
		"key of `assume`":        {"readings:\n  strange: {ask: A, short: strange, unit: V, span: [0, 1], assume: {by: chemistry, ranges: {flooded: [0 V, 1 V], agm: [0 V, 1 V]}, source: definition, " + strange + "}}\n"},
		"key of a limit":         {"limits:\n  strange: {is: 1, source: definition, " + strange + "}\n", "limits:\n  strange: {by: chemistry, cases: {flooded: 1, agm: 2}, source: definition, " + strange + "}\n", "limits:\n  strange: {table: {over: rest_voltage, points: [[1, 1], [2, 2]], outside: hold_end}, unit: V, source: definition, " + strange + "}\n"},
		"key of `table`":         {"limits:\n  strange: {table: {over: rest_voltage, points: [[1, 1], [2, 2]], outside: hold_end, " + strange + "}, unit: V, source: definition}\n"},
		"key of a value":         {"values:\n  strange: {is: rest_voltage, unit: V, " + strange + "}\n"},
		"key of a step":          {step("to: test_it"), step("by: rest_voltage, bands: [{to: test_it}]"), step("by: terminal, cases: {clean and tight: test_it, loose: test_it}"), step("branches: [{otherwise: test_it}]"), "steps:\n  rest: {kind: measure, title: R, to: test_it}\n  again: {like: rest, " + strange + "}\n"},
		"key of a tree step":     {"steps:\n  rest: {kind: tree, title: R, run: other, cases: {over: test_it}, " + strange + "}\n"},
		"key of a `bands` row":   {"steps:\n  rest: {kind: measure, title: R, take: [rest_voltage], by: rest_voltage, bands: [{below: limits.flat, to: test_it, " + strange + "}, {to: test_it}]}\n"},
		"key of a `cases` row":   {"steps:\n  rest: {kind: measure, title: R, take: [terminal], by: terminal, cases: {clean and tight: {to: test_it, " + strange + "}, loose: test_it}}\n"},
		"key of a branch":        {"steps:\n  rest: {kind: measure, title: R, take: [rest_voltage], branches: [{if: rest_voltage < limits.flat, to: test_it, " + strange + "}, {otherwise: test_it}]}\n", "steps:\n  rest: {kind: measure, title: R, branches: [{otherwise: test_it, " + strange + "}]}\n"},
		"key of a side way":      {"steps:\n  rest: {kind: measure, title: R, take: [rest_voltage], unable: {to: test_it, " + strange + "}, to: test_it}\n"},
		"key of a finding":       {"findings:\n  strange: {title: A, action: b, " + strange + "}\n"},
		"key of `then`":          {"findings:\n  strange: {title: A, action: b, then: {tree: my-tree, keep: facts, " + strange + "}}\n"},
		"key of a `before` rule": {"before:\n  - {id: strange, kinds: [charge], holds: 'case_shape == \"sound\"', else: test_it, why: W, " + strange + "}\n"},
	} {
		t.Run(table, func(t *testing.T) {
			known := map[string]bool{}
			for _, probe := range probes {
				b := block{text: probe, section: "none"}
				sources := append(g.sources(t, b), engine.Source{Name: "other.yaml", Data: []byte("tree: other\ntitle: O\nedition: 1\nbegin: only\nuse: [frame]\nsteps:\n  only: {kind: decide, title: O, to: over}\nfindings:\n  over: {title: A, action: b}\n")})
				if strings.HasPrefix(probe, "shared:") {
					sources = append(sources, engine.Source{Name: "user.yaml", Data: []byte("tree: user\ntitle: O\nedition: 1\nbegin: only\nuse: [frame, words]\nsteps:\n  only: {kind: decide, title: O, to: test_it}\n")})
				}
				_, faults := engine.Load(sources)
				asked := knownKeys(faults)
				require.NotEmpty(t, asked, "%s\n%s", probe, printed(faults))
				for _, key := range append(asked, keysBeside(probe, strange)...) {
					known[key] = true
				}
			}
			delete(known, "") // no key is left to offer
			switch table {    // the marks of other kinds of file
			case "key of a tree":
				delete(known, "cases")
			case "key of a shared file":
				delete(known, "cases")
				delete(known, "tree")
			}
			assert.Equal(t, slices.Sorted(maps.Keys(known)), g.table(table))
		})
	}
}

// TestKeysOfCasesInTheGuide: files of worked cases are read by the prover, so their
// tables are compared with the keys that editors are told.
func TestKeysOfCasesInTheGuide(t *testing.T) {
	g := readGuide(t)
	var all struct {
		Defs map[string]struct {
			Properties map[string]any `json:"properties"`
		} `json:"$defs"`
	}
	require.NoError(t, json.Unmarshal(schema.JSON(), &all))
	for table, def := range map[string]string{"key of a case file": "worked_cases", "key of a case": "worked_case"} {
		keys := all.Defs[def].Properties
		require.NotEmpty(t, keys, def)
		assert.Equal(t, slices.Sorted(maps.Keys(keys)), g.table(table))
	}
}

// TestMetersOfTheGuide: the table of units, meter functions and doubt is that of the
// workshop meter, rounded up to the digits that it shows.
func TestMetersOfTheGuide(t *testing.T) {
	rows := regexp.MustCompile("(?m)^\\|[^|]*\\| `([a-z_]+)` \\|[^|]*\\| ([^|]*±[^|]*) \\|$").FindAllStringSubmatch(readDocument(t, guide), -1)
	require.Len(t, rows, 7)
	for _, row := range rows {
		ranges := engine.FindMeter("workshop").Ranges(row[1])
		require.NotEmpty(t, ranges, row[1])
		for _, shown := range strings.Split(row[2], ", ") {
			read, by, _ := strings.Cut(shown, " ± ")
			value, doubt := firstNumber(t, read), firstNumber(t, by)
			r := ranges[slices.IndexFunc(ranges, func(r engine.MeterRange) bool { return value <= r.UpTo })]
			_, decimals, _ := strings.Cut(strings.Fields(by)[0], ".")
			digit := math.Pow10(-len(decimals))
			assert.InDelta(t, math.Ceil((value*r.Percent/100+r.Digits*r.Resolution)/digit-1e-9)*digit, doubt, 1e-9, "%s: %s", row[1], shown)
		}
	}
}

func firstNumber(t *testing.T, text string) float64 {
	v, err := strconv.ParseFloat(strings.Fields(text)[0], 64)
	require.NoError(t, err)
	return v
}

// knownKeys are those that the message about a strange key offers.
func knownKeys(faults *source.Faults) []string {
	for _, f := range faults.Sorted() {
		if f.Rule != "unknown-key" || !strings.Contains(f.Message, "qqqqqqqq") {
			continue
		}
		_, list, _ := strings.Cut(f.Message, "use one of ")
		return strings.Split(list, ", ")
	}
	return nil
}

// keysBeside are the keys that stand beside the strange one in a probe.
func keysBeside(probe, strange string) []string {
	var root yaml.Node
	if err := yaml.Unmarshal([]byte(probe), &root); err != nil {
		panic(err)
	}
	want, _, _ := strings.Cut(strange, ":")
	var found []string
	var walk func(n *yaml.Node)
	walk = func(n *yaml.Node) {
		for i := 0; n.Kind == yaml.MappingNode && i < len(n.Content); i += 2 {
			if n.Content[i].Value == want {
				for j := 0; j < len(n.Content); j += 2 {
					if k := n.Content[j].Value; k != want {
						found = append(found, k)
					}
				}
			}
		}
		for _, k := range n.Content {
			walk(k)
		}
	}
	walk(&root)
	return found
}

// guideText is the guide, cut into its blocks.
type guideText struct {
	text   string
	blocks []block
	frame  string
}

func readGuide(t *testing.T) *guideText {
	g := &guideText{text: readDocument(t, guide)}
	g.blocks = readBlocks(g.text)
	for _, b := range g.blocks {
		if strings.HasPrefix(b.info, "yaml frame") {
			g.frame = b.text
		}
	}
	require.NotEmpty(t, g.frame, "the guide has no ```yaml frame")
	return g
}

// table lists the first column of the table whose first head is given, sorted.
func (g *guideText) table(head string) []string {
	var out []string
	inside := false
	for _, line := range strings.Split(g.text, "\n") {
		cells := strings.Split(line, "|")
		switch {
		case len(cells) < 3:
			inside = false
		case strings.TrimSpace(cells[1]) == head:
			inside = true
		case inside && !strings.HasPrefix(strings.TrimSpace(cells[1]), "---"):
			for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(cells[1], -1) {
				out = append(out, m[1])
			}
		}
	}
	slices.Sort(out)
	return out
}

var declares = regexp.MustCompile(`(?m)^(tree|shared|faults):[ \t]*([a-z0-9_-]*)`)

func fragment(text string) bool { return !declares.MatchString(text) }

func treeNamed(text string) string {
	if m := declares.FindStringSubmatch(text); m != nil && m[1] == "tree" {
		return m[2]
	}
	return ""
}

// sources are the files that a sample is loaded with, itself among them.
func (g *guideText) sources(t *testing.T, b block) []engine.Source {
	text := b.text
	if strings.HasSuffix(b.info, " alone") {
		return []engine.Source{{Name: "my-tree.yaml", Data: []byte(text)}}
	}
	out := []engine.Source{{Name: "frame.yaml", Data: g.frameWithout(t, text)}, {Name: "posts.png", Data: aPicture(t)}}
	for _, o := range g.blocks {
		whole := strings.HasPrefix(o.info, "yaml good") && !fragment(o.text)
		if whole && o.section == b.section && declares.FindString(o.text) != declares.FindString(text) {
			name := declares.FindStringSubmatch(o.text)
			out = append(out, engine.Source{Name: cmp.Or(name[2], name[1]) + ".yaml", Data: []byte(o.text)})
		}
	}
	if fragment(text) {
		text = inTree(text)
	}
	return append(out, engine.Source{Name: "my-tree.yaml", Data: []byte(text)})
}

var firstStep = regexp.MustCompile(`(?m)^steps:\n(?: *#.*\n)*  ([a-z0-9_]+):`)

// inTree completes a fragment to a tree, below the fragment's own lines.
func inTree(text string) string {
	begin := "only"
	if m := firstStep.FindStringSubmatch(text); m != nil {
		begin = m[1]
	}
	for _, key := range []string{"tree: my-tree", "title: A tree for a sample", "edition: 1", "use: [frame]", "begin: " + begin,
		"steps:\n  only: {kind: measure, title: Rest voltage, take: [rest_voltage], to: test_it}"} {
		name, _, _ := strings.Cut(key, ":")
		if !regexp.MustCompile(`(?m)^` + name + `:`).MatchString(text) {
			text += key + "\n"
		}
	}
	return text
}

// frameWithout is the frame less the readings, limits and so on that a sample
// declares under the same names.
func (g *guideText) frameWithout(t *testing.T, sample string) []byte {
	var mine map[string]yaml.Node
	if yaml.Unmarshal([]byte(sample), &mine) != nil {
		return []byte(g.frame)
	}
	var frame yaml.Node
	require.NoError(t, yaml.Unmarshal([]byte(g.frame), &frame))
	top := frame.Content[0]
	for i := 0; i < len(top.Content); i += 2 {
		if m, ok := mine[top.Content[i].Value]; ok && m.Kind == yaml.MappingNode && top.Content[i+1].Kind == yaml.MappingNode {
			drop(top.Content[i+1], &m)
		}
	}
	out, err := yaml.Marshal(&frame)
	require.NoError(t, err)
	return out
}

// drop takes the keys of mine out of a mapping.
func drop(from, mine *yaml.Node) {
	for i := 0; i < len(mine.Content); i += 2 {
		for j := 0; j < len(from.Content); j += 2 {
			if from.Content[j].Value == mine.Content[i].Value {
				from.Content = slices.Delete(from.Content, j, j+2)
				break
			}
		}
	}
}

func printed(faults *source.Faults) string {
	var b bytes.Buffer
	faults.Print(&b)
	return b.String()
}

// replace writes the text of a block anew into the guide's file.
func (g *guideText) replace(t *testing.T, i int, text string) {
	lines := strings.Split(readDocument(t, guide), "\n")
	at, seen := 0, 0
	for n, line := range lines {
		if strings.HasPrefix(line, "```") {
			if seen == 2*i {
				at = n + 1
				break
			}
			seen++
		}
	}
	end := at
	for !strings.HasPrefix(lines[end], "```") {
		end++
	}
	lines = slices.Concat(lines[:at], strings.Split(strings.TrimSuffix(text, "\n"), "\n"), lines[end:])
	require.NoError(t, os.WriteFile(filepath.Join("..", guide), []byte(strings.Join(lines, "\n")), 0o644))
}
