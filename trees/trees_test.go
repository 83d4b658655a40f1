package trees

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
)

// worked is one worked case: what is read on the vehicle, and what must come out.
//
// A reading is keyed by its name, which serves the first time it is asked for,
// or by "step.name", which serves at that step. "step.done" acknowledges a step,
// "step.unable" says why it could not be done. An optional reading that is not
// given is skipped. What the file says under `usual` stands in for everything
// that a case does not mention.
type worked struct {
	Case      string            `yaml:"case"`
	From      string            `yaml:"from"`
	Meter     string            `yaml:"meter"`
	Without   []string          `yaml:"without"` // equipment that is not there
	Readings  map[string]string `yaml:"readings"`
	Finding   string            `yaml:"finding"`
	Certainty string            `yaml:"certainty"`
	Way       []string          `yaml:"way"`   // the steps that asked something
	Forms     int               `yaml:"forms"` // no more forms than this
	Clears    []string          `yaml:"clears"`
	AsksNot   []string          `yaml:"asks_not"` // readings that must not be asked for
}

type caseFile struct {
	Cases string            `yaml:"cases"`
	Usual map[string]string `yaml:"usual"`
	List  []worked          `yaml:"list"`
}

// load reads every shipped tree and fails on any fault.
func load(t testing.TB) *engine.Library {
	t.Helper()
	var sources []engine.Source
	for _, name := range files(t) {
		if !strings.HasSuffix(name, ".cases.yaml") {
			data, err := fs.ReadFile(built, name)
			require.NoError(t, err)
			sources = append(sources, engine.Source{Name: "trees/" + name, Data: data})
		}
	}
	lib, faults := engine.Load(sources)
	var b bytes.Buffer
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return lib
}

func files(t testing.TB) []string {
	t.Helper()
	entries, err := fs.ReadDir(built, ".")
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// cases reads the worked cases of one file, strictly.
func cases(t testing.TB, name string) caseFile {
	t.Helper()
	data, err := fs.ReadFile(built, name)
	require.NoError(t, err)
	var f caseFile
	dec := yaml.NewDecoder(bytes.NewReader(data))
	dec.KnownFields(true)
	require.NoError(t, dec.Decode(&f), name)
	return f
}

func TestTreesLoad(t *testing.T) {
	lib := load(t)
	var names []string
	for _, tree := range lib.Trees() {
		names = append(names, tree.Name)
	}
	assert.Equal(t, []string{"boot-battery", "charging-system", "check-fitting", "choose-battery", "final-proof", "fit-battery", "intermittent", "jump-start", "key-off-draw", "no-start", "recharge", "two-batteries", "why-flat"}, names)
}

// TestCases walks every worked case, and then asks whether every branch of every
// step, every hazard rule and every finding was come to by one of them.
func TestCases(t *testing.T) {
	lib := load(t)
	seen := newCoverage()
	for _, name := range files(t) {
		if !strings.HasSuffix(name, ".cases.yaml") {
			continue
		}
		f := cases(t, name)
		tree := lib.Tree(f.Cases)
		require.NotNil(t, tree, "%s: there is no tree %q", name, f.Cases)
		titles := map[string]bool{}
		for _, c := range f.List {
			assert.False(t, titles[c.Case], "%s: two cases are called %q", name, c.Case)
			titles[c.Case] = true
			t.Run(f.Cases+"/"+c.Case, func(t *testing.T) { run(t, tree, f, c, seen) })
		}
	}
	for finding, forms := range seen.forms {
		assert.LessOrEqual(t, forms, budget(finding), "the shortest case that ends in %q", finding)
	}
	for _, tree := range lib.Trees() {
		for _, missing := range seen.missing(tree) {
			t.Errorf("no worked case comes to this: %s", missing)
		}
	}
}

// budget is how many forms the quickest way to a finding may take: what is in
// order is found to be so after 7 or fewer, any other finding stands after 10.
func budget(finding string) int {
	switch finding {
	case "cranks_no_fire", "no_fault_found", "intermittent", "charging_good", "draw_in_order", "feed_good", "chosen", "not_reproduced":
		return 7
	}
	return 10
}

// TestFindingsSayWhatToDo: a finding says what to do, what the owner is told and
// what stays open; one that names a fault says what reading proves the repair.
func TestFindingsSayWhatToDo(t *testing.T) {
	for _, tree := range load(t).Trees() {
		for _, f := range tree.Findings {
			name := tree.Name + "/" + f.ID
			assert.NotEmpty(t, f.Remedy.Raw(), "%s: what to do", name)
			assert.NotEmpty(t, f.Customer.Raw(), "%s: what the owner is told", name)
			assert.NotEmpty(t, f.Open.Raw(), "%s: what stays open", name)
			if len(f.Faults) > 0 && !f.Stop {
				assert.NotEmpty(t, f.ProveBy, "%s: what proves the repair", name)
			}
		}
	}
}

// TestCautionsBeforeHazards: whatever is charged, loaded, jumped, fitted or
// started, and whatever is read beside a running engine, is cautioned of first.
func TestCautionsBeforeHazards(t *testing.T) {
	for _, tree := range load(t).Trees() {
		for _, st := range tree.Steps {
			hazardous := st.Act != "" && st.Act != "all_off" && st.Act != "lamps_on" && st.Act != "lamps_then_ignition"
			for _, r := range st.Take {
				hazardous = hazardous || slices.Contains([]string{"idling", "revving", "running"}, r.Vehicle["engine"])
			}
			if hazardous {
				assert.NotEmpty(t, st.Cautions, "%s/%s", tree.Name, st.ID)
			}
		}
	}
}

// run walks one case and holds the outcome against it.
func run(t *testing.T, tree *engine.Tree, f caseFile, c worked, seen *coverage) {
	require.NotEmpty(t, c.From, "a case says where it comes from")
	meter := engine.FindMeter(c.Meter)
	require.NotNil(t, meter, "meter %q", c.Meter)
	a := newAnswerer(t, tree, f.Usual, c, engine.NewWalk(tree, meter, kitWithout(tree, c.Without)))
	result := a.walk()
	if result == nil {
		return
	}
	record := a.w.Record()
	assert.Equal(t, c.Finding, result.Finding.ID, "finding\n%s", told(record))
	if c.Certainty != "" {
		assert.Equal(t, c.Certainty, string(result.Certainty), "certainty\n%s", told(record))
	}
	if c.Way != nil {
		assert.Equal(t, c.Way, a.way, "way")
	}
	if c.Forms > 0 {
		assert.LessOrEqual(t, len(a.way), c.Forms, "forms: %s", strings.Join(a.way, ", "))
	}
	for _, id := range c.Clears {
		assert.True(t, slices.ContainsFunc(result.Cleared, func(x *engine.Finding) bool { return x.ID == id }), "%s is cleared", id)
	}
	for name := range c.Readings {
		assert.True(t, a.used[name], "%q is given and never asked for (way: %s)", name, strings.Join(a.way, ", "))
	}
	for _, name := range c.AsksNot {
		assert.False(t, a.asked[name], "%q is asked for", name)
	}
	seen.note(record, len(a.way))
}

// kitWithout is everything a tree can ask for, but for what is not there.
func kitWithout(tree *engine.Tree, without []string) engine.Kit {
	kit := engine.Kit{Has: []string{}}
	for _, word := range tree.Words.Equipment {
		if !slices.Contains(without, word) {
			kit.Has = append(kit.Has, word)
		}
	}
	return kit
}

// answerer answers a walk out of a case.
type answerer struct {
	t     *testing.T
	tree  *engine.Tree
	usual map[string]string
	c     worked
	w     *engine.Walk
	used  map[string]bool // names of the case that were used
	asked map[string]bool // readings that were asked for
	way   []string        // a form each: the step it belongs to, hazard pages marked
}

func newAnswerer(t *testing.T, tree *engine.Tree, usual map[string]string, c worked, w *engine.Walk) *answerer {
	return &answerer{t: t, tree: tree, usual: usual, c: c, w: w, used: map[string]bool{}, asked: map[string]bool{}}
}

// walk goes on to the end of the round; nil after a failure.
func (a *answerer) walk() *engine.Result {
	for range 200 {
		p := a.w.Next()
		switch {
		case p.Result != nil:
			return p.Result
		case p.Stuck != "":
			a.t.Errorf("stuck: %s\n%s", p.Stuck, told(a.w.Record()))
			return nil
		}
		a.form(p)
		if !a.answer(p) {
			return nil
		}
	}
	a.t.Error("the walk does not end")
	return nil
}

// form counts the page that is asked now.
func (a *answerer) form(p *engine.Prompt) {
	name := p.Step.ID
	if p.Gate != nil {
		name = "hazards before " + name
	}
	if len(a.way) == 0 || a.way[len(a.way)-1] != name {
		a.way = append(a.way, name)
	}
}

// answer gives one answer to what is asked.
func (a *answerer) answer(p *engine.Prompt) bool {
	step := path.Base(p.Step.ID)
	if why, ok := a.c.Readings[step+".unable"]; ok && p.Gate == nil {
		a.used[step+".unable"] = true
		return a.send(engine.Event{Do: engine.DoUnable, Step: p.Step.ID, Text: why})
	}
	if p.Ack {
		if _, ok := a.c.Readings[step+".done"]; !ok {
			a.t.Errorf("step %q wants to be done, and the case says nothing of it", p.Step.ID)
			return false
		}
		a.used[step+".done"] = true
		return a.send(engine.Event{Do: engine.DoDone, Step: p.Step.ID})
	}
	field := p.Fields[0]
	r := field.Reading
	a.asked[r.ID] = true
	typed, ok := a.find(step, r.ID)
	switch {
	case ok:
	case field.Optional:
		return a.send(engine.Event{Do: engine.DoSkip, Step: p.Step.ID, Reading: r.ID})
	default:
		a.t.Errorf("step %q asks for %q, and the case does not give it\n%s", p.Step.ID, r.ID, told(a.w.Record()))
		return false
	}
	answer, refusal := r.Parse(typed, a.w.Meter())
	if refusal != nil {
		a.t.Errorf("%s: %q is refused: %s", r.ID, typed, refusal.Reason)
		return false
	}
	answer.Sure = true
	return a.send(engine.Event{Do: engine.DoAnswer, Step: p.Step.ID, Reading: r.ID, Answer: &answer})
}

// find looks for the value of a reading at a step: the step's own, the bare name
// once, then what is usual.
func (a *answerer) find(step, reading string) (string, bool) {
	if v, ok := a.c.Readings[step+"."+reading]; ok {
		a.used[step+"."+reading] = true
		return v, true
	}
	if v, ok := a.c.Readings[reading]; ok && !a.used[reading] {
		a.used[reading] = true
		return v, true
	}
	v, ok := a.usual[reading]
	return v, ok
}

var begun = time.Date(2026, time.March, 3, 8, 0, 0, 0, time.UTC)

func (a *answerer) send(ev engine.Event) bool {
	ev.At = begun.Add(time.Duration(len(a.w.Events())) * time.Second)
	out, err := a.w.Answer(ev)
	if err != nil {
		a.t.Errorf("%v", err)
		return false
	}
	if out.Refused != nil {
		a.t.Errorf("%s at %s is refused: %s %s", ev.Reading, ev.Step, out.Refused.Reason, out.Refused.Odd)
		return false
	}
	return true
}

// told is the walk in short, for a failure's message.
func told(r *engine.Record) string {
	var b strings.Builder
	for _, v := range r.Rounds[0].Steps {
		fmt.Fprintf(&b, "  %s: %s [%s]\n", v.Step.ID, v.Explanation.Claim, v.Explanation.Sure)
	}
	return b.String()
}

// coverage notes which branches and findings the cases came to, and in how few forms. A branch is told
// by its place in the file and by where it leads, so that a sub-tree need not be
// walked anew wherever it is laid in, but each way out of it must be.
type coverage struct {
	keys  map[string]bool
	forms map[string]int // fewest forms by finding
}

func newCoverage() *coverage { return &coverage{map[string]bool{}, map[string]int{}} }

func branchKey(st *engine.Step, b *engine.Branch) string {
	to := "nowhere"
	switch {
	case b.To.Finding != nil:
		to = "finding " + b.To.Finding.ID
	case b.To.Step != nil:
		to = "step " + path.Base(b.To.Step.ID)
	}
	return fmt.Sprintf("%s:%d step %q, %q to %s", b.Place.File, b.Place.Line, path.Base(st.ID), b.Text, to)
}

func ruleKey(r *engine.Rule) string {
	return fmt.Sprintf("%s:%d hazard rule %q", r.Place.File, r.Place.Line, r.ID)
}

func findingKey(f *engine.Finding) string {
	return fmt.Sprintf("%s:%d finding %q", f.Place.File, f.Place.Line, f.ID)
}

func (c *coverage) note(record *engine.Record, forms int) {
	for _, round := range record.Rounds {
		for _, v := range round.Steps {
			c.keys[branchKey(v.Step, v.Explanation.Branch)] = true
			for _, r := range round.Tree.Before {
				if r.Place == v.Explanation.Branch.Place {
					c.keys[ruleKey(r)] = true
				}
			}
		}
		if round.Result != nil {
			id := round.Result.Finding.ID
			c.keys[findingKey(round.Result.Finding)] = true
			if least, ok := c.forms[id]; !ok || forms < least {
				c.forms[id] = forms
			}
		}
	}
}

func (c *coverage) missing(tree *engine.Tree) []string {
	var out []string
	need := func(key string) {
		if !c.keys[key] && !slices.Contains(out, key) {
			out = append(out, key)
		}
	}
	for _, st := range tree.Steps {
		for _, b := range st.Branches {
			need(branchKey(st, b))
		}
		for _, b := range []*engine.Branch{st.Unable, st.Unsure} {
			if b != nil {
				need(branchKey(st, b))
			}
		}
	}
	for _, r := range tree.Before {
		need(ruleKey(r))
	}
	for _, f := range tree.Findings {
		need(findingKey(f))
	}
	return out
}
