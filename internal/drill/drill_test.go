package drill

import (
	"io/fs"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
	"deadflat/trees"
)

func shipped(t testing.TB) *engine.Library {
	var sources []engine.Source
	names, err := fs.Glob(trees.FS, "*.yaml")
	require.NoError(t, err)
	for _, n := range names {
		if strings.HasSuffix(n, ".cases.yaml") {
			continue
		}
		data, err := fs.ReadFile(trees.FS, n)
		require.NoError(t, err)
		sources = append(sources, engine.Source{Name: n, Data: data})
	}
	return engine.Open(sources)
}

func begin(t testing.TB, level int, family string, seed uint64) *Drill {
	lib := shipped(t)
	d, err := New(Options{Level: level, Family: family, Seed: seed, Library: lib, Tree: lib.Tree("no-start"), Meter: engine.FindMeter("workshop")})
	require.NoError(t, err)
	return d
}

// with gives a drill on a vehicle with one fault of our choice.
func with(t testing.TB, fault string) *Drill {
	d := begin(t, 4, "", 1)
	v, err := d.at.v.Twin(vehicle.Fault{ID: fault, Severity: 0.3})
	require.NoError(t, err)
	d.Hidden = []string{fault}
	d.at = newBench(v, d.Meter, rand.New(rand.NewPCG(1, 2)))
	v.PutInGear(false)
	return d
}

func do(t testing.TB, d *Drill, line string) string {
	shows, err := d.Do(line)
	require.NoError(t, err, line)
	return shows
}

func TestLevelsAndFamilies(t *testing.T) {
	for level := range len(Levels) {
		d := begin(t, level+1, "", 3)
		most := 1
		if level+1 >= clocked {
			most = 2
		}
		assert.Len(t, d.Hidden, most, "level %d", level+1)
	}
	for _, f := range Families() {
		d := begin(t, 4, f, 9)
		for _, k := range vehicle.Kinds() {
			if k.ID == d.Hidden[0] {
				assert.Equal(t, f, k.Family)
			}
		}
	}
	_, err := New(Options{Level: 8})
	assert.ErrorContains(t, err, "1 to 7")
	_, err = New(Options{Level: 1, Family: "engine"})
	assert.ErrorContains(t, err, "take another level")
}

// The same lines on the same vehicle show the same.
func TestReplay(t *testing.T) {
	lines := []string{"look battery_case", "measure battery_positive_post battery_negative_post", "neutral", "crank", "clamp battery_negative_lead cranking", "charge 2", "load"}
	a, b := begin(t, 6, "", 4), begin(t, 6, "", 4)
	for _, l := range lines {
		_, _ = a.Do(l)
	}
	require.NoError(t, b.Replay(lines))
	assert.Equal(t, a.Acts, b.Acts)
	assert.Equal(t, a.Debrief(), b.Debrief())
}

func TestRightFinding(t *testing.T) {
	d := with(t, "engine_strap_open")
	for _, l := range []string{"look battery_case", "look battery_inside", "look vehicle", "crank"} {
		do(t, d, l)
	}
	do(t, d, "measure engine_block body cranking")
	last := d.Acts[len(d.Acts)-1]
	assert.Less(t, last.After, last.Before, "the drop over the strap tells something")
	do(t, d, "measure engine_block body cranking")
	last = d.Acts[len(d.Acts)-1]
	assert.Equal(t, last.Before, last.After, "the same once more tells nothing")
	do(t, d, "find engine_strap")
	assert.True(t, d.Done)
	assert.True(t, d.Right())
	says := d.Debrief()
	assert.True(t, strings.HasPrefix(says, "Safety\n  Nothing was done"), says)
	assert.Contains(t, says, "You found it.")
	assert.Contains(t, says, "told nothing new")
}

func TestWrongFinding(t *testing.T) {
	d := with(t, "engine_strap_open")
	_, err := d.Do("repair fit_batery")
	assert.ErrorContains(t, err, `did you mean "fit_battery"`)
	do(t, d, "off negative")
	do(t, d, "repair fit_battery")
	do(t, d, "find battery_worn_out")
	assert.False(t, d.Right())
	assert.Contains(t, d.Debrief(), "Renewed without need: fit_battery")
}

// What would hurt somebody is stopped, said, and changes nothing.
func TestDangers(t *testing.T) {
	d := with(t, "battery_frozen")
	for _, l := range []string{"charge 8", "load", "boost", "crank", "measure battery_positive_post battery_negative_post cranking"} {
		before := d.at.v.Clock()
		assert.Contains(t, do(t, d, l), "Stopped", l)
		assert.Equal(t, before, d.at.v.Clock(), l)
	}
	assert.Len(t, d.Dangers, 5)
	assert.Len(t, d.Omitted, 3, "nothing was looked at before")

	d = with(t, "start_fuse_blown")
	assert.Contains(t, do(t, d, "off positive"), "Negative first off")
	assert.Contains(t, do(t, d, "repair fit_starter"), "Negative first off")
	do(t, d, "off negative")
	do(t, d, "off positive")
	do(t, d, "on positive")
	do(t, d, "on negative")
	assert.Contains(t, do(t, d, "on positive"), "Stopped")
	assert.Contains(t, do(t, d, "crank 40"), "more than 30 s")
	d.at.v.PutInGear(true)
	assert.Contains(t, do(t, d, "crank"), "in gear")
	do(t, d, "neutral")
	assert.Contains(t, do(t, d, "crank"), "engine turned")
}

func TestNotUnderstood(t *testing.T) {
	d := begin(t, 4, "", 1)
	for line, says := range map[string]string{
		"":                              "help",
		"dance":                         "help",
		"look":                          "look THING",
		"look moon":                     "words things",
		"measure battery_positive_post": "measure RED BLACK",
		"measure body moon":             "moon",
		"measure body body upside":      "words states",
		"clamp moon":                    "no lead",
		"charge 0":                      "more than 0",
		"charge x":                      "no amount",
		"crank -1":                      "0.5 to 600",
		"find nothing_known":            "words findings",
		"hint":                          "no hints",
		"words x":                       "things",
	} {
		_, err := d.Do(line)
		assert.ErrorContains(t, err, says, line)
	}
	assert.Empty(t, d.Acts)
}

func TestHintsFollowTheTree(t *testing.T) {
	d := begin(t, 3, "", 2)
	assert.Contains(t, do(t, d, "hint"), d.way.steps[0])
}

func TestSheet(t *testing.T) {
	d := begin(t, 4, "control", 12)
	assert.Contains(t, d.Sheet(), d.titles(d.Hidden))
	assert.NotContains(t, d.Sheet(), "You:")
}

func TestParse(t *testing.T) {
	d := begin(t, 4, "", 1)
	head := `{"format":"deadflat drill","version":1,"level":4,"seed":1,"tree":"no-start","hash":"x","meter":"workshop"}` + "\n"
	h, lines, whole, err := Parse([]byte(head + `{"do":"crank"}` + "\n" + `{"do":"lo`))
	require.NoError(t, err)
	assert.Equal(t, 4, h.Level)
	assert.Equal(t, []string{"crank"}, lines)
	assert.Equal(t, len(head)+15, whole)
	assert.Equal(t, Format, d.Header().Format)
	for _, bad := range []string{"", "x\n", `{"format":"deadflat job","version":1}` + "\n", strings.Replace(head, `"version":1`, `"version":2`, 1), head + "{}\n", head + `{"do":"a","x":1}` + "\n"} {
		_, _, _, err := Parse([]byte(bad))
		assert.ErrorIs(t, err, ErrNotDrill, bad)
	}
}

// FuzzDo holds that no line upsets a drill, and that what is refused changes
// nothing.
func FuzzDo(f *testing.F) {
	for _, l := range []string{"crank 3", "measure body engine_block cranking lowest", "charge 1e9", "off positive", "find starter", "clamp x y", "wait NaN", "words points"} {
		f.Add(l)
	}
	d := begin(f, 4, "", 1)
	f.Fuzz(func(t *testing.T, line string) {
		acts := len(d.Acts)
		if _, err := d.Do(line); err != nil && len(d.Acts) != acts {
			t.Fatalf("%q was refused and noted all the same", line)
		}
	})
}
