package engine

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// everyColumn lists all columns that a table can have for a tree.
func everyColumn(t *testing.T, tree *Tree) []Column {
	var out []Column
	add := func(name string) {
		c, err := tree.Column(name)
		require.NoError(t, err)
		out = append(out, c)
	}
	for _, r := range tree.Readings {
		add(r.ID)
	}
	for _, s := range tree.Steps {
		add(s.ID + ".done")
		add(s.ID + ".unable")
		for _, tk := range s.fields {
			add(s.ID + "." + tk.Reading.ID)
		}
		for _, r := range s.rules {
			for _, q := range r.Needs {
				add(s.ID + "." + q.ID)
			}
		}
	}
	return out
}

// TestAnyColumnsGiveAnEnding: whatever columns a row fills, it comes to an end that can
// be laid out. Each step's columns are filled once with all bare readings, and rapid
// fills any others.
func TestAnyColumnsGiveAnEnding(t *testing.T) {
	for _, tree := range shipped(t).Trees() {
		t.Run(tree.Name, func(t *testing.T) {
			columns := everyColumn(t, tree)
			run := tree.NewRunner(FindMeter("workshop"))
			fill := func(t *rapid.T, c Column) {
				switch {
				case c.Reading != nil:
					a := drawAnswer(t, c.Reading)
					if word := usualWords[c.Reading.ID]; word != "" && rapid.IntRange(0, 4).Draw(t, "usual") > 0 {
						a.Choice = []string{word}
					} else if v := usualNumbers[c.Reading.ID]; v != 0 && rapid.IntRange(0, 4).Draw(t, "usual") > 0 {
						a.Value = v
					}
					require.Nil(t, run.Put(c, a))
				case c.Unable && c.Step.Unable == nil:
					require.Contains(t, run.Give(c, []byte("no room")).Reason, "no other way on")
				case c.Unable:
					require.Nil(t, run.Give(c, []byte("no room")))
				default:
					require.Nil(t, run.Give(c, []byte("yes")))
				}
			}
			end := func(t *rapid.T) {
				e := run.Run()
				require.True(t, e.Finding != nil || e.Step != nil, "an end")
				if e.Finding == nil && e.Stuck == "" {
					require.NotEmpty(t, run.Wants().Step.ID)
				}
				require.NotNil(t, run.Record())
				if e.Finding != nil {
					require.NotEmpty(t, run.Certainty())
				}
			}
			rapid.Check(t, func(t *rapid.T) {
				run.Reset()
				run.Explain(rapid.IntRange(0, 3).Draw(t, "explain") == 0)
				special := rapid.IntRange(len(tree.Readings), len(columns)-1).Draw(t, "first special")
				for i, c := range columns {
					bare := i < len(tree.Readings)
					if i == special || bare && rapid.IntRange(0, 30).Draw(t, "missing") > 0 || !bare && rapid.IntRange(0, 20).Draw(t, "given") == 0 {
						fill(t, c)
					}
				}
				end(t)
			})
		})
	}
}
