package prove

import (
	"io"
	"testing"

	"deadflat/internal/engine"
)

// FuzzCases reads worked cases that nobody can trust: whatever stands there, faults
// are values and the walks end.
func FuzzCases(f *testing.F) {
	f.Add("cases: bands\nusual: {clamp: tight}\nlist:\n" + fullCases)
	f.Add("cases: bands\nlist: [{case: x, from: y, meter: basic, readings: {look.clamp: tight, read.unable: no room}, finding: good}]\n")
	f.Add("cases: bands\nlist: 3\n")
	f.Add("cases: [bands]\n")
	f.Add("cases: bands\nlist: [{case: x, from: y, meter: basic, readings: {rest: 1e9 V, look.done: \"yes\"}, way: [look], forms: -1, finding: good}]\n")
	f.Fuzz(func(t *testing.T, text string) {
		lib, _ := engine.Load(append(shared(),
			engine.Source{Name: "bands.yaml", Data: []byte(bandsTree)}, engine.Source{Name: "bands.cases.yaml", Data: []byte(text)},
		))
		if lib.Tree("bands") == nil {
			return // the text is a tree itself, and takes the place of ours
		}
		r := Library(lib, []string{"bands"}, Options{Mutate: true})
		if err := r.Print(io.Discard); err != nil {
			t.Fatal(err)
		}
	})
}

// FuzzTrees proves whatever loads as a tree.
func FuzzTrees(f *testing.F) {
	for _, r := range Rules {
		if r.ID != "undecided" {
			f.Add(r.Bad)
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		lib, _ := engine.Load(append(shared(), engine.Source{Name: "tree.yaml", Data: []byte(text)}))
		if err := Library(lib, nil, Options{}).Print(io.Discard); err != nil {
			t.Fatal(err)
		}
	})
}
