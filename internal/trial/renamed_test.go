package trial

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/trees"
)

// A trial goes by what trees declare, and not by what they call their steps, findings and
// actions: with all of these renamed it comes to the same.
func TestNamesDoNotMatter(t *testing.T) {
	o := options(t, 200)
	plain := run(t, o)
	lib, faults := engine.Load(renamed(t))
	var says strings.Builder
	faults.Print(&says)
	require.True(t, faults.Empty(), "%.2000s", says.String())
	o.Tree, o.Library = lib.Tree("no-start"), lib
	for _, f := range o.Tree.Findings {
		require.True(t, strings.HasPrefix(f.ID, "renamed_") && strings.HasPrefix(f.Action, "renamed_"), f.ID)
	}
	again := run(t, o)
	again.Hash = plain.Hash
	want, err := json.Marshal(plain)
	require.NoError(t, err)
	got, err := json.Marshal(again)
	require.NoError(t, err)
	assert.Equal(t, unordered(t, want), unordered(t, []byte(strings.ReplaceAll(string(got), "renamed_", ""))))
}

// unordered reads JSON without the order of its lists: some go by name where counts tie.
func unordered(t *testing.T, data []byte) any {
	var v any
	require.NoError(t, json.Unmarshal(data, &v))
	var sorted func(v any) any
	sorted = func(v any) any {
		switch v := v.(type) {
		case map[string]any:
			for k := range v {
				v[k] = sorted(v[k])
			}
		case []any:
			for i := range v {
				v[i] = sorted(v[i])
			}
			slices.SortFunc(v, func(a, b any) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
		}
		return v
	}
	return sorted(v)
}

// renamed gives the shipped trees with new names for steps, findings and actions.
func renamed(t *testing.T) []engine.Source {
	ids := map[string]bool{}
	docs := map[string]*yaml.Node{}
	for name, text := range trees.All() {
		var doc yaml.Node
		require.NoError(t, yaml.Unmarshal(text, &doc))
		docs[name] = doc.Content[0]
		for _, key := range []string{"steps", "findings"} {
			if all := valueOf(docs[name], key); all != nil && !strings.Contains(name, ".cases") {
				for i := 0; i < len(all.Content); i += 2 {
					ids[all.Content[i].Value] = true
				}
			}
		}
	}
	var out []engine.Source
	for name, doc := range docs {
		r := renaming{ids}
		r.in(doc, "")
		text, err := yaml.Marshal(doc)
		require.NoError(t, err)
		out = append(out, engine.Source{Name: name, Data: text})
	}
	return out
}

type renaming struct{ ids map[string]bool }

// targets are the keys whose value names a step or a finding.
var targets = regexp.MustCompile(`^(to|otherwise|begin|better|else|prove_by|like|unsure|unable|clears)$`)

// mentions are steps in a guard or a sentence.
var mentions = regexp.MustCompile(`\b(done\((?:\w+/)?|)([a-z]\w*)(\)|\.[a-z])`)

// within is the sub-tree in whose laying-in a step stands.
var within = regexp.MustCompile(`\bdone\((\w+)/`)

func (r renaming) in(n *yaml.Node, key string) {
	kind := valueOf(n, "kind")
	for i, k := range n.Content {
		switch {
		case n.Kind != yaml.MappingNode:
			r.in(k, key)
		case i%2 == 0 && (key == "steps" || key == "findings" || key == "outcomes" && r.ids[k.Value]):
			k.Value = "renamed_" + k.Value
		case i%2 == 0:
		case (key == "cases" || key == "outcomes") && k.Kind == yaml.ScalarNode:
			r.in(k, "to")
		case kind != nil && kind.Value == "tree" && n.Content[i-1].Value == "cases":
			r.in(k, "outcomes") // of a sub-tree, by its findings
		default:
			r.in(k, n.Content[i-1].Value)
		}
	}
	switch {
	case n.Kind != yaml.ScalarNode:
	case key == "action", targets.MatchString(key) && r.ids[n.Value]:
		n.Value = "renamed_" + n.Value
	default:
		n.Value = mentions.ReplaceAllStringFunc(n.Value, func(s string) string {
			m := mentions.FindStringSubmatch(s)
			if !r.ids[m[2]] || (m[1] == "") != (m[3] != ")") {
				return s
			}
			return m[1] + "renamed_" + m[2] + m[3]
		})
		n.Value = within.ReplaceAllString(n.Value, "done(renamed_$1/")
	}
}

func valueOf(n *yaml.Node, key string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}
