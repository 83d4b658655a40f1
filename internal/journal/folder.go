package journal

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Last is the word for the file that something was last written to.
const Last = "last"

// Folder is where files of the kind are kept: deadflat/jobs under XDG_STATE_HOME, or
// under ~/.local/state when that is not set. It need not exist.
func (k *Kind) Folder() (string, error) {
	// A relative XDG folder is to be ignored. Source: XDG Base Directory
	// Specification 0.8, "Environment variables".
	state := os.Getenv("XDG_STATE_HOME")
	if !filepath.IsAbs(state) {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", fmt.Errorf("no folder for a %s: set XDG_STATE_HOME, or name a file: %w", k.Noun, err)
		}
		state = filepath.Join(home, ".local", "state")
	}
	return filepath.Join(state, "deadflat", k.Noun+"s"), nil
}

// NewPath names a file in folder after what it is of and the minute it was begun:
// "2031-05-04-0930-no-start.job".
func (k *Kind) NewPath(folder, of string, begun time.Time) string {
	return filepath.Join(folder, begun.Format("2006-01-02-1504-")+of+k.Ending())
}

// Short is the shortest name that Find takes for a path.
func (k *Kind) Short(path string) string {
	if folder, err := k.Folder(); err == nil && filepath.Dir(path) == folder {
		return strings.TrimSuffix(filepath.Base(path), k.Ending())
	}
	return path
}

// Find turns what a person typed into a path: a path itself, the name of a file in
// folder with or without its ending, the beginning of exactly one such name, or
// "last" for the one that was written to last.
func (k *Kind) Find(folder, typed string) (string, error) {
	if strings.ContainsRune(typed, filepath.Separator) || fileExists(typed) {
		return typed, nil
	}
	names, err := k.Names(folder)
	if err != nil {
		return "", err
	}
	if typed == Last {
		return k.newest(folder, names)
	}
	var like []string
	for _, name := range names {
		if name == strings.TrimSuffix(typed, k.Ending()) {
			return filepath.Join(folder, name+k.Ending()), nil
		}
		if strings.HasPrefix(name, typed) {
			like = append(like, name)
		}
	}
	switch len(like) {
	case 0:
		return "", fmt.Errorf("there is no %s %q in %q and no file of that name", k.Noun, typed, folder)
	case 1:
		return filepath.Join(folder, like[0]+k.Ending()), nil
	}
	return "", fmt.Errorf("%q is the beginning of %d %ss (%q): type more of the name", typed, len(like), k.Noun, like)
}

func fileExists(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.IsDir()
}

// Names lists the files of folder without their endings, in the order of their names;
// a folder that does not exist holds none.
func (k *Kind) Names(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if name, is := strings.CutSuffix(e.Name(), k.Ending()); is && !e.IsDir() {
			names = append(names, name)
		}
	}
	return names, nil
}

// newest picks the file whose last line is the latest.
func (k *Kind) newest(folder string, names []string) (string, error) {
	if len(names) == 0 {
		return "", fmt.Errorf("there is no %s in %q yet", k.Noun, folder)
	}
	var path string
	var at time.Time
	for _, name := range names {
		p := filepath.Join(folder, name+k.Ending())
		if t := k.lastSaid(p); path == "" || t.After(at) {
			path, at = p, t
		}
	}
	return path, nil
}

// lastSaid is the time of a file's last line; that of the file where the line has none
// or nothing was said yet. What is not of the kind is older than all else.
func (k *Kind) lastSaid(path string) time.Time {
	var said struct{ At time.Time }
	if _, last, ok := k.Ends(path); ok {
		_ = json.Unmarshal(last, &said) // a time that cannot be read is none
	}
	if said.At.IsZero() && k.Is(path) {
		if info, err := os.Stat(path); err == nil {
			return info.ModTime()
		}
	}
	return said.At
}
