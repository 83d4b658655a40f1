package main

import (
	"bufio"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A watched tree is tried when its text or that of its cases changes, and not
// otherwise; a file that is away for a moment is looked for again.
func TestWatchTree(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "mine.yaml")
	tree, cases := strings.ReplaceAll(startingTree, "NAME", "mine"), strings.ReplaceAll(startingCases, "NAME", "mine")
	// A file is put in place whole: the watcher may look at any moment.
	write := func(name, text string) {
		fresh := filepath.Join(t.TempDir(), name)
		require.NoError(t, os.WriteFile(fresh, []byte(text), 0o600))
		require.NoError(t, os.Rename(fresh, filepath.Join(folder, name)))
	}
	write("mine.yaml", tree)

	in, out, err := os.Pipe()
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	ticks := make(chan time.Time)
	ended := make(chan error, 1)
	go func() {
		ended <- watchTree(ctx, streams{out: out}, path, ticks)
		out.Close()
	}()
	lines := bufio.NewScanner(in)
	// next reads the line under the next ruler.
	next := func() string {
		for lines.Scan() {
			if strings.HasPrefix(lines.Text(), "----") && lines.Scan() {
				return lines.Text()
			}
		}
		return "the end"
	}
	tick := func() { ticks <- time.Time{} }

	assert.Equal(t, "sound; there are no worked cases beside it", next())
	tick() // nothing has changed: nothing is said
	write("mine.cases.yaml", cases)
	tick()
	assert.Equal(t, "sound; 14 worked cases come out as they say", next())
	write("mine.yaml", strings.Replace(tree, "limits.enough, to: charge", "limits.enuogh, to: charge", 1))
	tick()
	assert.Regexp(t, `^\d faults?: it cannot be walked$`, next())
	require.NoError(t, os.Remove(path))
	tick()
	assert.Contains(t, next(), "no such file or directory")
	write("mine.yaml", strings.Replace(tree, "to: weak, say", "to: drained, say", 1))
	tick()
	assert.Regexp(t, `fault.*; \d of 14 worked cases come out otherwise`, next())
	write("mine.yaml", tree)
	tick()
	assert.Equal(t, "sound; 14 worked cases come out as they say", next())
	stop()
	go func() {
		for lines.Scan() { // what else it says must not hold it up
		}
	}()
	assert.NoError(t, <-ended)
}

func TestFirstLines(t *testing.T) {
	assert.Equal(t, "a\nb\n", firstLines("a\nb\n", 2))
	assert.Equal(t, "a\nand 2 more lines: deadflat prove shows them all", firstLines("a\nb\nc\n", 2))
}

// A tree that calls a function of the trade is tried as it is proved.
func TestTryKnowsTheFunctionsOfTheTrade(t *testing.T) {
	path := filepath.Join(t.TempDir(), "calls.yaml")
	require.NoError(t, os.WriteFile(path, []byte(`tree: calls
title: A function of the trade
edition: 1
use: [common]
begin: rest
values:
  floor: {is: crank_floor(battery_temp), unit: V}
steps:
  rest: {kind: measure, title: Rest voltage, together: true, take: [battery_temp, rest_voltage], by: rest_voltage, bands: [{below: floor, to: flat}, {to: full}]}
findings:
  flat: {title: Flat, action: charge}
  full: {title: Full, action: nothing}
`), 0o600))
	tried, err := readTry(path)
	require.NoError(t, err)
	says, _ := tried.verdict()
	assert.NotContains(t, says, "it cannot be walked")
}
