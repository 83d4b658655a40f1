package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"

	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// neededBeside are the files in the folder of a single file which declare what that file
// names, or what those name in turn, and no source has. Two that declare one name are
// both given: loading tells both places.
func neededBeside(own string, have []engine.Source) []engine.Source {
	known := map[string]bool{}
	var open []string
	for _, s := range have {
		known[begins(s)] = true
		if s.Name == own {
			open = named(s)
		}
	}
	var found, beside []engine.Source
	for ; len(open) > 0; open = open[1:] {
		if known[open[0]] {
			continue
		}
		known[open[0]] = true
		if beside == nil {
			beside = neighbours(own)
		}
		for _, s := range beside {
			if begins(s) == open[0] {
				found, open = append(found, s), append(open, named(s)...)
			}
		}
	}
	return found
}

var notListed = regexp.MustCompile(`^"(.*)" is not in the list of faults`)

// listedBeside says which faults that no list holds stand in one beside the files of a person's
// own: a list is taken in with its folder only.
func listedBeside(w io.Writer, own []string, faults *source.Faults) {
	var said []string
	for _, f := range faults.Sorted() {
		m := notListed.FindStringSubmatch(f.Message)
		if m == nil || !slices.Contains(own, f.Place.File) {
			continue
		}
		for _, beside := range neighbours(f.Place.File) {
			_, kinds := declares(beside)
			line := fmt.Sprintf("%q lists %q: name the folder %q to take it in", beside.Name, m[1], filepath.Dir(f.Place.File))
			if slices.ContainsFunc(kinds, func(n *yaml.Node) bool { return faultKey(n) == "fault "+m[1] }) && !slices.Contains(said, line) {
				said = append(said, line)
				fmt.Fprintln(w, line)
			}
		}
	}
}

// neighbours are the other YAML files in the folder of a file that can be read.
func neighbours(own string) []engine.Source {
	folder := filepath.Dir(own)
	entries, _ := os.ReadDir(folder) // what cannot be read is not there, and loading tells what is missing
	out := []engine.Source{}
	for _, e := range entries {
		path := filepath.Join(folder, e.Name())
		info, err := os.Stat(path)
		if err != nil || !info.Mode().IsRegular() || !isYAML(path) || path == filepath.Clean(own) {
			continue
		}
		if data, err := readBoundedFile(path); err == nil {
			out = append(out, engine.Source{Name: path, Data: data})
		}
	}
	return out
}

// picturesBeside are the pictures that steps of some files name in the folder of their file.
// One that is not there, or is larger than a picture may be, is told when it is loaded.
func picturesBeside(files []engine.Source) []engine.Source {
	var out []engine.Source
	for _, s := range files {
		file := source.Read(s.Name, s.Data, &source.Faults{})
		if file == nil {
			continue
		}
		r := source.Reader{File: file, Faults: &source.Faults{}}
		for _, step := range r.Map(r.Map(file.Root).Get("steps")).All() {
			name := r.Text(r.Map(r.Map(step).Get("picture")).Get("file"))
			path := filepath.Join(filepath.Dir(s.Name), name)
			same := func(o engine.Source) bool { return o.Name == path }
			if filepath.Base(name) != name || !engine.IsPicture(name) || slices.ContainsFunc(out, same) {
				continue
			}
			if info, err := os.Stat(path); err != nil || !info.Mode().IsRegular() {
				continue
			}
			if data, err := readBoundedFile(path); err == nil {
				out = append(out, engine.Source{Name: path, Data: data})
			}
		}
	}
	return out
}

var beginning = regexp.MustCompile(`(?m)^\x{FEFF}?\{?["']?(tree|shared)["']?:[ \t]+["']?([a-z0-9_-]+)`)

// begins is what declared gives, also of a file that cannot be read as YAML: where it is
// needed, loading tells its fault. The usual spelling needs no reading of the whole.
func begins(s engine.Source) string {
	if m := beginning.FindSubmatch(s.Data); m != nil {
		return string(m[1]) + " " + string(m[2])
	}
	return declared(s)
}

// named are the shared files and trees that a file takes in, runs or goes on with, as
// declared writes them.
func named(s engine.Source) []string {
	file := source.Read(s.Name, s.Data, &source.Faults{})
	if file == nil {
		return nil
	}
	r := source.Reader{File: file, Faults: &source.Faults{}} // loading tells what has another shape
	top := r.Map(file.Root)
	var out []string
	for _, name := range r.Texts(top.Get("use")) {
		out = append(out, "shared "+name)
	}
	for _, step := range r.Map(top.Get("steps")).All() {
		out = append(out, "tree "+r.Text(r.Map(step).Get("run")))
	}
	for _, finding := range r.Map(top.Get("findings")).All() {
		out = append(out, "tree "+r.Text(r.Map(r.Map(finding).Get("then")).Get("tree")))
	}
	return slices.DeleteFunc(out, func(name string) bool { return name == "tree " })
}
