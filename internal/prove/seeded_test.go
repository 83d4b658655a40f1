package prove

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

// seeded is one tree of tests/testdata/proof. Its text says what a trainer would say of it.
// A remark `# want RULE` stands behind each line on which the proof must find that rule broken,
// and on no other. `walk` is a walk that comes to the fault: answers, and what must be so then.
type seeded struct {
	lib     *engine.Library
	sources []engine.Source
	tree    string // the one that is walked: of the first file
	walk    string
}

const seededFolder = "../../tests/testdata/proof/"

func seededTrees(t *testing.T, pattern string) map[string]seeded {
	t.Helper()
	files, err := filepath.Glob(seededFolder + pattern)
	require.NoError(t, err)
	out := map[string]seeded{}
	for _, name := range files {
		text, err := txtar.ParseFile(name)
		require.NoError(t, err)
		require.Greater(t, strings.Count(string(text.Comment), "\n"), 2, "%s says what a trainer would say", name)
		var x seeded
		for _, shared := range []string{"bench.yaml", "faults.yaml"} {
			data, err := os.ReadFile(seededFolder + shared)
			require.NoError(t, err)
			x.sources = append(x.sources, engine.Source{Name: shared, Data: data})
		}
		for _, f := range text.Files {
			if f.Name == "walk" {
				x.walk = string(f.Data)
			} else {
				x.sources = append(x.sources, engine.Source{Name: f.Name, Data: f.Data})
				if x.tree == "" {
					first, _, _ := strings.Cut(string(f.Data), "\n")
					x.tree = strings.TrimPrefix(first, "tree: ")
				}
			}
		}
		lib, faults := engine.Load(x.sources)
		var b strings.Builder
		faults.Print(&b)
		require.True(t, faults.Empty(), "%s\n%s", name, b.String())
		x.lib = lib
		out[strings.TrimSuffix(filepath.Base(name), ".txtar")] = x
	}
	return out
}

// wants are the rules that must be found broken: FILE:LINE RULE.
func (x *seeded) wants() []string {
	var out []string
	for _, s := range x.sources {
		for i, line := range strings.Split(string(s.Data), "\n") {
			if _, rules, ok := strings.Cut(line, "# want "); ok {
				for _, rule := range strings.Fields(rules) {
					out = append(out, fmt.Sprintf("%s:%d %s", s.Name, i+1, rule))
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

// TestSeededDefects: every defect is found by the right rule on the right line and nothing
// else is, its witness walks to it, and so does the walk of a person.
func TestSeededDefects(t *testing.T) {
	defects := seededTrees(t, "defect-*.txtar")
	assert.GreaterOrEqual(t, len(defects), 40)
	for name, x := range defects {
		t.Run(name, func(t *testing.T) {
			rep := Library(x.lib, nil, Options{})
			var got []string
			list := slices.Concat(rep.Faults.Sorted(), rep.Remarks.Sorted())
			for _, f := range list {
				got = append(got, fmt.Sprintf("%s:%d %s", f.Place.File, f.Place.Line, f.Rule))
			}
			slices.Sort(got)
			require.NotEmpty(t, x.wants())
			require.Equal(t, x.wants(), got, told(rep))
			for _, f := range list {
				if stuckAt := stuckBySort[f.Rule]; stuckAt != "" {
					x.walkWitness(t, f, stuckAt)
				}
			}
			if x.walk != "" {
				walkLines(t, x.lib.Tree(x.tree), x.walk)
			}
		})
	}
}

// stuckBySort is what the engine says where a rule of that name is broken.
var stuckBySort = map[string]string{"gap": stuckBy["gap"], "overlap": stuckBy["overlap"], "not-taken": stuckBy["missing"],
	"stale": stuckBy["missing"], "stale-after-pause": stuckBy["missing"], "unknown-reading": stuckBy["missing"]}

// walkWitness types the answers that a fault names, and demands that the engine is stuck then.
func (x *seeded) walkWitness(t *testing.T, f source.Fault, says string) {
	t.Helper()
	i := slices.IndexFunc(f.Notes, func(n source.Note) bool { return strings.HasPrefix(n.Message, witnessWalks) })
	require.GreaterOrEqual(t, i, 0, "%s has no answers that walk there", f.Message)
	lines := strings.Split(strings.TrimPrefix(f.Notes[i].Message, witnessWalks), ", ")
	var came []string
	for _, tree := range x.lib.Trees() { // a sub-tree's fault has its place in all that run it
		w := engine.NewWalk(tree, &engine.Meter{Name: "ideal"}, engine.Kit{})
		came = append(came, "")
		for _, line := range lines {
			if came[len(came)-1] = typeLine(w, line); came[len(came)-1] != "" {
				break
			}
		}
		p := settled(w)
		if slices.ContainsFunc(tree.Steps, func(s *engine.Step) bool {
			at := s.Place == f.Place || slices.ContainsFunc(s.Branches, func(b *engine.Branch) bool { return b.Place == f.Place })
			return at && strings.HasPrefix(p.Stuck, `step "`+s.ID+`"`) && strings.Contains(p.Stuck, says)
		}) {
			return
		}
		came[len(came)-1] += p.Stuck
	}
	t.Errorf("%s: %v do not walk there: %q", f.Message, lines, came)
}

// witnessWalks stands before the answers in the notes of a fault.
const witnessWalks = "answers that walk there: "

// settled acknowledges what is only to be done.
func settled(w *engine.Walk) *engine.Prompt {
	for {
		p := w.Next()
		if p.Result != nil || p.Stuck != "" || !p.Ack {
			return p
		}
		send(w, engine.Event{Do: engine.DoDone})
	}
}

// send gives what is wrong with an event; "" when it was taken.
func send(w *engine.Walk, ev engine.Event) string {
	ev.At = begun
	out, err := w.Answer(ev)
	switch {
	case err != nil:
		return err.Error()
	case out.Refused != nil:
		return "refused: " + out.Refused.Reason
	}
	return ""
}

var couldNot = regexp.MustCompile(`^step (\S+) could not be done$`)

// typeLine does what one line says, in the words of a witness: READING VALUE, READING skipped,
// step STEP could not be done, left for 2h, suspect FINDING, go on. It gives what is wrong.
func typeLine(w *engine.Walk, line string) string {
	first, rest, _ := strings.Cut(line, " ")
	switch {
	case strings.HasPrefix(line, "left for "):
		return send(w, engine.Event{Do: engine.DoResume, Away: strings.TrimPrefix(line, "left for ")})
	case first == "suspect":
		return send(w, engine.Event{Do: engine.DoSuspect, Text: rest})
	case line == "done":
		return send(w, engine.Event{Do: engine.DoDone})
	case line == "go on":
		return send(w, engine.Event{Do: engine.DoRound})
	case couldNot.MatchString(line):
		step := couldNot.FindStringSubmatch(line)[1]
		for p := w.Next(); p.Ack && p.Step.ID != step; p = w.Next() {
			send(w, engine.Event{Do: engine.DoDone})
		}
		return send(w, engine.Event{Do: engine.DoUnable, Step: step, Text: "no room"})
	}
	p := settled(w)
	if p.Step == nil || p.Stuck != "" {
		return line + " is not asked for: " + p.Stuck
	}
	q := p.Tree.ReadingNamed(first)
	if q == nil {
		return first + " is no reading"
	}
	if rest == "skipped" {
		return send(w, engine.Event{Do: engine.DoSkip, Step: p.Step.ID, Reading: first})
	}
	a, refused := q.Parse(rest, w.Meter())
	if refused != nil {
		return line + ": " + refused.Reason
	}
	a.Sure = true
	return send(w, engine.Event{Do: engine.DoAnswer, Step: p.Step.ID, Reading: q.ID, Answer: &a})
}

// walkLines walks a tree with a meter without doubt, or the one that `meter` names. Lines are
// typed; what must be so where they have led stands behind a word and a colon.
func walkLines(t *testing.T, tree *engine.Tree, lines string) {
	t.Helper()
	w := engine.NewWalk(tree, &engine.Meter{Name: "ideal"}, engine.Kit{})
	for line := range strings.Lines(lines) {
		line = strings.TrimSpace(line)
		what, want, ok := strings.Cut(line, ": ")
		if !ok {
			require.Empty(t, typeLine(w, line), line)
			continue
		}
		p := w.Next()
		if what != "does" {
			p = settled(w)
		}
		switch what {
		case "meter":
			w = engine.NewWalk(tree, engine.FindMeter(want), engine.Kit{})
		case "stuck":
			require.Contains(t, p.Stuck, want)
		case "finding":
			require.NotNil(t, p.Result, "it is stuck or asks: %s", p.Stuck)
			require.Equal(t, want, p.Result.Finding.ID)
		case "sure":
			require.NotNil(t, p.Result, p.Stuck)
			require.Equal(t, want, string(p.Result.Certainty))
		case "open":
			require.Contains(t, p.PutBack, want)
		case "asks":
			require.NotEmpty(t, p.Fields, p.Stuck)
			require.Equal(t, want, p.Fields[0].Reading.ID)
		case "does":
			require.True(t, p.Ack, p.Stuck)
			require.Equal(t, want, p.Step.ID)
		case "round":
			require.Equal(t, want, fmt.Sprint(p.Round))
		default:
			t.Fatalf("%q is nothing that can be so", what)
		}
	}
}

// TestSeededSound: what looks wrong and is right breaks no rule, and no walk of thousands,
// with doubts, "not sure", what cannot be done, skips, pauses, suspicions and rounds, is stuck.
func TestSeededSound(t *testing.T) {
	trees := seededTrees(t, "sound-*.txtar")
	assert.GreaterOrEqual(t, len(trees), 20)
	walks := 300
	if testing.Short() {
		walks = 200
	}
	for name, x := range trees {
		t.Run(name, func(t *testing.T) {
			rep := Library(x.lib, nil, Options{})
			require.Empty(t, broken(rep), told(rep))
			r := rand.New(rand.NewPCG(7, 7))
			for _, tree := range x.lib.Trees() {
				m, err := newModel(tree)
				require.NoError(t, err)
				ends := map[string]bool{}
				for i := range walks {
					s, end, lines := wander(t, r, tree, m, mood(i), nil)
					require.Nil(t, s, strings.Join(lines, "\n"))
					if end != nil {
						ends[end.Finding.ID] = true
					}
				}
				require.Greater(t, len(ends), 1, "walks go their ways")
			}
			if x.walk != "" {
				walkLines(t, x.lib.Tree(x.tree), x.walk)
			}
		})
	}
}
