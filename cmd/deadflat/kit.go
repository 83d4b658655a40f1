package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

const kitHelp = "the `KIT` at hand: all, none, a list such as clamp,charger, or the file that holds\none. It is remembered (default: the one remembered)"

// account is what is remembered of whoever walks: the kit, and how much is said.
type account struct {
	kit    engine.Kit
	detail string // detailFull, detailBrief or "" for never said
	lost   error  // why what is remembered could not be read
}

// namesKit reports whether it says anything of a kit.
func (a account) namesKit() bool { return a.kit.Meter != "" || a.kit.Has != nil }

func (a account) same(b account) bool {
	return a.detail == b.detail && reflect.DeepEqual(a.kit, b.kit) // which tells no list from an empty one
}

// kitFile is where the account is kept, in the user's configuration folder.
func kitFile() (string, error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder for the kit: %w", err)
	}
	return filepath.Join(folder, "deadflat", "kit.yaml"), nil
}

// recall gives what is remembered; nothing where there is no file yet, or none that
// can be read.
func recall() account {
	path, err := kitFile()
	if err != nil {
		return account{} // there is nowhere to keep it
	}
	a, err := readKit(path)
	var faults faultsError
	switch {
	case err == nil || errors.Is(err, fs.ErrNotExist):
		return a
	case errors.As(err, &faults):
		f := faults.Sorted()[0]
		err = fmt.Errorf("%s: %s", f.Place, f.Message)
	default:
		err = plainPath(err)
	}
	return account{lost: fmt.Errorf("what was said of what is at hand cannot be read and is left as it is (%w)", err)}
}

func readKit(path string) (account, error) {
	data, err := readBoundedFile(path)
	if err != nil {
		return account{}, err
	}
	var a account
	faults := &source.Faults{}
	if file := source.Read(path, data, faults); file != nil {
		r := source.Reader{File: file, Faults: faults}
		if m := r.Map(file.Root); m != nil {
			a.kit.Meter, a.kit.Hold = r.Text(m.Get("meter")), r.Text(m.Get("hold"))
			if name := a.kit.Meter; name != "" && !isMeterFile(name) && engine.FindMeter(name) == nil {
				faults.Add("meter", file.At(m.Get("meter")), len([]rune(name)), "%s", noMeter(name))
			}
			if has := m.Get("has"); has != nil {
				a.kit.Has = append([]string{}, r.Texts(has)...)
			}
			if detail := m.Get("detail"); detail != nil {
				if a.detail = r.Text(detail); a.detail != detailFull && a.detail != detailBrief {
					faults.Add("detail", file.At(detail), max(len([]rune(a.detail)), 1), "detail is %q: expected full or brief", a.detail)
				}
			}
			m.Done()
		}
	}
	if !faults.Empty() {
		return account{}, faultsError{faults}
	}
	return a, nil
}

// accountOnDisk is an account as its file holds it.
type accountOnDisk struct {
	Meter  string    `yaml:"meter,omitempty"`
	Has    *[]string `yaml:"has,omitempty"` // left out: everything
	Hold   string    `yaml:"hold,omitempty"`
	Detail string    `yaml:"detail,omitempty"`
}

// remember keeps an account unless it is what before says. What could not be read is
// left alone until there is a kit to put in its place.
func remember(a, before account) error {
	if a.same(before) || before.lost != nil && !a.namesKit() {
		return nil
	}
	path, err := kitFile()
	if err != nil {
		return err
	}
	meter := a.kit.Meter
	if isMeterFile(meter) {
		if meter, err = filepath.Abs(meter); err != nil { // the next walk may begin in another folder
			return err
		}
	}
	k := accountOnDisk{Meter: meter, Hold: a.kit.Hold, Detail: a.detail}
	if a.kit.Has != nil {
		k.Has = &a.kit.Has
	}
	data, err := yaml.Marshal(k)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	return replaceFile(path, data, forOwner)
}

// kitFrom reads what was given to --kit: "all", "none", words of the tree, or a
// file.
func kitFrom(flag string, t *engine.Tree) (account, error) {
	switch {
	case flag == "all":
		return account{}, nil
	case flag == "none":
		return account{kit: engine.Kit{Has: []string{}}}, nil
	case isYAML(flag) || strings.ContainsRune(flag, os.PathSeparator):
		return readKit(flag)
	}
	kit := engine.Kit{Has: []string{}}
	for _, word := range strings.Split(flag, ",") {
		word = strings.ReplaceAll(strings.ToLower(strings.TrimSpace(word)), " ", "_")
		if len(t.Words.Equipment) == 0 {
			return account{}, usage("--kit: tree %q asks for no equipment: say all or none", t.Name)
		}
		if !slices.Contains(t.Words.Equipment, word) {
			return account{}, usage("--kit: there is no equipment %q%s: name some of %s; or all, or none", word,
				source.DidYouMean(word, t.Words.Equipment), strings.Join(t.Words.Equipment, ", "))
		}
		kit.Has = append(kit.Has, word)
	}
	return account{kit: kit}, nil
}
