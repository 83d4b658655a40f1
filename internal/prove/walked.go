package prove

import (
	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// Walked is one worked case as it was walked on a tree.
type Walked struct {
	Case   string
	Place  source.Place
	Wrong  string         // how it comes out otherwise than it says; "" when it does not
	Record *engine.Record // as far as it came
}

// WalkCases walks the worked cases of a tree that stand among some files, other
// files passed over. The faults are of the case files.
func WalkCases(lib *engine.Library, t *engine.Tree, files []engine.Source) ([]Walked, *source.Faults) {
	faults := &source.Faults{}
	var out []Walked
	for _, s := range files {
		if engine.IsPicture(s.Name) {
			continue
		}
		f := source.Read(s.Name, s.Data, faults)
		if f == nil || f.Root == nil || valueOf(f.Root, "cases") == nil {
			continue
		}
		if named := valueOf(f.Root, "cases"); named.Value != t.Name {
			continue
		}
		cases := readCases(source.Reader{File: f, Faults: faults}, f.Root, lib)
		if cases == nil {
			continue
		}
		for _, c := range cases.list {
			r, wrong := cases.playOn(engine.NewWalk(t, c.meter, c.kit(t)), t, c, nil)
			out = append(out, Walked{Case: c.name, Place: c.place, Wrong: wrong, Record: r.w.Record()})
		}
	}
	return out, faults
}
