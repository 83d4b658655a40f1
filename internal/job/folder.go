package job

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Ending is the end of every job file's name in the jobs folder.
const Ending = ".job"

// Folder is where jobs are kept: deadflat/jobs under XDG_STATE_HOME, or under
// ~/.local/state when that is not set. It need not exist.
func Folder() (string, error) {
	// A relative XDG folder is to be ignored. Source: XDG Base Directory
	// Specification 0.8, "Environment variables".
	if state := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(state) {
		return filepath.Join(state, "deadflat", "jobs"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("no folder for jobs: set XDG_STATE_HOME, or name a file: %w", err)
	}
	return filepath.Join(home, ".local", "state", "deadflat", "jobs"), nil
}

// NewPath names a file that does not exist yet in folder, after the tree and
// the minute the job was begun: "2031-05-04-0930-no-start.job".
func NewPath(folder, tree string, begun time.Time) string {
	base := filepath.Join(folder, begun.Format("2006-01-02-1504-")+tree)
	path := base + Ending
	for n := 2; ; n++ {
		if _, err := os.Lstat(path); err != nil {
			return path // not there; or out of reach, and then creating it says why
		}
		path = fmt.Sprintf("%s-%d%s", base, n, Ending)
	}
}

// Find turns what a person typed for a job into a path: a path itself, the name
// of a job in folder with or without its ending, the beginning of exactly one
// such name, or "last" for the newest.
func Find(folder, typed string) (string, error) {
	if strings.ContainsRune(typed, filepath.Separator) || fileExists(typed) {
		return typed, nil
	}
	names, err := jobNames(folder)
	if err != nil {
		return "", err
	}
	if typed == "last" {
		if len(names) == 0 {
			return "", fmt.Errorf("there is no job in %q yet", folder)
		}
		return newest(folder, names)
	}
	var like []string
	for _, name := range names {
		if name == typed || name == typed+Ending {
			return filepath.Join(folder, name), nil
		}
		if strings.HasPrefix(name, typed) {
			like = append(like, strings.TrimSuffix(name, Ending))
		}
	}
	switch len(like) {
	case 0:
		return "", fmt.Errorf("there is no job %q in %q and no file of that name", typed, folder)
	case 1:
		return filepath.Join(folder, like[0]+Ending), nil
	}
	return "", fmt.Errorf("%q is the beginning of %d jobs (%s): type more of the name", typed, len(like), strings.Join(like, ", "))
}

// jobNames lists the job files of folder by name; a folder that does not exist
// holds none.
func jobNames(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if !e.IsDir() && strings.HasSuffix(e.Name(), Ending) {
			names = append(names, e.Name())
		}
	}
	return names, nil
}

// newest picks the job file written to last.
func newest(folder string, names []string) (string, error) {
	var path string
	var at time.Time
	for _, name := range names {
		info, err := os.Stat(filepath.Join(folder, name))
		if err != nil {
			return "", err
		}
		if path == "" || info.ModTime().After(at) {
			path, at = filepath.Join(folder, name), info.ModTime()
		}
	}
	return path, nil
}

func fileExists(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.IsDir()
}
