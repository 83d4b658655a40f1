package main

import (
	"cmp"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/source"
	"deadflat/trees"
)

// ownHelp explains --tree on every command that has it.
const ownHelp = "your own tree: a YAML file, with what it names of the files beside it, or a\nfolder of them. It may use what the shipped trees share; a tree of the same name takes\nthe place of the shipped one `PATH`"

// loadTree loads the shipped trees with what stands in own (a file or a folder,
// "" for none) and picks one: the one named, else the only one in own, else
// otherwise. Faults are printed and end in errFaults.
func loadTree(name, own, otherwise string, errs io.Writer) (*engine.Library, *engine.Tree, error) {
	lib, theirs, err := loadLibrary(own, errs)
	if err != nil {
		return nil, nil, err
	}
	return chosen(lib, name, own, theirs, otherwise)
}

func treeNamed(lib *engine.Library, name string) (*engine.Tree, error) {
	tree := lib.Tree(name)
	if tree == nil {
		return nil, usage("there is no tree %q%s", name, source.DidYouMean(name, treeNames(lib)))
	}
	return tree, nil
}

// chosen picks a tree of a library as loadTree does; theirs are those in own.
func chosen(lib *engine.Library, name, own string, theirs []string, otherwise string) (*engine.Library, *engine.Tree, error) {
	var err error
	if name == "" {
		name, err = pickTree(own, theirs, otherwise)
	}
	if err != nil {
		return nil, nil, err
	}
	tree, err := treeNamed(lib, name)
	return lib, tree, err
}

// pickTree chooses a tree when none was named.
func pickTree(own string, theirs []string, otherwise string) (string, error) {
	switch {
	case own == "" && otherwise == "":
		return "", usage("name a tree: deadflat trees lists them")
	case own == "":
		return otherwise, nil
	case len(theirs) == 1:
		return theirs[0], nil
	case len(theirs) == 0:
		return "", usage("%q holds no tree: name one", own)
	}
	return "", usage("%q holds %d trees (%s): name one", own, len(theirs), strings.Join(theirs, ", "))
}

// loadLibrary also gives the names of the trees that stand in own.
func loadLibrary(own string, errs io.Writer) (*engine.Library, []string, error) {
	sources, theirs, err := gather(own)
	if err != nil {
		return nil, nil, err
	}
	if own == "" {
		return engine.Open(sources, shippedIndex(), tradeFunctions()...), nil, nil // proved before it was shipped
	}
	lib, err := load(sources, errs)
	return lib, theirs, err
}

// load loads trees; their faults are printed and end in errFaults.
func load(sources []engine.Source, faultsTo io.Writer) (*engine.Library, error) {
	lib, faults := engine.Load(sources, tradeFunctions()...)
	if faults.Empty() {
		return lib, nil
	}
	out := noting{to: faultsTo}
	own := ownAmong(sources)
	faults.Print(&out, own...)
	listedBeside(&out, own, faults)
	return nil, cmp.Or(out.err, errFaults)
}

// ownAmong names the files that are not shipped.
func ownAmong(sources []engine.Source) []string {
	shipped := names(shippedSources(), func(s engine.Source) string { return s.Name })
	own := names(sources, func(s engine.Source) string { return s.Name })
	return slices.DeleteFunc(own, func(name string) bool { return slices.Contains(shipped, name) })
}

// gather lays own files over the shipped ones, and names the trees among them.
func gather(own string) (sources []engine.Source, theirs []string, err error) {
	return gatherOver(shippedSources(), own)
}

// gatherOver lays own files over others. A single file brings along what it needs of the
// files beside it.
func gatherOver(under []engine.Source, own string) (sources []engine.Source, theirs []string, err error) {
	if own == "" {
		return under, nil, nil
	}
	mine, err := readSources(own)
	if err != nil {
		return nil, nil, err
	}
	for _, s := range mine {
		if name, is := strings.CutPrefix(declared(s), "tree "); is {
			theirs = append(theirs, name)
		}
	}
	sources = laidOver(under, mine)
	if !isFolder(own) {
		beside := neededBeside(own, sources)
		sources, mine = append(sources, beside...), append(mine, beside...)
	}
	return append(sources, picturesBeside(mine)...), theirs, nil
}

// laidOver lays files over others: where both declare a tree or shared declarations of
// one name, list a fault of one id, or are cases of one name, what is on top is taken.
func laidOver(under, over []engine.Source) []engine.Source {
	taken := map[string]bool{}
	for _, s := range over {
		name, faults := declares(s)
		taken[cmp.Or(name, s.Name)] = true
		for _, f := range faults {
			taken[faultKey(f)] = true
		}
	}
	var out []engine.Source
	for _, s := range under {
		name, faults := declares(s)
		left := slices.DeleteFunc(slices.Clone(faults), func(f *yaml.Node) bool { return taken[faultKey(f)] })
		switch {
		case faults == nil && taken[cmp.Or(name, s.Name)], faults != nil && len(left) == 0:
			continue
		case len(left) < len(faults):
			if text, err := yaml.Marshal(map[string][]*yaml.Node{"faults": left}); err == nil { // else it has faults of its own
				s.Data = text
			}
		}
		out = append(out, s)
	}
	return append(out, over...)
}

// declared names the tree or the shared file that a file stands for, "tree no-start" or
// "shared common".
func declared(s engine.Source) string {
	name, _ := declares(s)
	return name
}

// declares also gives the entries of a list of faults. Where nothing can be seen, there
// is nothing; loading the file will say why.
func declares(s engine.Source) (name string, faults []*yaml.Node) {
	file := source.Read(s.Name, s.Data, &source.Faults{})
	if file == nil || file.Root == nil || file.Root.Kind != yaml.MappingNode {
		return "", nil
	}
	for i := 0; i+1 < len(file.Root.Content); i += 2 {
		switch key, value := file.Root.Content[i].Value, file.Root.Content[i+1]; key {
		case "tree", "shared":
			return key + " " + value.Value, nil
		case "faults":
			return "", value.Content
		}
	}
	return "", nil
}

// faultKey is the id of an entry of a list of faults, unlike the name of any file.
func faultKey(entry *yaml.Node) string {
	for i := 0; i+1 < len(entry.Content); i += 2 {
		if entry.Content[i].Value == "id" {
			return "fault " + entry.Content[i+1].Value
		}
	}
	return "" // loading says what is wrong with it
}

// shippedSources are the files built into the program.
func shippedSources() []engine.Source {
	var out []engine.Source
	for name, text := range trees.All() {
		out = append(out, engine.Source{Name: filepath.Join("trees", name), Data: text})
	}
	return out
}

// shippedIndex is trees.Index by the names of shippedSources.
func shippedIndex() engine.Index {
	index := engine.Index{}
	for tree, files := range trees.Index {
		for _, name := range files {
			index[tree] = append(index[tree], filepath.Join("trees", name))
		}
	}
	return index
}

// readSources reads a YAML file, or every YAML file under a folder.
func readSources(path string) ([]engine.Source, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.IsDir() {
		if !info.Mode().IsRegular() {
			return nil, notAFile(path)
		}
		data, err := readBoundedFile(path)
		return []engine.Source{{Name: path, Data: data}}, err
	}
	var out []engine.Source
	err = fs.WalkDir(os.DirFS(path), ".", func(inside string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !isYAML(inside) {
			return err
		}
		file := filepath.Join(path, inside)
		if info, err := os.Stat(file); err == nil && !info.Mode().IsRegular() {
			return notAFile(file)
		}
		data, err := readBoundedFile(file)
		out = append(out, engine.Source{Name: file, Data: data})
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("%q: %w", path, err)
	}
	return out, nil
}

// notAFile refuses a pipe or a device: it would be read once and be empty ever after, or never end.
func notAFile(path string) error {
	return fmt.Errorf("%q is a pipe or a device, but a file is wanted: save what it holds in a file and name that", path)
}

// maxRead bounds what is read of one file. It is more than a reader of YAML takes, which
// says so itself: to it, a file that is cut off here is too large as well.
const maxRead = 2 << 20

// readBoundedFile reads a YAML file of a person's own.
func readBoundedFile(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxRead+1))
}

// readWholeFile reads any other file of a person's own: nothing else would tell that it
// was cut off.
func readWholeFile(path string) ([]byte, error) {
	data, err := readBoundedFile(path)
	if err == nil && len(data) > maxRead {
		err = fmt.Errorf("%q is larger than %d MB, which is the most that is read of such a file", path, maxRead>>20)
	}
	return data, err
}

func isYAML(path string) bool {
	return slices.Contains([]string{".yaml", ".yml"}, filepath.Ext(path))
}

// names lists what each of some things is called.
func names[T any](things []T, name func(T) string) []string {
	var out []string
	for _, thing := range things {
		out = append(out, name(thing))
	}
	return out
}

// sourceNames are the paths of the files that trees were loaded from.
func sourceNames(lib *engine.Library) []string {
	return names(lib.Sources(), func(s engine.Source) string { return s.Name })
}

func treeNames(lib *engine.Library) []string {
	return names(lib.Trees(), func(t *engine.Tree) string { return t.Name })
}
