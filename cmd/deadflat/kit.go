package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

const kitHelp = "the `KIT` at hand: all, a list such as meter,clamp,charger, or the file that holds\none. It is remembered (default: the one remembered)"

// kitFile is the remembered kit in the user's configuration folder.
func kitFile() (string, error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder for the kit: %w", err)
	}
	return filepath.Join(folder, "deadflat", "kit.yaml"), nil
}

// recallKit gives the remembered kit and tells whether there is one. Without
// one, everything is taken to be at hand.
func recallKit() (kit engine.Kit, known bool, err error) {
	path, err := kitFile()
	if err != nil {
		return kit, false, err
	}
	kit, err = readKit(path)
	if errors.Is(err, fs.ErrNotExist) {
		return engine.Kit{}, false, nil
	}
	return kit, err == nil, err
}

func readKit(path string) (engine.Kit, error) {
	data, err := readBoundedFile(path)
	if err != nil {
		return engine.Kit{}, err
	}
	kit := engine.Kit{}
	faults := &source.Faults{}
	if file := source.Read(path, data, faults); file != nil {
		r := source.Reader{File: file, Faults: faults}
		if m := r.Map(file.Root); m != nil {
			kit.Meter, kit.Hold = r.Text(m.Get("meter")), r.Text(m.Get("hold"))
			if has := m.Get("has"); has != nil {
				kit.Has = []string{}
				for _, word := range r.List(has) {
					kit.Has = append(kit.Has, r.Text(word))
				}
			}
			m.Done()
		}
	}
	if !faults.Empty() {
		return engine.Kit{}, faultsError{faults}
	}
	return kit, nil
}

// kitOnDisk is a kit as its file holds it.
type kitOnDisk struct {
	Meter string    `yaml:"meter,omitempty"`
	Has   *[]string `yaml:"has,omitempty"` // left out: everything
	Hold  string    `yaml:"hold,omitempty"`
}

func rememberKit(kit engine.Kit) error {
	path, err := kitFile()
	if err != nil {
		return err
	}
	k := kitOnDisk{Meter: kit.Meter, Hold: kit.Hold}
	if kit.Has != nil {
		k.Has = &kit.Has
	}
	data, err := yaml.Marshal(k)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	return os.WriteFile(path, data, 0o600)
}

// kitFrom reads what was given to --kit: "all", words of the tree, or a file.
func kitFrom(flag string, t *engine.Tree) (engine.Kit, error) {
	if flag == "all" {
		return engine.Kit{}, nil
	}
	if isYAML(flag) || strings.ContainsRune(flag, os.PathSeparator) {
		return readKit(flag)
	}
	kit := engine.Kit{Has: []string{}}
	for _, word := range strings.Split(flag, ",") {
		word = strings.ReplaceAll(strings.TrimSpace(word), " ", "_")
		if !slices.Contains(t.Words.Equipment, word) {
			return kit, usage("--kit: there is no equipment %q%s: name some of %s, or all", word,
				source.DidYouMean(word, t.Words.Equipment), strings.Join(t.Words.Equipment, ", "))
		}
		kit.Has = append(kit.Has, word)
	}
	return kit, nil
}
