package engine

import (
	"bytes"
	"fmt"
	"iter"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"deadflat/internal/source"
	"deadflat/trees"
)

// One in editStep edits is tried, a prime, so that the sample falls on every kind of
// edit. DEADFLAT_EDIT_STEP=1 tries them all, in some 20 minutes of one core.
const editStep = 331

// edit changes the i-th key of a mapping, or its value.
type edit struct {
	name  string
	apply func(m *yaml.Node, i int)
	// wrong tells that no file can say this: a fault must have its place in it.
	wrong bool
}

func to(name string, wrong bool, value yaml.Node) edit {
	return edit{name, func(m *yaml.Node, i int) { v := value; m.Content[i+1] = &v }, wrong}
}

var edits = []edit{
	{"delete", func(m *yaml.Node, i int) { m.Content = slices.Delete(m.Content, i, i+2) }, false},
	{"double", func(m *yaml.Node, i int) { m.Content = append(m.Content, m.Content[i], m.Content[i+1]) }, true},
	{"misspell", func(m *yaml.Node, i int) {
		k := *m.Content[i]
		k.Value = misspelt(k.Value)
		m.Content[i] = &k
	}, false},
	to("to nothing", true, yaml.Node{Kind: yaml.ScalarNode, Tag: "!!null"}),
	to("to an empty text", true, yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Style: yaml.DoubleQuotedStyle}),
	to("to a text", false, yaml.Node{Kind: yaml.ScalarNode, Value: "x"}),
	to("to a number", false, yaml.Node{Kind: yaml.ScalarNode, Value: "7"}),
	to("to a list", false, yaml.Node{Kind: yaml.SequenceNode, Content: []*yaml.Node{{Kind: yaml.ScalarNode, Value: "x"}}}),
	to("to an empty list", false, yaml.Node{Kind: yaml.SequenceNode}),
	to("to a mapping", false, yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{{Kind: yaml.ScalarNode, Value: "x"}, {Kind: yaml.ScalarNode, Value: "y"}}}),
	to("to an empty mapping", false, yaml.Node{Kind: yaml.MappingNode}),
}

// misspelt leaves the last letter out, or doubles it.
func misspelt(word string) string {
	if len(word) > 2 && word[len(word)-1] < 0x80 {
		return word[:len(word)-1]
	}
	return word + word
}

// ofTheAuthor are the mappings whose keys are names that an author made up.
var ofTheAuthor = []string{"readings", "limits", "values", "findings", "steps", "states", "undone", "cases", "vehicle", "about", "ranges", "parameters", "with"}

// shippedFile is one file, parsed and encoded anew, with the files of every tree that needs it.
type shippedFile struct {
	Source
	root   *yaml.Node
	parsed *source.File
	with   []*shippedFile
}

func shippedFiles(t testing.TB) ([]*shippedFile, *Library) { return editable(t, trees.All()) }

func editable(t testing.TB, texts iter.Seq2[string, []byte]) ([]*shippedFile, *Library) {
	var files []*shippedFile
	var all []Source
	for name, text := range texts {
		if strings.HasSuffix(name, ".cases.yaml") {
			continue
		}
		f := &shippedFile{Source: Source{Name: name}, root: &yaml.Node{}}
		require.NoError(t, yaml.Unmarshal(text, f.root))
		var err error
		f.Data, err = yaml.Marshal(f.root)
		require.NoError(t, err)
		var faults source.Faults
		f.parsed = source.Read(name, f.Data, &faults)
		require.True(t, faults.Empty(), name)
		files, all = append(files, f), append(all, f.Source)
	}
	lib, faults := Load(all)
	require.True(t, faults.Empty())
	for _, f := range files {
		for _, o := range files {
			if o.Name == "faults.yaml" || slices.ContainsFunc(lib.Trees(), func(t *Tree) bool {
				return slices.Contains(t.Files(), f.Name) && slices.Contains(t.Files(), o.Name)
			}) || f.Name == "faults.yaml" {
				f.with = append(f.with, o)
			}
		}
	}
	return files, lib
}

// load loads what needs f with a changed text in the place of f.
func (f *shippedFile) load(text []byte, rounds []string) (*Library, *source.Faults) {
	var sources []Source
	l := newLoader(nil, rounds)
	for _, o := range f.with {
		if o != f {
			l.read(o.parsed, o.Source, false)
			sources = append(sources, o.Source)
			continue
		}
		changed := Source{Name: f.Name, Data: text}
		var faults source.Faults
		file := source.Read(changed.Name, changed.Data, &faults)
		l.faults.Join(&faults)
		l.read(file, changed, !faults.Empty())
		sources = append(sources, changed)
	}
	l.lib.sources = sources
	return l.link()
}

// tried is one edit at one key.
type tried struct {
	file *shippedFile
	path []string
	at   *yaml.Node
	i    int
	edit
}

func (c tried) String() string {
	return fmt.Sprintf("%s: %s %s", c.file.Name, strings.Join(c.path, "/"), c.name)
}

func everyKey(f *shippedFile, n *yaml.Node, path []string, do func(m *yaml.Node, i int, path []string)) {
	for i, c := range n.Content {
		switch {
		case n.Kind == yaml.MappingNode && i%2 == 0:
			do(n, i, append(slices.Clip(path), c.Value))
		case n.Kind == yaml.MappingNode:
			everyKey(f, c, append(slices.Clip(path), n.Content[i-1].Value), do)
		default:
			everyKey(f, c, path, do)
		}
	}
}

// A shipped file in which one key or value is wrong is refused with a place in it, or
// what it says is legal and every tree is whole. Nothing panics, and no tree is half there.
func TestNoEditOfAShippedFileBreaksTheLoader(t *testing.T) {
	files, whole := shippedFiles(t)
	tryEdits(t, files, whole, editStep)
}

// The same of trees that run one another with parameters, of which none ships.
func TestNoEditOfATreeWithParametersBreaksTheLoader(t *testing.T) {
	files, whole := editable(t, func(yield func(string, []byte) bool) {
		for _, s := range sources(t, "trailer") {
			if !yield(s.Name, s.Data) {
				return
			}
		}
	})
	tryEdits(t, files, whole, 13)
}

func tryEdits(t *testing.T, files []*shippedFile, whole *Library, step int) {
	var all []tried
	for _, f := range files {
		everyKey(f, f.root, nil, func(m *yaml.Node, i int, path []string) {
			for _, e := range edits {
				all = append(all, tried{f, path, m, i, e})
			}
		})
	}
	if n, err := strconv.Atoi(os.Getenv("DEADFLAT_EDIT_STEP")); err == nil && n > 0 {
		step = n
	}
	var rounds []string
	for _, tree := range whole.Trees() {
		rounds = append(rounds, tree.Name)
	}
	texts := make(chan func(), runtime.NumCPU())
	var wait sync.WaitGroup
	for range runtime.NumCPU() {
		wait.Go(func() {
			for try := range texts {
				try()
			}
		})
	}
	var mu sync.Mutex
	count := map[string]int{}
	note := func(what string) {
		mu.Lock()
		defer mu.Unlock()
		count[what]++
	}
	for i := 0; i < len(all); i += step {
		c := all[i]
		content := slices.Clone(c.at.Content)
		c.apply(c.at, c.i)
		text, err := yaml.Marshal(c.file.root)
		c.at.Content = content
		require.NoError(t, err)
		texts <- func() {
			note("edits")
			defer func() {
				if p := recover(); p != nil {
					note("panics")
					t.Errorf("%s: panic: %v\n%s", c, p, caller())
				}
			}()
			lib, faults := c.file.load(text, rounds)
			switch wrong := c.judge(lib, faults); {
			case wrong != "":
				note("misjudged")
				t.Errorf("%s: %s: %v", c, wrong, faults.Sorted())
			case faults.Empty():
				note("legal")
			default:
				note("refused")
			}
		}
	}
	close(texts)
	wait.Wait()
	t.Logf("%d of %d possible: %v", count["edits"], len(all), count)
}

// judge says what is wrong with the outcome of an edit.
func (c tried) judge(lib *Library, faults *source.Faults) string {
	here := slices.ContainsFunc(faults.Sorted(), func(f source.Fault) bool { return f.Place.File == c.file.Name && f.Place.Line > 0 })
	keyword := len(c.path) < 2 || !slices.Contains(ofTheAuthor, c.path[len(c.path)-2])
	for _, tree := range lib.Trees() {
		if what := half(tree); what != "" {
			return "tree " + tree.Name + " is half there: " + what
		}
	}
	named := 0
	for _, f := range c.file.with {
		if f.parsed.Root.Content[0].Value == "tree" {
			named++
		}
	}
	switch {
	case !here && (c.wrong || c.name == "misspell" && keyword):
		return "no fault in the file that was edited"
	case faults.Empty() && len(lib.Trees()) != named:
		return "a tree is missing without a fault"
	}
	if faults.Empty() {
		for _, tree := range lib.Trees() {
			if what := missing(tree, lib.sources); what != "" {
				return "tree " + tree.Name + " has not all that was declared: " + what
			}
			if tree.Name == "no-start" || tree.Name+".yaml" == c.file.Name {
				stroll(tree)
			}
		}
	}
	return ""
}

// half finds a part of a tree that is missing.
func half(t *Tree) string {
	if t.Begin == nil || len(t.Steps) == 0 || t.Steps[0] != t.Begin {
		return "no beginning"
	}
	for i, s := range t.Steps {
		switch {
		case s.Index != i || !slices.Contains(Kinds, s.Kind) || s.Title == "" || s.prog == nil || len(s.Branches) == 0:
			return "step " + s.ID
		case slices.Contains(s.Take, nil) || slices.Contains(s.Record, nil) || slices.Contains(s.betters, nil):
			return "something in step " + s.ID
		}
		for _, b := range s.Ways() {
			if (b.To.Step == nil) == (b.To.Finding == nil) || b.To.Step != nil && b.To.Step.Index <= i || slices.Contains(b.Clears, nil) {
				return "branch " + b.Text + " of step " + s.ID
			}
		}
	}
	for _, r := range t.Readings {
		if r.Ask == "" || r.Short == "" || r.Number() == (r.Unit == nil) || r.Number() && r.Span[0] >= r.Span[1] || r.Assume != nil && r.Assume.By == nil {
			return "reading " + r.ID
		}
	}
	for _, r := range t.Before {
		if r.Else == nil || r.Holds == nil || r.Why == "" || len(r.Kinds) == 0 {
			return "rule " + r.ID
		}
	}
	for _, f := range t.Findings {
		if f.Title == "" || f.Action == "" || f.Then != nil && f.Then.Tree == "" {
			return "finding " + f.ID
		}
	}
	return ""
}

// missing counts what the files of a tree declare.
func missing(t *Tree, sources []Source) string {
	declared := map[string]int{}
	for _, s := range sources {
		var file struct {
			Tree                               string
			Readings, Limits, Values, Findings map[string]any
			Before                             []any
		}
		if bytes.Contains(s.Data, []byte("\nparameters:")) {
			return "" // each run leaves out what it gives
		}
		if !slices.Contains(t.Files(), s.Name) || yaml.Unmarshal(s.Data, &file) != nil {
			continue
		}
		declared["readings"] += len(file.Readings)
		declared["limits"] += len(file.Limits)
		declared["values"] += len(file.Values)
		declared["rules"] += len(file.Before)
		if file.Tree == "" || file.Tree == t.Name {
			declared["findings"] += len(file.Findings)
		}
	}
	for what, n := range map[string]int{"readings": len(t.Readings), "limits": len(t.Limits), "values": len(t.Values), "rules": len(t.Before), "findings": len(t.Findings)} {
		if declared[what] != n {
			return fmt.Sprintf("%d of %d %s", n, declared[what], what)
		}
	}
	return ""
}

// stroll walks a tree with the first answer that each reading takes.
func stroll(t *Tree) {
	w := NewWalk(t, exactMeter, Kit{})
	for range 300 {
		p := w.Next()
		switch {
		case p.Result != nil:
			return
		case p.Ack:
			_, _ = w.Answer(Event{Do: DoDone})
		case len(p.Fields) > 0:
			r := p.Fields[0].Reading
			a := &Answer{Sure: true}
			if r.Number() {
				a.Value, a.Unit = r.Unit.From((r.Span[0]+r.Span[1])/2), r.Unit.Name
			} else {
				a.Choice = r.Choices[len(r.Choices)-1:]
			}
			_, _ = w.Answer(Event{Do: DoAnswer, Reading: r.ID, Answer: a})
		default:
			return
		}
	}
}

// caller is where a panic began, of our own lines.
func caller() string {
	stack := make([]byte, 1<<14)
	lines := bytes.Split(stack[:runtime.Stack(stack, false)], []byte("\n"))
	var out []string
	for _, l := range lines {
		if bytes.Contains(l, []byte("/internal/")) && len(out) < 6 {
			out = append(out, string(bytes.TrimSpace(l)))
		}
	}
	return strings.Join(out, "\n")
}
