package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// short is a whole tree, named as the shipped one.
const short = `tree: no-start
title: Our own short cut
edition: 7
begin: look
readings:
  lamps: {ask: The lamps light up, short: lamps, choices: [bright, dark]}
steps:
  look: {kind: inspect, title: Look, take: [lamps], by: lamps, cases: {bright: power, dark: no_power}}
findings:
  power: {title: It has power, action: go_on}
  no_power: {title: It has no power, action: stop}
`

func TestAnOwnTreeTakesThePlaceOfTheShippedOne(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "mine.yaml")
	require.NoError(t, os.WriteFile(path, []byte(short), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "readme.txt"), []byte("no tree"), 0o600))
	for _, own := range []string{path, folder} {
		var said bytes.Buffer
		lib, tree, err := loadTree("", own, firstTree, &said)
		require.NoError(t, err, said.String())
		assert.Equal(t, "Our own short cut", tree.Title)
		assert.Equal(t, 7, lib.Tree("no-start").Edition)
		assert.NotNil(t, lib.Tree("recharge"), "what is shipped besides stays")
	}
}

func TestEveryFileToProveStays(t *testing.T) {
	first, second := filepath.Join(t.TempDir(), "first.yaml"), filepath.Join(t.TempDir(), "second.yaml")
	require.NoError(t, os.WriteFile(first, []byte(short), 0o600))
	require.NoError(t, os.WriteFile(second, []byte(strings.Replace(short, "no-start", "other", 1)), 0o600))
	sources, names, err := proveSources([]string{first, second})
	require.NoError(t, err)
	assert.Equal(t, []string{"no-start", "other"}, names)
	lib, faults := engine.Load(sources, tradeFunctions()...)
	require.True(t, faults.Empty())
	assert.Equal(t, 7, lib.Tree("no-start").Edition, "the second file brings no shipped tree back")
}

// A pipe may never end, and gives nothing when it is read again.
func TestAPipeIsNoFile(t *testing.T) {
	r, w, err := os.Pipe()
	require.NoError(t, err)
	defer r.Close()
	defer w.Close()
	if info, err := r.Stat(); err != nil || info.Mode().IsRegular() {
		t.Skip("no pipes here")
	}
	path := fmt.Sprintf("/proc/self/fd/%d", r.Fd())
	if _, err := os.Stat(path); err != nil {
		t.Skip("no files that stand for pipes here")
	}
	_, _, err = gather(path)
	require.ErrorContains(t, err, "is a pipe or a device, but a file is wanted")
	folder := t.TempDir()
	require.NoError(t, os.Symlink(path, filepath.Join(folder, "pipe.yaml")))
	_, _, err = gather(folder)
	require.ErrorContains(t, err, "is a pipe or a device, but a file is wanted")
}

func TestWhichTreeIsMeant(t *testing.T) {
	for _, c := range []struct {
		own       string
		theirs    []string
		otherwise string
		want      string
		says      string
	}{
		{"", nil, "no-start", "no-start", ""},
		{"", nil, "", "", "name a tree: deadflat trees lists them"},
		{"mine.yaml", []string{"one"}, "no-start", "one", ""},
		{"mine.yaml", nil, "no-start", "", `"mine.yaml" holds no tree: name one`},
		{"mine", []string{"one", "two"}, "no-start", "", `"mine" holds 2 trees (one, two): name one`},
	} {
		got, err := pickTree(c.own, c.theirs, c.otherwise)
		assert.Equal(t, c.want, got)
		if c.says != "" {
			assert.EqualError(t, err, c.says)
			assert.Equal(t, exitUsage, exitCode(err, true))
		} else {
			assert.NoError(t, err)
		}
	}
}
