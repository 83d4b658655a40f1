package vehicle

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

// treeFile is what of a tree file concerns the vehicle.
type treeFile struct {
	Points   []string               `yaml:"points"`
	States   map[string][]string    `yaml:"states"`
	Acts     []string               `yaml:"acts"`
	Sees     []string               `yaml:"sees"`
	Undone   map[string]string      `yaml:"undone"`
	Readings map[string]treeReading `yaml:"readings"`
	Steps    map[string]treeStep    `yaml:"steps"`
	Faults   []struct{ ID string }  `yaml:"faults"`
}

type treeReading struct {
	Like    string            `yaml:"like"`
	Choices []string          `yaml:"choices"`
	YesNo   bool              `yaml:"yes_no"`
	Several bool              `yaml:"several"`
	Probe   map[string]string `yaml:"probe"`
	Clamp   string            `yaml:"clamp"`
	Hold    string            `yaml:"hold"`
	Vehicle map[string]string `yaml:"vehicle"`
	Sees    string            `yaml:"sees"`
}

type treeStep struct {
	Act      string   `yaml:"act"`
	For      string   `yaml:"for"`
	Leaves   []string `yaml:"leaves"`
	Restores []string `yaml:"restores"`
}

func shippedTrees(t *testing.T) map[string]treeFile {
	files := map[string]treeFile{}
	paths, err := filepath.Glob("../../trees/*.yaml")
	require.NoError(t, err)
	for _, path := range paths {
		if strings.HasSuffix(path, ".cases.yaml") {
			continue
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		var f treeFile
		require.NoError(t, yaml.Unmarshal(data, &f), path)
		files[filepath.Base(path)] = f
	}
	require.NotEmpty(t, files)
	return files
}

// Every word of the shipped trees for a point, a state, an act or a thing to look
// at is known here.
func TestTreesWordsAreKnown(t *testing.T) {
	for name, f := range shippedTrees(t) {
		for _, p := range f.Points {
			_, node := points[p]
			_, lead := leads[p]
			assert.True(t, node || lead, "%s: point %q", name, p)
		}
		for _, list := range f.States {
			for _, s := range list {
				assert.True(t, states[s] != nil, "%s: state %q", name, s)
			}
		}
		for _, a := range f.Acts {
			assert.True(t, slices.Contains(Acts(), a), "%s: act %q", name, a)
		}
		for _, s := range f.Sees {
			assert.True(t, things[s] != nil, "%s: thing to look at %q", name, s)
		}
		for u := range f.Undone {
			assert.True(t, undone[u] != nil, "%s: left undone %q", name, u)
		}
		for id, r := range f.Readings {
			for _, s := range r.Vehicle {
				assert.True(t, states[s] != nil, "%s: %s: state %q", name, id, s)
			}
			if r.Sees != "" {
				assert.Contains(t, things, r.Sees, "%s: %s", name, id)
			}
			if r.Clamp != "" {
				assert.True(t, leads[r.Clamp] != nil, "%s: %s: clamp %q", name, id, r.Clamp)
			}
			for _, p := range r.Probe {
				assert.Contains(t, points, p, "%s: %s", name, id)
			}
		}
		for id, s := range f.Steps {
			if s.Act != "" {
				assert.Contains(t, Acts(), s.Act, "%s: %s", name, id)
			}
			if s.For != "" {
				_, err := Seconds(s.For)
				assert.NoError(t, err, "%s: %s", name, id)
			}
			for _, u := range append(s.Leaves, s.Restores...) {
				assert.True(t, undone[u] != nil, "%s: %s: left undone %q", name, id, u)
			}
		}
	}
}

// Every part that can be at fault can be put right.
func TestEveryFaultHasItsRepair(t *testing.T) {
	for _, k := range Kinds() {
		if k.Part == "charge" || k.Part == "nothing" {
			assert.Empty(t, Mends(k.ID), k.ID)
			continue
		}
		name := Mends(k.ID)
		require.NotEmpty(t, name, k.ID)
		v, err := New(Standard("medium petrol"), Fault{k.ID, 0.5})
		require.NoError(t, err)
		require.NoError(t, v.Act(name, ""), k.ID)
		assert.NotContains(t, v.Faults(), k.ID)
	}
}

// Every fault of the list can be hidden in a vehicle, and no others.
func TestFaultsAreThoseOfTheTrees(t *testing.T) {
	var listed, ours []string
	for _, f := range shippedTrees(t)["faults.yaml"].Faults {
		listed = append(listed, f.ID)
	}
	for _, k := range Kinds() {
		ours = append(ours, k.ID)
	}
	assert.ElementsMatch(t, listed, ours)
}

// Whatever is looked at, heard or asked is answered with one of the choices that
// the trees give, whatever the vehicle, and everything that is asked has an answer.
func TestObservationsAreChoicesOfTheTrees(t *testing.T) {
	readings := map[string]treeReading{}
	for _, f := range shippedTrees(t) {
		for id, r := range f.Readings {
			readings[id] = r
		}
	}
	unknown := map[string]bool{}
	for n := range 400 {
		v := Draw(rand.New(rand.NewPCG(3, uint64(n))), AsFound())
		for id, r := range readings {
			for like := r.Like; like != ""; like = readings[like].Like {
				r = readings[like]
			}
			if r.YesNo {
				r.Choices = []string{"yes", "no"}
			}
			got, observed := v.Observe(id)
			_, gauged := v.Gauge(id, Exact())
			switch {
			case r.Several && observed:
				assert.Subset(t, append(r.Choices, "none"), strings.Split(strings.ReplaceAll(got, " and ", ", "), ", "), "reading %q of a vehicle with %v", id, v.faults)
			case len(r.Choices) > 0 && observed:
				assert.Contains(t, r.Choices, got, "reading %q of a vehicle with %v", id, v.faults)
			case len(r.Choices) > 0, len(r.Probe) == 0 && r.Clamp == "" && !gauged:
				unknown[id] = true
			}
		}
		if t.Failed() {
			return
		}
	}
	delete(unknown, "found_flat") // what an earlier round came to, which no vehicle shows
	assert.Empty(t, unknown, "readings without an answer")
}

// Every probe and clamp of a reading can be put where it says, in the state drawn.
func TestProbesOfTheTreesCanBeRead(t *testing.T) {
	v, err := New(Standard("medium petrol"))
	require.NoError(t, err)
	for name, f := range shippedTrees(t) {
		for id, r := range f.Readings {
			if r.Hold == "lowest" || r.Hold == "highest" {
				continue // tested with the transient
			}
			if len(r.Probe) > 0 {
				_, err := v.Read(r.Probe["red"], r.Probe["black"], r.Hold, Exact())
				assert.NoError(t, err, "%s: %s", name, id)
			}
			if r.Clamp != "" {
				_, err := v.Current(r.Clamp, r.Hold, Exact())
				assert.NoError(t, err, "%s: %s", name, id)
			}
		}
	}
}
