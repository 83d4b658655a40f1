package drill

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/journal"
	"deadflat/internal/vehicle"
	"deadflat/trees"
)

var shipped = sync.OnceValue(func() *engine.Library {
	var sources []engine.Source
	for name, text := range trees.All() {
		sources = append(sources, engine.Source{Name: name, Data: text})
	}
	return engine.Open(sources, trees.Index)
})

var workshop = sync.OnceValue(func() *engine.Meter { return engine.FindMeter("workshop") })

func options(level int, family string, seed uint64) Options {
	lib := shipped()
	return Options{Level: level, Family: family, Seed: seed, Library: lib, Tree: lib.Tree("no-start"), Meter: workshop()}
}

func begin(t testing.TB, level int, family string, seed uint64) *Drill {
	d, err := New(options(level, family, seed))
	require.NoError(t, err)
	return d
}

// with gives a drill on a vehicle with one fault of our choice.
func with(t testing.TB, fault string) *Drill {
	d := begin(t, oneFault, "", 1)
	p := vehicle.Standard("medium petrol")
	v, err := vehicle.New(p, vehicle.Fault{ID: fault, Severity: 0.6})
	require.NoError(t, err)
	d.Hidden = []string{fault}
	d.bay = newBay(v, d.Meter, rand.New(rand.NewPCG(1, 2)))
	said, _ := v.Observe("complaint")
	d.start = start{p.Class, said, p.Celsius}
	d.suspects = d.newSuspects()
	return d
}

func do(t testing.TB, d *Drill, line string) string {
	r, err := d.Do(line)
	require.NoError(t, err, line)
	return r.Text
}

func TestLevelsAndFamilies(t *testing.T) {
	t.Parallel()
	for level := 1; level <= len(Levels); level++ {
		d := begin(t, level, "", 3)
		switch {
		case asks(level):
			assert.Len(t, d.Questions, Levels[level-1].questions, "level %d", level)
		case level == clocked:
			assert.Len(t, d.Hidden, 2)
		default:
			assert.Len(t, d.Hidden, 1, "level %d", level)
		}
	}
	for _, f := range Families() {
		d := begin(t, oneFault, f, 9)
		for _, k := range vehicle.Kinds() {
			if k.ID == d.Hidden[0] {
				assert.Equal(t, f, k.Family)
			}
		}
	}
	_, err := New(Options{Level: 8})
	assert.ErrorContains(t, err, "1 to 7")
	_, err = New(options(trapped, "use", 1))
	assert.NoError(t, err)
	_, err = New(options(readAndName, "engine", 1))
	assert.ErrorContains(t, err, "no families")
}

// Every trap can be made, and is what it says.
func TestTraps(t *testing.T) {
	t.Parallel()
	met := map[string]bool{}
	for seed := uint64(0); seed < 200 && len(met) < len(traps); seed++ {
		o := options(trapped, "", seed)
		v, rng, tr, err := o.draw()
		require.NoError(t, err)
		met[tr.name] = true
		assert.Contains(t, tr.faults, v.Faults()[0])
		if tr.wants != nil {
			v.PutInGear(false)
			assert.True(t, tr.wants(newBay(v, engine.FindMeter("calibrated"), rng)), "%s, seed %d", tr.name, seed)
		}
	}
	assert.Len(t, met, len(traps))
}

// Whoever did nothing that sees through the trap is told.
func TestSeeingThrough(t *testing.T) {
	t.Parallel()
	seed := uint64(0)
	for options(trapped, "", seed).trapName() != "AGM" {
		seed++
	}
	d := begin(t, trapped, "", seed)
	do(t, d, "measure + -")
	assert.Contains(t, d.Debrief(), "nothing that you did sees through it")
	do(t, d, "look label")
	assert.NotContains(t, d.Debrief(), "nothing that you did sees through it")
}

func (o Options) trapName() string { return o.pickTrap().name }

// The same lines on the same vehicle show the same.
func TestReplay(t *testing.T) {
	t.Parallel()
	lines := []string{"look battery_case", "measure battery_positive_post battery_negative_post", "neutral", "crank", "trace", "slow", "clamp battery_negative_lead cranking", "charge 2", "load"}
	a, b := begin(t, clocked, "", 4), begin(t, clocked, "", 4)
	for _, l := range lines {
		_, _ = a.Do(l)
	}
	require.NoError(t, b.Replay(lines))
	assert.Equal(t, a.Debrief(), b.Debrief())
	assert.Equal(t, len(lines)-1, len(b.Acts), "a trace that is shown again is no act")
}

func TestRightFinding(t *testing.T) {
	d := with(t, "engine_strap_open")
	for _, l := range []string{"look battery_case", "look battery_inside", "look vehicle", "crank"} {
		do(t, d, l)
	}
	do(t, d, "measure engine_block body cranking")
	act := d.Acts[len(d.Acts)-1]
	assert.Less(t, act.After, act.Before, "the drop over the strap tells something")
	do(t, d, "measure engine_block body cranking")
	act = d.Acts[len(d.Acts)-1]
	assert.Equal(t, act.Before, act.After, "the same once more tells nothing")
	do(t, d, "find engine_strap")
	assert.True(t, d.Done)
	assert.True(t, d.Passed())
	says := d.Debrief()
	assert.True(t, strings.HasPrefix(says, "Safety\n  Nothing was done"), says)
	for _, s := range []string{"You found it, and proved it", "told nothing new", "What would have told more", "The tree's way", "The best order", "of 100, where 100 is the best test each time"} {
		assert.Contains(t, says, s)
	}
}

// A finding by guess is right and not proved, and there is no score for it.
func TestGuess(t *testing.T) {
	d := with(t, "engine_strap_open")
	do(t, d, "find engine_strap")
	assert.True(t, d.Right())
	says := d.Debrief()
	assert.Contains(t, says, "it is not proved")
	assert.Contains(t, says, "No score: the finding is not proved")
}

func TestWrongFinding(t *testing.T) {
	d := with(t, "engine_strap_open")
	_, err := d.Do("repair fit_batery")
	assert.ErrorContains(t, err, `did you mean "fit_battery"`)
	do(t, d, "off negative")
	do(t, d, "repair fit_battery")
	do(t, d, "find battery_worn_out")
	assert.False(t, d.Right())
	says := d.Debrief()
	assert.Contains(t, says, "Your finding names battery worn out with age, and that is not what is wrong.")
	assert.NotContains(t, says, "ruled it out", "nothing was read")
	assert.Contains(t, says, "Done without need: fit battery")
	assert.Contains(t, says, "No score: the finding comes before the way")
}

// A finding that what was read speaks against is told apart from a guess, and half of
// the truth from none of it.
func TestRuledOut(t *testing.T) {
	d := with(t, "engine_strap_open")
	for _, l := range []string{"look battery_case", "look battery_inside", "look vehicle", "measure engine_block body cranking"} {
		do(t, d, l)
	}
	at := slices.IndexFunc(d.suspects, func(s *suspect) bool { return s.cleared })
	do(t, d, "find "+d.suspects[at].fault)
	assert.Contains(t, d.Debrief(), "what you read had ruled it out")
	d = begin(t, clocked, "", 4)
	do(t, d, "find "+d.Hidden[0])
	assert.Contains(t, d.Debrief(), "and that is not all of it.")
}

// What would hurt somebody is stopped, said, and changes nothing.
func TestDangers(t *testing.T) {
	t.Parallel()
	d := with(t, "battery_frozen")
	for _, l := range []string{"charge 8", "load", "boost", "crank", "trace", "measure + - cranking", "measure + - running", "measure + - charger_on", "look start_fuse"} {
		before := d.bay.v.Clock()
		assert.Contains(t, do(t, d, l), "Stopped", l)
		assert.Equal(t, before, d.bay.v.Clock(), l)
	}
	assert.Len(t, d.Dangers, 9)
	assert.Len(t, d.Omitted, 3, "nothing was looked at before")
	assert.Contains(t, d.Debrief(), "No score: safety comes first")

	d = with(t, "start_fuse_blown")
	assert.Contains(t, do(t, d, "off positive"), "Negative first off")
	assert.Contains(t, do(t, d, "repair fit_starter"), "Negative first off")
	for _, l := range []string{"off negative", "off positive", "on positive", "on negative"} {
		do(t, d, l)
	}
	assert.Contains(t, do(t, d, "on positive"), "Stopped")
	assert.Contains(t, do(t, d, "crank 40"), "more than 30 s")
	d.bay.v.PutInGear(true)
	assert.Contains(t, do(t, d, "crank"), "Stopped. Crank: it is in gear")
	do(t, d, "crank")
	says := d.Debrief()
	assert.Contains(t, says, "Stopped 2 times. Crank: it is in gear, and the vehicle would have moved. Neutral or park, brake on and wheels chocked first.")
	assert.Contains(t, says, "Stopped. Off positive: the negative lead is still on")
	assert.Contains(t, says, "Not safe: nobody had looked for ice in the battery before the first crank.")
	assert.NotContains(t, says, "showed: The negative lead is off.")
	do(t, d, "neutral")
	assert.Contains(t, do(t, d, "crank"), "what the engine did: ")
}

func TestNotUnderstood(t *testing.T) {
	d := begin(t, oneFault, "", 1)
	for line, says := range map[string]string{
		"measure + -cranking":               `"-cranking" is no point`,
		"":                                  "help",
		"dance":                             "help",
		"mesure + -":                        `did you mean "measure"`,
		"look":                              "thing is missing",
		"look moon":                         "words things",
		"look battery":                      "battery_case, battery_inside or battery_label",
		"measure":                           "measure RED BLACK",
		"measure battery positive":          "battery_positive_clamp or battery_positive_post",
		"measure + ":                        "point for black is missing",
		"measure body moon":                 "moon",
		"measure body body upside":          "words states",
		"clamp moon":                        "no lead",
		"clamp engine strap lowest":         "no peak hold",
		"charge 0":                          "more than 0",
		"charge x":                          "no amount",
		"charge":                            "charge HOURS",
		"crank -1":                          "0.5 to 600",
		"find nothing_known":                "words findings",
		"find starter and battery_worn_out": "one is expected",
		"hint":                              "level 4",
		"slow":                              "no crank has been recorded",
		"words x":                           "words things",
		"help dance":                        "explained",
		"l":                                 "type a letter more",
		"measure \x1b[2J body":              "is no point",
		"measure " + many("body ", 90):      "is no state",
		many("x", 10_000):                   "too long",
		"off":                               "expected: off negative, or off positive",
		"on roof":                           "expected: on negative, or on positive",
		"off negative positive":             "expected: off negative",
	} {
		if line == "hint" {
			line, says = "tree", "not for level 4"
		}
		_, err := d.Do(line)
		assert.ErrorContains(t, err, says, line)
	}
	assert.Empty(t, d.Acts)
}

func many(s string, n int) string { return strings.Repeat(s, n) }

// What is typed may be cut short and set apart in the ways in which people write.
func TestForgiving(t *testing.T) {
	want := begin(t, oneFault, "", 3)
	do(t, want, "look battery_case")
	do(t, want, "measure starter_case battery_negative_post key_on small_loads")
	for _, lines := range [][2]string{
		{"LOOK Battery Case.", "Measure starter case, battery negative post, key on, small loads"},
		{"loo battery-case", "m starter-case - key_on small_l"},
		{"look  case", "volts starter_ca negative post key_on small"},
	} {
		d := begin(t, oneFault, "", 3)
		for i, l := range lines {
			do(t, d, l)
			assert.Equal(t, want.Acts[i].Showed, d.Acts[i].Showed, l)
		}
	}
}

// The name that others only add to is meant by itself.
func TestStem(t *testing.T) {
	all := []string{"engine_strap", "engine_strap_high_resistance", "engine_strap_open", "starter"}
	w, _, err := phrase([]string{"strap"}, all, "finding", "findings")
	require.NoError(t, err)
	assert.Equal(t, "engine_strap", w)
	_, _, err = phrase([]string{"strap"}, all[1:], "finding", "findings")
	assert.ErrorContains(t, err, "can be engine_strap_high_resistance or engine_strap_open")
}

// A finding may be typed by words of its title, and the longest that is typed counts.
func TestFindByTitle(t *testing.T) {
	t.Parallel()
	for line, named := range map[string]string{
		"find starter brushes":                      "starter_brushes_worn",
		"find engine earth strap":                   "engine_strap_high_resistance",
		"find locked engine":                        "engine_seized",
		"find worn-out battery":                     "battery_worn_out",
		"find resistance in the engine earth strap": "engine_strap_high_resistance",
	} {
		d := begin(t, oneFault, "", 3)
		do(t, d, line)
		assert.Contains(t, d.Named, named, line)
	}
	d := begin(t, clocked, "", 4)
	do(t, d, "find engine earth strap and locked engine")
	assert.Subset(t, d.Named, []string{"engine_strap_high_resistance", "engine_seized"})
	d = begin(t, oneFault, "", 3)
	assert.Contains(t, do(t, d, "words findings"), "engine_seized: engine locked: seized, or liquid in a cylinder\n")
	assert.NotContains(t, do(t, d, "words findings")+"\n", ": \n", "each has a title")
	for _, bad := range []string{"find battery", "find engine earth strap and locked engine", "find high resistance", "find and"} {
		_, err := d.Do(bad)
		assert.Error(t, err, bad)
	}
	assert.Empty(t, d.Named)
}

// A post for jump leads is there where the battery is not under the bonnet: else no
// probe goes there, and the best order of tests does not send anybody to it.
func TestJumpPost(t *testing.T) {
	d := with(t, "starter_brushes_worn")
	require.False(t, d.bay.v.Params().Rear)
	_, err := d.Do("measure + jump_post cranking")
	assert.ErrorContains(t, err, "no point for black")
	for _, c := range d.candidates() {
		assert.NotContains(t, c.line, "jump_post")
	}
	p := d.bay.v.Params()
	p.Rear = true
	v, err := vehicle.New(p)
	require.NoError(t, err)
	assert.Contains(t, newBay(v, d.Meter, rand.New(rand.NewPCG(1, 2))).points(), "jump_post")
}

// What is seen and heard is told in words of people.
func TestToldInWords(t *testing.T) {
	d := with(t, "start_fuse_blown")
	assert.Contains(t, do(t, d, "look vehicle"), "danger at the crank: none")
	assert.Contains(t, do(t, d, "crank"), "silence, and the lamps stay bright")
	assert.Contains(t, do(t, d, "ask"), "nothing is heard, and the lamps stay bright")
	for choice := range inWords {
		assert.NotEqual(t, choice, told(choice))
	}
}

// Every verb is explained, with examples that can be typed.
func TestHelp(t *testing.T) {
	d := with(t, "engine_strap_open")
	all := do(t, d, "help")
	for _, v := range verbs {
		if v.on == nil || v.on(d.Level) {
			assert.Contains(t, all, v.word)
		}
	}
	for _, l := range []string{"look battery_case", "look battery_inside", "neutral", "off negative"} {
		do(t, d, l)
	}
	for _, v := range verbs {
		require.NotEmpty(t, v.examples, v.word)
		if v.on != nil && !v.on(d.Level) {
			continue
		}
		says := do(t, d, "help "+v.word)
		for _, e := range v.examples {
			assert.Contains(t, says, e)
			if strings.Contains(e, " and ") {
				continue // where there are two faults: see TestTwoFaults
			}
			_, err := d.Do(e)
			assert.NoError(t, err, e)
			d.Done = false // find ends it
		}
	}
}

// The tree is shown, and goes on as its tests are done.
func TestTreeShown(t *testing.T) {
	d := begin(t, treeShown, "cables", 2)
	for seed := uint64(3); len(d.way.steps) < 6; seed++ {
		d = begin(t, treeShown, "cables", seed)
	}
	var seen []string
	for range 40 {
		s := d.next()
		if s == nil {
			break
		}
		assert.Contains(t, strings.Join(d.TreeNow(), "\n"), title(s.Step))
		assert.Contains(t, do(t, d, "tree"), title(s.Step))
		if len(seen) == 0 || seen[len(seen)-1] != title(s.Step) {
			seen = append(seen, title(s.Step))
		}
		for _, l := range linesOf(*s) {
			do(t, d, l)
		}
	}
	assert.Nil(t, d.next(), "%v", seen)
	assert.Greater(t, len(seen), 3)
	assert.Empty(t, d.Dangers)
}

// With two faults, a reading that one of them explains does not clear the other.
func TestTwoFaults(t *testing.T) {
	d := begin(t, clocked, "", 4)
	before := len(d.possible())
	assert.Greater(t, before, 4)
	for _, l := range []string{"look battery_case", "look battery_inside", "look vehicle", "crank", "measure + starter_feed_stud cranking", "measure starter_case - cranking"} {
		do(t, d, l)
	}
	for _, f := range d.Hidden {
		for _, s := range d.suspects {
			assert.False(t, s.fault == f && s.cleared, f)
		}
	}
	do(t, d, "find "+strings.Join(d.Hidden, " and "))
	assert.True(t, d.Right())
	assert.Contains(t, d.Debrief(), "You found both")
}

// An engine that spins too easily is not cranked: every crank can bend valves.
func TestNoCrankWhenItSpinsTooEasily(t *testing.T) {
	d := with(t, "engine_no_compression")
	require.Equal(t, tooEasily, d.start.said)
	for _, l := range []string{"look battery_case", "look battery_inside", "look vehicle"} {
		do(t, d, l)
	}
	assert.Empty(t, d.Omitted)
	do(t, d, "crank")
	assert.Contains(t, strings.Join(d.Omitted, " "), "bend valves")
	do(t, d, "find engine_no_compression")
	says := d.Debrief()
	assert.Contains(t, says, "No score: safety comes first")
	assert.NotContains(t, says, "a crank at the battery's posts as the vehicle came in")
}

func TestClock(t *testing.T) {
	t.Parallel()
	d := begin(t, clocked, "", 2)
	do(t, d, "wait 1000")
	assert.False(t, d.Late(), "waiting is no work")
	for range 5 {
		do(t, d, "repair fit_strap")
	}
	assert.True(t, d.Late())
	do(t, d, "find starter")
	assert.Contains(t, d.Debrief(), "The clock of this level allows")
}

// A drill is bounded, so that no file of one keeps a machine busy.
func TestBounds(t *testing.T) {
	t.Parallel()
	d := begin(t, oneFault, "", 3)
	for range 14*24/48 + 1 {
		do(t, d, "wait 2880")
	}
	_, err := d.Do("wait 1")
	assert.ErrorContains(t, err, "long enough")

	d = with(t, "engine_strap_high_resistance")
	for range mostTraces {
		do(t, d, "trace")
	}
	_, err = d.Do("trace")
	assert.ErrorContains(t, err, "no more")
	do(t, d, "find starter")
	assert.True(t, d.Done)
}

// A sheet stands for every level, and says the truth.
func TestSheet(t *testing.T) {
	t.Parallel()
	for level := 1; level <= len(Levels); level++ {
		d := begin(t, level, "", 12)
		says := d.Sheet()
		if !asks(level) {
			assert.Contains(t, says, d.titles(d.Hidden))
		}
		for _, q := range d.Questions {
			assert.Contains(t, says, "The answer: "+q.answer)
		}
		assert.NotContains(t, says, "You:")
		assert.Equal(t, says, begin(t, level, "", 12).Sheet(), "the same for the same seed")
		assert.NotEqual(t, says, begin(t, level, "", 13).Sheet())
	}
}

// A drill that a program wrote before there were checksums still reads.
func TestDecode(t *testing.T) {
	d := begin(t, oneFault, "", 1)
	assert.Equal(t, "deadflat drill", d.Header(time.Time{}).Format)
	head := `{"format":"deadflat drill","version":2,"level":4,"seed":1,"tree":"no-start","hash":"x","meter":"workshop"}` + "\n"
	l, err := Kind.Parse([]byte(head + `{"do":"crank"}` + "\n" + `{"do":"lo`))
	require.NoError(t, err)
	h, typed, err := Decode(l)
	require.NoError(t, err)
	assert.Equal(t, 4, h.Level)
	assert.Equal(t, []Typed{{Do: "crank"}}, typed)
	assert.False(t, l.Summed)
	assert.EqualValues(t, 9, l.Torn)
	for _, bad := range []string{
		"", "x\n", `{"format":"deadflat job","version":1}` + "\n", strings.Replace(head, `"version":2`, `"version":1`, 1),
		strings.Replace(head, `"version":2`, `"version":3`, 1),
		head + "{}\n", head + `{"do":"a","x":1}` + "\n", head + many(`{"do":"slow"}`+"\n", mostLines+2),
	} {
		l, err := Kind.Parse([]byte(bad))
		if err == nil {
			_, _, err = Decode(l)
		}
		assert.Error(t, err, "%.100s", bad)
	}
}

// The drill of testdata was kept by a program of version 2. It opens, its lines can be
// done again, and what is added has the form of its lines.
func TestADrillOfVersion2(t *testing.T) {
	data, err := os.ReadFile("testdata/version-2.drill")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "old.drill")
	require.NoError(t, os.WriteFile(path, data, 0o600))
	f, err := Kind.Open(path, func(l *journal.Lines) error {
		h, typed, err := Decode(l)
		require.NoError(t, err)
		require.Len(t, typed, 5)
		d := begin(t, h.Level, h.Family, h.Seed)
		require.NoError(t, d.Replay(Lines(typed)))
		assert.Len(t, d.Acts, 5)
		return nil
	})
	require.NoError(t, err)
	assert.False(t, f.Summed())
	require.NoError(t, f.Append(Typed{Do: "crank"}))
	require.NoError(t, f.Close())
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(data)+`{"do":"crank"}`+"\n", string(after))
}

// What of the program is not as it was when a drill was begun is named.
func TestChangedSinceADrillWasBegun(t *testing.T) {
	d := begin(t, oneFault, "", 1)
	h := d.Header(time.Time{})
	assert.Empty(t, d.Changed(h))
	other := *d.Meter
	other.Text += "# another edition\n"
	d.Meter = &other
	assert.Equal(t, []string{"meter"}, d.Changed(h))
	h.Hash, h.MeterHash = "sha256:0", "" // as in a file of version 2
	assert.Equal(t, []string{"tree"}, d.Changed(h))
}

// FuzzDo holds that no line upsets a drill, and that what is refused changes
// nothing.
func FuzzDo(f *testing.F) {
	for _, l := range []string{"crank 3", "measure body engine_block cranking lowest", "charge 1e9", "off positive", "find starter", "clamp x y", "wait NaN", "words points", "trace + -", "lamp block -", "1", "4 2"} {
		f.Add(l)
	}
	var drills []*Drill
	for level := 1; level <= len(Levels); level++ {
		d := begin(f, level, "", 1)
		if !asks(level) {
			d.suspects = d.all()[:2] // each line is done on all of their vehicles
		}
		drills = append(drills, d)
	}
	over := begin(f, placeProbes, "", 2)
	over.Done, over.at = true, len(over.Questions)
	drills = append(drills, over)
	f.Fuzz(func(t *testing.T, line string) {
		for _, d := range drills {
			acts, at, over := len(d.Acts), d.at, d.Done
			if over || d.lines == mostLines { // it is refused once, and begun anew
				_, err := d.Do(line)
				require.False(t, over && err == nil, "%q was taken in a drill that is over", line)
				d.Done, d.at, d.lines, d.Minutes, d.Acts, d.traces = false, 0, 0, 0, nil, 0
				continue
			}
			if _, err := d.Do(line); err != nil && (len(d.Acts) != acts || d.at != at) {
				t.Fatalf("%q was refused and noted all the same", line)
			}
		}
	})
}

// A drill that is over takes no line more, and one in its file is an error with its
// place.
func TestNothingIsDoneInADrillThatIsOver(t *testing.T) {
	for level, last := range map[int][]string{placeProbes: slices.Repeat([]string{"+ - key_on"}, 5), oneFault: {"find starter_brushes_worn"}} {
		for _, more := range []string{"words points", "help", "find engine_strap", "1"} {
			d := begin(t, level, "", 1)
			require.NoError(t, d.Replay(last))
			require.True(t, d.Done)
			acts := len(d.Acts)
			_, err := d.Do(more)
			assert.ErrorContains(t, err, "the drill is over")
			assert.Len(t, d.Acts, acts)
			err = begin(t, level, "", 1).Replay(append(last, more))
			assert.ErrorContains(t, err, fmt.Sprintf("line %d, %q, cannot be done again: the drill is over", len(last)+2, more))
		}
	}
}

// A panic while a file is done again is an error with its place.
func TestAPanicInAReplayIsAnError(t *testing.T) {
	d := begin(t, oneFault, "", 1)
	d.bay = nil
	assert.ErrorContains(t, d.Replay([]string{"help", "look battery_case"}), `line 3, "look battery_case", cannot be done again: runtime error`)
}

// FuzzDecode holds that no file upsets the reader, and that what it makes of one can
// be written and read again.
func FuzzDecode(f *testing.F) {
	head := `{"format":"deadflat drill","version":2,"level":4,"seed":1,"tree":"no-start","hash":"x","meter":"workshop"}` + "\n"
	for _, s := range []string{"", head, head + `{"do":"crank"}` + "\n", head + `{"do":"lo`, head + "{}\n", "\n\n", `{"format":"deadflat drill","version":2,"level":-9}` + "\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := Kind.Parse(data)
		if err != nil {
			return
		}
		h, typed, err := Decode(l)
		if err != nil {
			return
		}
		var out bytes.Buffer
		e := json.NewEncoder(&out)
		h.Format, h.Version = Kind.Format(), Kind.Oldest // whatever it was, it is written without checksums
		require.NoError(t, e.Encode(h))
		for _, x := range typed {
			require.NoError(t, e.Encode(x))
		}
		l, err = Kind.Parse(out.Bytes())
		require.NoError(t, err)
		again, typedAgain, err := Decode(l)
		require.NoError(t, err)
		assert.Equal(t, fmt.Sprint(h, typed), fmt.Sprint(again, typedAgain))
	})
}

func TestARatingIsTold(t *testing.T) {
	assert.Equal(t, "rating in A: 660; rating standard: EN", tell(map[string]string{"rating_standard": "EN", "rating": "660"}))
}
