package trial

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
	"deadflat/internal/source"
	"deadflat/internal/vehicle"
	"deadflat/trees"
)

func shipped(t testing.TB) *engine.Library {
	var sources []engine.Source
	for name, text := range trees.All() {
		sources = append(sources, engine.Source{Name: name, Data: text})
	}
	return engine.Open(sources, trees.Index)
}

func options(t testing.TB, vehicles int) Options {
	lib := shipped(t)
	return Options{Tree: lib.Tree("no-start"), Library: lib, Meter: engine.FindMeter("workshop"), Vehicles: vehicles, Seed: 1, Population: AsFound()}
}

func run(t testing.TB, o Options) *Report {
	r, err := Run(context.Background(), o)
	require.NoError(t, err)
	return r
}

// The number of workers does not show in the report.
func TestWorkers(t *testing.T) {
	var first []byte
	for _, workers := range []int{1, 3, 8} {
		o := options(t, 200)
		o.Workers = workers
		b, err := json.Marshal(run(t, o))
		require.NoError(t, err)
		if first == nil {
			first = b
		}
		assert.JSONEq(t, string(first), string(b))
	}
}

// A vehicle has the seed that the report says.
func TestSeedsStandAlone(t *testing.T) {
	o := options(t, 200)
	o.Population.TwoFaults = 1
	r := run(t, o)
	require.NotEmpty(t, r.WorstTwo)
	for _, w := range r.WorstTwo[:min(3, len(r.WorstTwo))] {
		_, c, err := Walk(&o, w.Seed)
		require.NoError(t, err)
		assert.Equal(t, w.Faults, c.Faults)
		assert.Equal(t, w.Rounds, c.Findings)
		assert.NotEqual(t, Right, c.Outcome)
		assert.Equal(t, w.Outcome, c.Outcome)
	}
}

// A walk that does not say why comes to the same as one that does.
func TestQuietWalksComeToTheSame(t *testing.T) {
	o := options(t, 1)
	for seed := range uint64(60) {
		_, quiet, err := Walk(&o, seed)
		require.NoError(t, err)
		m, kit := o.job(seed)
		loud := Case{Seed: seed, Faults: quiet.Faults, Grade: quiet.Grade, Found: make([]bool, len(quiet.Faults)), BatteryBad: quiet.BatteryBad}
		w := engine.NewWalk(o.Tree, o.Meter, kit)
		if err := loud.rounds(w, m); err != nil {
			loud.Unsafe = err.Error()
		}
		loud.repairs(m)
		loud.close()
		require.Equal(t, quiet, loud)
	}
}

// Needless is what was renewed without need: a battery, another part, but not the
// warmth that a battery was brought into.
func TestRepairsWithoutNeed(t *testing.T) {
	c := Case{}
	c.repairs(&mechanic.Mechanic{Mended: []mechanic.Mended{
		{Repair: "thaw"}, {Repair: "fit_strap"}, {Repair: "fit_starter", Needed: true}, {Repair: "fit_strap"}, {Repair: "fit_battery"},
	}})
	assert.Equal(t, []string{"fit_strap", "fit_battery"}, c.Needless)
	assert.True(t, c.BatteryFresh)
	assert.False(t, c.BatteryBad)
	c.repairs(&mechanic.Mechanic{Mended: []mechanic.Mended{{Repair: "fit_battery", Needed: true}}})
	assert.True(t, c.BatteryBad, "ice broke what had only been flat")
}

// The shares fit together.
func TestSums(t *testing.T) {
	r := run(t, options(t, 300))
	assert.LessOrEqual(t, r.Rules[0].Needless.Count, r.Needless.Count, "one measure of good batteries that were replaced")
	of := 0
	for _, row := range r.Faults {
		n := 0
		for _, f := range row.Findings {
			n += f.Count
			assert.LessOrEqual(t, f.Right, f.Count)
		}
		assert.Equal(t, row.Of, n, row.Name)
		of += n
	}
	families := 0
	for _, row := range r.Families {
		families += row.Of
	}
	assert.Equal(t, families, of)
	assert.Positive(t, r.Questions.Mean)
	assert.LessOrEqual(t, r.Questions.Half, r.Questions.Ninety)
	assert.Len(t, r.Rules, 3)
}

// A tree that finds the faults it is made for must not do badly on them, and the
// rules of thumb must do worse on the battery.
func TestNoStartOnCables(t *testing.T) {
	o := options(t, 150)
	o.Population = Bench()
	o.Population.Weights = map[string]float64{"positive_joint_high_resistance": 2, "engine_strap_high_resistance": 2, "battery_discharged": 1}
	o.Population.Seasons = []vehicle.Season{{Weight: 1, Mean: 18}} // no ice that breaks a battery
	o.Population.TwoFaults, o.Population.Healthy = 0, 0
	r := run(t, o)
	assert.Greater(t, float64(r.All.Right)/float64(r.All.Of), 0.9)
	assert.Less(t, r.Rules[0].Needless.Share, r.Rules[1].Needless.Share)
	assert.Zero(t, r.Rules[0].Bad.Of)
}

// Check values: Newcombe, Statistics in Medicine 17, 1998 (81 of 263).
func TestWilson(t *testing.T) {
	s := share(81, 263)
	assert.InDelta(t, 0.2553, s.Low, 1e-4)
	assert.InDelta(t, 0.3662, s.High, 1e-4)
	s = share(48, 50)
	assert.InDelta(t, 0.865, s.Low, 1e-3)
	assert.InDelta(t, 0.989, s.High, 1e-3)
	assert.Equal(t, Share{}, share(0, 0))
	assert.Equal(t, 1.0, share(50, 50).High)
}

func TestNames(t *testing.T) {
	flat := &engine.Finding{Faults: []string{"battery_discharged", "key_off_draw"}, Then: &engine.Then{First: engine.FirstCause}}
	assert.True(t, names(flat, "battery_discharged"))
	assert.True(t, names(flat, "surface_charge"))
	assert.False(t, names(flat, "key_off_draw"), "its cause is still to be found")
	draw := &engine.Finding{Faults: []string{"key_off_draw"}, Then: &engine.Then{First: engine.FirstRepair}}
	assert.True(t, names(draw, "key_off_draw"))
	assert.False(t, names(draw, "belt_slips"))
	fled := &engine.Finding{Faults: []string{"post_joint_intermittent", "operator"}, Then: &engine.Then{First: engine.FirstTest}}
	assert.False(t, names(fled, "post_joint_intermittent"), "it is still to be caught")
	assert.True(t, names(fled, "operator"))
}

func TestPopulation(t *testing.T) {
	f := &source.Faults{}
	read := func(text string) *Population {
		return ReadPopulation("p.yaml", []byte(text), []string{"clamp", "charger"}, f)
	}
	p := read("faults: {belt_slips: 2}\nclasses: {small diesel: 1}\nhealthy: 0.5\nseverity: {from: 0.2, to: 0.4}\nseasons: [{weight: 1, mean: -5, spread: 2}]\nslips: {misheard: 0.5}\nmissing: {clamp: 1, thermometer: 1}\nout_of_reach: {starter_case: 1, start_fuse: 0.5}\n")
	require.True(t, f.Empty())
	assert.Equal(t, map[string]float64{"belt_slips": 2}, p.Weights)
	assert.Equal(t, 0.5, p.Healthy)
	assert.Equal(t, [2]float64{0.2, 0.4}, p.Severity)
	assert.Equal(t, []vehicle.Season{{Weight: 1, Mean: -5, Spread: 2}}, p.Seasons)
	assert.Equal(t, mechanic.People{Slips: map[string]float64{"misheard": 0.5}, Missing: map[string]float64{"clamp": 1, "thermometer": 1}, Blocked: map[string]float64{"starter_case": 1, "start_fuse": 0.5}}, p.People)
	assert.Equal(t, AsFound().Wear, p.Wear)
	bare := read("set: bench\n")
	bare.Name = Bench().Name
	assert.Equal(t, Bench(), *bare)
	for text, says := range map[string]string{
		"faults: {belt: 1}\n":             "belt",
		"healthy: 2\n":                    "from 0 to 1",
		"faults: {belt_slips: 0}\n":       "at least one weight",
		"helthy: 1\n":                     "helthy",
		"set: yard\n":                     "as found",
		"slips: {deaf: 1}\n":              "deaf",
		"slips: {misheard: 2}\n":          "from 0 to 1",
		"missing: {crane: 1}\n":           "crane",
		"out_of_reach: {the_moon: 0.1}\n": "the_moon",
	} {
		f = &source.Faults{}
		assert.Nil(t, read(text), text)
		var b bytes.Buffer
		f.Print(&b)
		assert.Contains(t, b.String(), says)
	}
}

// People and vehicles come from sources of their own: whoever is at it, and with
// whatever, a seed has the same vehicle.
func TestPeopleAndVehiclesAreDrawnApart(t *testing.T) {
	o := options(t, 1)
	other := o
	other.Population.People = mechanic.People{}
	kits := map[int]bool{}
	for seed := range uint64(30) {
		a, kit := o.job(seed)
		b, all := other.job(seed)
		assert.Equal(t, a.Vehicle.Params(), b.Vehicle.Params())
		assert.ElementsMatch(t, o.Equipment(), all.Has)
		kits[len(kit.Has)] = true
	}
	assert.Greater(t, len(kits), 3)
	o.Kit.Has = []string{"clamp"}
	for seed := range uint64(10) {
		_, kit := o.job(seed)
		assert.Subset(t, []string{"clamp"}, kit.Has, "what is not in the kit is not found")
	}
}

// Every form says that the numbers are guesses, and the page is well formed.
func TestForms(t *testing.T) {
	r := run(t, options(t, 120))
	var text, page bytes.Buffer
	require.NoError(t, r.Text(&text))
	require.NoError(t, r.HTML(&page))
	assert.Contains(t, strings.Join(strings.Fields(text.String()), " "), guess)
	assert.Contains(t, page.String(), guess)
	assert.Contains(t, page.String(), "brown: it does not", "both colours are explained")
	assert.Regexp(t, `@media print\{.*\.wide\{overflow:visible\}\.matrix\{font-size:6px\}`, page.String(), "the whole table is printed")
	for _, l := range strings.Split(text.String(), "\n") {
		assert.LessOrEqual(t, len(l), columns, l)
	}
	assert.NotContains(t, page.String(), "NaN")
	for at := strings.Index(page.String(), "<svg"); at >= 0; {
		rest := page.String()[at:]
		end := strings.Index(rest, "</svg>")
		d := xml.NewDecoder(strings.NewReader(rest[:end+6]))
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else {
				require.NoError(t, err)
			}
		}
		next := strings.Index(rest[1:], "<svg")
		if next < 0 {
			break
		}
		at += next + 1
	}
}

func TestStops(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err := Run(ctx, options(t, 1000))
	assert.ErrorIs(t, err, context.Canceled)
}

// BenchmarkTrial is a whole job: draw, walk over its rounds, rules of thumb.
func BenchmarkTrial(b *testing.B) {
	o := options(b, 1)
	for n := range b.N {
		_, err := o.try(uint64(n))
		require.NoError(b, err)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "vehicles/s")
}
