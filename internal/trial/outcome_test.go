package trial

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadflat/internal/engine"
)

// What a job came to goes by the first finding that leads to work.
func TestOutcome(t *testing.T) {
	repair := func(faults ...string) *engine.Finding {
		return &engine.Finding{Faults: faults, Then: &engine.Then{First: engine.FirstRepair}}
	}
	test := func(faults ...string) *engine.Finding {
		return &engine.Finding{Faults: faults, Then: &engine.Then{First: engine.FirstTest}}
	}
	proved := &engine.Finding{}
	book := &engine.Finding{Then: &engine.Then{First: engine.FirstCharge}}
	flat := &engine.Finding{Faults: []string{"battery_discharged", "user_left_on", "key_off_draw"}, Then: &engine.Then{First: engine.FirstCause}}
	for _, x := range []struct {
		name   string
		hidden []string
		says   []*engine.Finding
		want   Outcome
	}{
		{"named", []string{"belt_slips"}, []*engine.Finding{repair("belt_slips"), proved}, Right},
		{"wrong first, right later", []string{"belt_slips"}, []*engine.Finding{repair("engine_stiff"), repair("belt_slips"), proved}, Wrong},
		{"another fault of the same part", []string{"starter_brushes_worn"}, []*engine.Finding{repair("solenoid_contact_burnt"), proved}, SameRepair},
		{"a test comes first", []string{"belt_slips"}, []*engine.Finding{test("belt_slips"), repair("belt_slips")}, Right},
		{"only suspected", []string{"belt_slips"}, []*engine.Finding{test("belt_slips"), test("belt_slips")}, Open},
		{"charged, then the cause", []string{"key_off_draw"}, []*engine.Finding{flat, repair("key_off_draw")}, Right},
		{"charged, then the wrong cause", []string{"key_off_draw"}, []*engine.Finding{flat, repair("belt_slips")}, Wrong},
		{"flat", []string{"user_left_on"}, []*engine.Finding{flat, repair("belt_slips")}, Right},
		{"called good", []string{"battery_worn_out"}, []*engine.Finding{flat, proved}, Missed},
		{"not judged", []string{"battery_worn_out"}, []*engine.Finding{book, book}, Open},
		{"a battery that only a charge was wanted for", []string{"battery_discharged"}, []*engine.Finding{repair("battery_worn_out", "battery_discharged")}, Wrong},
		{"thawed in vain", []string{"battery_discharged"}, []*engine.Finding{repair("battery_frozen"), flat}, Right},
		{"one of two", []string{"belt_slips", "engine_stiff"}, []*engine.Finding{repair("engine_stiff"), repair("belt_slips")}, Right},
		{"nothing wrong, nothing done", nil, []*engine.Finding{test("belt_slips"), proved}, Right},
		{"nothing wrong, not judged", nil, []*engine.Finding{book}, Right},
		{"nothing wrong, a part renewed", nil, []*engine.Finding{repair("belt_slips"), proved}, Wrong},
		{"as it should charge", []string{"smart_charging"}, []*engine.Finding{proved}, Right},
		{"it starts again", []string{"operator"}, []*engine.Finding{flat, proved}, Right},
		{"the customer's slip", []string{"operator"}, []*engine.Finding{repair("immobiliser_lock", "operator")}, Right},
	} {
		c := Case{Faults: x.hidden, Found: make([]bool, len(x.hidden))}
		for _, f := range x.says {
			c.note(&engine.Result{Finding: f, Certainty: engine.Firm}, x.hidden)
		}
		c.close()
		assert.Equal(t, x.want, c.Outcome, x.name)
	}
	c := Case{Faults: []string{"battery_discharged"}, Found: []bool{false}}
	c.note(&engine.Result{Finding: repair("battery_broken_link")}, []string{"battery_discharged", "battery_broken_link"})
	assert.Equal(t, Right, c.Outcome, "ice broke what had only been flat")
	c = Case{Unsafe: "step"}
	c.close()
	assert.Equal(t, Unsafe, c.Outcome)
	c = Case{Stuck: "step"}
	c.close()
	assert.Equal(t, Stuck, c.Outcome)
}

// Every vehicle comes to one thing, and the parts of a score sum to all of it.
func TestScores(t *testing.T) {
	r := run(t, options(t, 300))
	for name, s := range map[string]Score{"all": r.All, "one": r.One, "two": r.Two, "none": r.None} {
		assert.Equal(t, s.Of, s.Right+s.SameRepair+s.Open+s.Missed+s.Wrong+s.Unsafe+s.Stuck, name)
		assert.LessOrEqual(t, s.WrongFirm, s.Wrong, name)
	}
	assert.Equal(t, 300, r.All.Of)
	assert.Equal(t, r.All.Of, r.One.Of+r.Two.Of+r.None.Of)
	of := Score{}
	for _, row := range r.Severity {
		of.Of += row.Of
		of.Right += row.Right
	}
	assert.Equal(t, r.One.Of, of.Of)
	assert.Equal(t, r.One.Right, of.Right)
}

// A case says how long it took to the finding that counts, not to the end of the job.
func TestCountsToTheFindingThatCounts(t *testing.T) {
	o := options(t, 1)
	o.Population.Weights = map[string]float64{"start_fuse_blown": 1}
	o.Population.TwoFaults, o.Population.Healthy = 0, 0
	for seed := range uint64(20) {
		w, c, err := Walk(&o, seed)
		assert.NoError(t, err)
		if c.Outcome != Right || len(c.Findings) < 2 {
			continue
		}
		answers := 0
		for _, ev := range w.Events() {
			if ev.Do == engine.DoAnswer {
				answers++
			}
		}
		assert.Less(t, c.Questions, answers)
		assert.Positive(t, c.Questions)
		assert.LessOrEqual(t, c.Charging, c.Minutes)
		return
	}
	t.Fatal("no vehicle came to more than one round")
}

// Each cause that a skilled person's way is told of is a fault of the model.
func TestSkilled(t *testing.T) {
	for _, s := range skilled {
		assert.Contains(t, kinds, s.fault)
	}
	o := options(t, 60)
	o.Population.Weights = map[string]float64{"start_fuse_blown": 1, "start_relay_contact_bad": 1}
	o.Population.TwoFaults = 0
	r := run(t, o)
	assert.Len(t, r.Skilled, 1, "of what came up")
	assert.Equal(t, "start relay", r.Skilled[0].Cause)
	assert.Equal(t, 4.0, r.Skilled[0].Skilled.Answers)
	assert.Greater(t, r.Skilled[0].Tree.Answers, 1.0)
}
