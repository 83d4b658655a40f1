package prove

import (
	"fmt"
	"math/rand/v2"
	"path"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

var calibrated = engine.FindMeter("calibrated")

// mood is what a walk at random does beside answering.
type mood int

const (
	pauses   mood = 1 << iota // leaves the walk for a while
	doubts                    // reads numbers that can be far out, and is not sure
	suspects                  // suspects a finding, and answers what has not been asked
	rounds                    // goes on after a finding
)

// wander answers a walk at random, at the limits and beside them, skips, cannot
// and leaves the walk for a while, until it ends or is stuck. It gives the step at
// which it is stuck, the result it ends in, and what was answered.
//
// With a case most of what is asked is answered as it says, so that walks go deep.
func wander(t testing.TB, r *rand.Rand, tree *engine.Tree, m *model, in mood, c *run) (*engine.Step, *engine.Result, []string) {
	w := engine.NewWalk(tree, calibrated, engine.Kit{})
	var told []string
	send := func(ev engine.Event) {
		ev.At = begun
		out, err := w.Answer(ev)
		require.NoError(t, err)
		if out.Refused != nil {
			told = append(told, "refused: "+out.Refused.Reason)
		}
	}
	for range 300 {
		p := w.Next()
		switch {
		case p.Result != nil && p.Result.CanGoOn && p.Result.Finding.Then.Tree == tree.Name && in&rounds != 0 && p.Round < 4:
			told = append(told, "round after "+p.Result.Finding.ID)
			send(engine.Event{Do: engine.DoRound})
			continue
		case p.Result != nil:
			return nil, p.Result, told
		case p.Stuck != "":
			for _, s := range tree.Steps {
				if strings.HasPrefix(p.Stuck, `step "`+s.ID+`"`) {
					return s, nil, append(told, p.Stuck)
				}
			}
			t.Fatalf("stuck nowhere: %s", p.Stuck)
		}
		if in&pauses != 0 && r.IntN(8) == 0 {
			told = append(told, "pause at "+p.Step.ID)
			send(engine.Event{Do: engine.DoResume, Away: (2 * time.Hour).String()})
			continue
		}
		if in&suspects != 0 && r.IntN(12) == 0 {
			x := tree.Findings[r.IntN(len(tree.Findings))]
			told = append(told, "suspect "+x.ID)
			send(engine.Event{Do: engine.DoSuspect, Text: x.ID})
			continue
		}
		if in&suspects != 0 && r.IntN(12) == 0 {
			q := tree.Readings[r.IntN(len(tree.Readings))]
			a := anyAnswer(r, m.axes[q.Index], false)
			told = append(told, "early: "+q.ID+" "+a.Typed)
			send(engine.Event{Do: engine.DoAnswer, Reading: q.ID, Answer: &a})
			continue
		}
		if p.Step.Unable != nil && p.Gate == nil && r.IntN(8) == 0 {
			told = append(told, "unable "+p.Step.ID)
			send(engine.Event{Do: engine.DoUnable, Step: p.Step.ID, Text: "no room"})
			continue
		}
		if p.Ack {
			send(engine.Event{Do: engine.DoDone, Step: p.Step.ID})
			continue
		}
		f := p.Fields[r.IntN(len(p.Fields))]
		if f.Optional && r.IntN(3) == 0 {
			told = append(told, "skip "+f.Reading.ID)
			send(engine.Event{Do: engine.DoSkip, Step: p.Step.ID, Reading: f.Reading.ID})
			continue
		}
		a := anyAnswer(r, m.axes[f.Reading.Index], p.Gate != nil)
		if c != nil && r.IntN(5) > 0 {
			if typed, ok := c.find(path.Base(p.Step.ID), f.Reading.ID); ok {
				if said, refused := f.Reading.Parse(typed, w.Meter()); refused == nil {
					a = said
					a.Typed, a.Sure = typed, true
				}
			}
		}
		if in&doubts != 0 {
			a = doubtful(r, f.Reading, a)
		}
		told = append(told, p.Step.ID+": "+f.Reading.ID+" "+a.Typed)
		send(engine.Event{Do: engine.DoAnswer, Step: p.Step.ID, Reading: f.Reading.ID, Answer: &a})
	}
	return nil, nil, told
}

// doubtful is an answer that is now and then not sure: a number far out, any choice.
func doubtful(r *rand.Rand, q *engine.Reading, a engine.Answer) engine.Answer {
	switch {
	case !q.Number() && q.Unsure && r.IntN(3) == 0:
		return engine.Answer{Typed: "not sure", Unsure: true, Sure: true}
	case q.Number() && r.IntN(2) == 0:
		a.OutBy = []float64{0.01, 0.3, 2}[r.IntN(3)] * (q.Unit.From(q.Span[1]) - q.Unit.From(q.Span[0])) / 4
		a.Typed += fmt.Sprintf(" out by %g", a.OutBy)
	}
	return a
}

// anyAnswer is a random answer. Hazards are mostly in order, so that walks go on.
func anyAnswer(r *rand.Rand, ax *axis, gate bool) engine.Answer {
	if ax.number() {
		piece := int32(r.IntN(int(ax.full.hi + 1)))
		v := ax.v.Unit.From(ax.typical(piece))
		return engine.Answer{Typed: quantity(ax.candidates(domain{modes: known, lo: piece, hi: piece, set: 1})[0], ax.v.Unit), Value: v, Unit: ax.v.Unit.Name, Sure: true}
	}
	i := r.IntN(len(ax.v.Choices))
	if good := slices.IndexFunc(ax.v.Choices, func(w string) bool {
		return slices.Contains([]string{"yes", "sound", "dry", "none seen", "lead-acid", "tight"}, w)
	}); good >= 0 && r.IntN(20) > 0 {
		i = good
	}
	return engine.Answer{Typed: ax.v.Choices[i], Choice: []string{ax.v.Choices[i]}, Sure: true}
}

// TestStuckWalksAreForetold walks the shipped trees at random: wherever such a walk
// is stuck, the prover has named the step.
func TestStuckWalksAreForetold(t *testing.T) {
	lib := shipped(t)
	report := Library(lib, nil, Options{})
	named := map[string]bool{}
	for _, f := range report.Faults.Sorted() {
		named[f.Place.String()] = true
		for _, n := range f.Notes {
			named[n.Place.String()] = true
		}
	}
	walks := 200
	if testing.Short() {
		walks = 100
	}
	r := rand.New(rand.NewPCG(4, 4))
	for _, tree := range lib.Trees() {
		m, err := newModel(tree)
		require.NoError(t, err)
		stuck := map[string]int{}
		files := newChecker(lib).caseFiles([]*engine.Tree{tree})
		require.Len(t, files, 1)
		for i := range walks {
			w := files[0].list[r.IntN(len(files[0].list))]
			s, _, told := wander(t, r, tree, m, mood(i), &run{file: files[0], c: w, used: map[string]bool{}})
			if s == nil {
				continue
			}
			if stuck[s.ID]++; stuck[s.ID] == 1 {
				t.Logf("%s is stuck at %s:\n  %s", tree.Name, s.ID, strings.Join(told, "\n  "))
			}
			require.True(t, named[s.Place.String()], "%s is stuck at %s, and the prover has not named it:\n%s", tree.Name, s.ID, strings.Join(told, "\n"))
		}
		t.Logf("%s: %v", tree.Name, stuck)
	}
}
