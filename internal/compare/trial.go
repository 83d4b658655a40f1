package compare

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/prove"
	"deadflat/internal/source"
	"deadflat/internal/text"
)

// Trial is what both editions made of the same answers.
type Trial struct {
	Walks       int           `json:"walks"`             // pairs of walks
	FromCases   int           `json:"from_worked_cases"` // of them with the answers of a worked case
	Differences []*Difference `json:"findings"`
	LeftOut     int           `json:"walks_left_out,omitempty"` // the others were work enough
	NotReached  []string      `json:"not_reached,omitempty"`    // what is proved to part, and no walk came to
}

// Ends are where two walks with the same answers end: the title of the finding, or why
// there is none.
type Ends struct {
	Was string `json:"was"`
	Is  string `json:"is"`
}

// Difference is one finding that becomes another, with a witness.
type Difference struct {
	Ends
	Times    int    `json:"walks"`                      // walks that show it
	Case     string `json:"worked_case,omitempty"`      // worked case that shows it, or that the witness was made from
	Exactly  bool   `json:"as_the_case_says,omitempty"` // the case itself shows it
	At       string `json:"part_at,omitempty"`          // the step where the ways part
	Answers  []Said `json:"answers"`
	WasTaken string `json:"-"` // the way that either edition took there
	IsTaken  string `json:"-"`
	size     int    // of the witness: the smallest is kept
}

// Said is one answer of a witness.
type Said struct {
	Ask  string `json:"ask"`
	Text string `json:"is"`
	From Origin `json:"-"`
}

// skipped is what is said of an optional reading that was passed over.
const skipped = "skipped"

// Origin is where an answer of a witness comes from.
type Origin int

// The origins. Without a worked case every answer is Usual.
const (
	FromCase Origin = iota // as the worked case says
	Swapped                // put in the place of what the case says
	Usual                  // what the case did not come to
)

// Walks is how many pairs of walks are tried when nobody says otherwise.
const Walks = 1500

// mostWork is what the walks of a trial may cost for each that was asked for: an answer costs
// as much as the tree has steps, since all that is still possible is looked at, and a decision
// decisionWork. Work is counted, not time, so that the same is tried on every machine.
const (
	mostWork     = 30_000
	decisionWork = 100
)

// trial tries answers on two editions.
type trial struct {
	old, now    *engine.Tree
	meter       *engine.Meter
	worth       map[string][]answer
	moved       map[string][]answer      // of them, those round limits that only one edition has
	usual       map[string]answer        // what cases say most often, by answer and by reading
	seen        [2]map[source.Place]bool // by edition
	divergences []*Divergence            // what was proved to go another way
	corpus      []seed
	result      *Trial
	work, bound int
	by          map[[2]string]*Difference
}

// seed is a set of answers that came to something no other had come to.
type seed struct {
	answers answers
	worked  string         // the case that it was made from
	given   []given        // what both walks asked for
	steps   []*engine.Step // that the old edition's walk came to
}

// Try walks both editions with the answers of the worked cases, and then with
// changes of them: it keeps to those that take ways nobody took before, and
// changes them again. The numbers tried lie on both sides of every limit of
// either edition.
//
// What was proved to go another way is put into walks that come there, and is told
// where those end. The proof may be nil.
func Try(old, now *engine.Tree, cases []prove.Walked, proof *Proof, walks int) *Trial {
	t := newTrial(old, now, cases, proof)
	t.bound = mostWork * max(walks, Walks)
	t.run(seed{answers: answers{}}, nil)
	for _, c := range cases {
		if t.work < t.bound {
			t.run(seed{answers: remembered(c.Record), worked: c.Case}, nil)
			t.result.FromCases++
		}
	}
	dice := rand.New(rand.NewPCG(1, 2)) // the same throws every time
	t.follow((t.result.Walks + walks) / 2)
	t.tryMoved(dice, (t.result.Walks+walks)/2)
	t.follow((t.result.Walks + walks) / 2)
	t.lead((t.result.Walks + walks) / 2)
	for !t.enough(walks) {
		from := t.corpus[dice.IntN(len(t.corpus))]
		changed, keys := t.change(from, dice)
		t.run(seed{answers: changed, worked: from.worked}, keys)
	}
	t.result.LeftOut = max(0, walks-t.result.Walks)
	for _, d := range t.divergences {
		if d.Walks == 0 {
			t.result.NotReached = append(t.result.NotReached, d.Says)
		}
	}
	slices.SortStableFunc(t.result.Differences, func(a, b *Difference) int {
		return cmp.Or(-cmp.Compare(a.Times, b.Times), cmp.Compare(a.Was, b.Was), cmp.Compare(a.Is, b.Is))
	})
	return t.result
}

// enough reports whether so many walks are made, or have cost what they may.
func (t *trial) enough(walks int) bool { return t.result.Walks >= walks || t.work >= t.bound }

func newTrial(old, now *engine.Tree, cases []prove.Walked, proof *Proof) *trial {
	t := &trial{old: old, now: now, meter: engine.FindMeter("workshop"), worth: worthTrying(old, now), moved: movedLimits(old, now), usual: usual(cases), seen: [2]map[source.Place]bool{{}, {}},
		result: &Trial{Differences: []*Difference{}}, by: map[[2]string]*Difference{}}
	if proof != nil {
		t.divergences = proof.Divergences
	}
	return t
}

// tryMoved puts the numbers round limits that moved into every walk so far that
// asked for them, in any order, until so many walks are made.
func (t *trial) tryMoved(dice *rand.Rand, most int) {
	type swap struct{ from, given, to int32 }
	var all []swap
	for i, s := range t.corpus {
		for k, g := range s.given {
			if g.reading == nil {
				continue
			}
			for n := range t.moved[g.reading.ID] {
				all = append(all, swap{int32(i), int32(k), int32(n)})
			}
		}
	}
	dice.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	for _, s := range all {
		if t.enough(most) {
			return
		}
		from := t.corpus[s.from]
		g := from.given[s.given]
		changed := maps.Clone(from.answers)
		changed[g.key] = t.moved[g.reading.ID][s.to]
		t.run(seed{answers: changed, worked: from.worked}, []string{g.key})
	}
}

// usual is what the cases say most often of each reading, and of each time that it
// is asked for.
func usual(cases []prove.Walked) map[string]answer {
	times := map[string]map[answer]int{}
	count := func(key string, a answer) {
		if times[key] == nil {
			times[key] = map[answer]int{}
		}
		times[key][a]++
	}
	for _, c := range cases {
		for key, a := range remembered(c.Record) {
			if reading, _, ok := strings.Cut(key, "#"); ok {
				count(key, a)
				count(reading, a)
			}
		}
	}
	out := map[string]answer{}
	for key, all := range times {
		most := 0
		for a, n := range all {
			if n > most || n == most && a.less(out[key]) {
				out[key], most = a, n
			}
		}
	}
	return out
}

// less puts answers in an order, so that of two equally usual ones the same is
// taken every time.
func (a answer) less(b answer) bool {
	c := cmp.Or(cmp.Compare(a.choice, b.choice), cmp.Compare(a.number, b.number))
	return c < 0 || c == 0 && (a.skip && !b.skip || a.skip == b.skip && a.unsure && !b.unsure)
}

// change gives one or two of the answers that a seed's walk was given other
// values.
func (t *trial) change(from seed, dice *rand.Rand) (answers, []string) {
	out := maps.Clone(from.answers)
	var changed []string
	for range min(len(from.given), 1+dice.IntN(2)) {
		g := from.given[dice.IntN(len(from.given))]
		if g.reading == nil || g.canFail && dice.IntN(10) == 0 {
			out[unableKey(g.step)] = answer{unable: g.reading != nil}
			changed = append(changed, unableKey(g.step))
			continue
		}
		all := t.worth[g.reading.ID]
		out[g.key] = all[dice.IntN(len(all))]
		changed = append(changed, g.key)
	}
	return out, changed
}

// run walks both editions with the same answers.
func (t *trial) run(s seed, changed []string) {
	was, is := t.play(t.old, s.answers), t.play(t.now, s.answers)
	t.result.Walks++
	freshWas, freshIs := note(t.seen[0], was), note(t.seen[1], is)
	if freshWas || freshIs || len(changed) == 0 {
		s.given = append(slices.Clone(was.given), is.given...)
		s.steps = was.steps
		t.corpus = append(t.corpus, s)
	}
	if end(was) == end(is) {
		t.attribute(was, is, nil)
		return
	}
	key := [2]string{end(was), end(is)}
	d := t.by[key]
	if d == nil {
		d = &Difference{}
		t.by[key] = d
		t.result.Differences = append(t.result.Differences, d)
	}
	d.Times++
	t.attribute(was, is, d)
	// The witness nearest to a worked case, and the shortest of those, is kept.
	size := 1000*len(changed) + len(was.given) + len(is.given)
	if s.worked == "" {
		size += 100000
	}
	if d.Times > 1 && d.size <= size {
		return
	}
	times := d.Times
	*d = *witness(was, is, s, changed)
	d.Times, d.size = times, size
}

// note reports whether a walk came to something new.
func note(seen map[source.Place]bool, w *walk) bool {
	fresh := false
	for _, b := range w.path {
		if !seen[b.Place] {
			seen[b.Place], fresh = true, true
		}
	}
	return fresh
}

// end names where a walk came to.
func end(w *walk) string {
	if w.finding == nil {
		return "stuck"
	}
	return w.finding.ID
}

// witness puts into words what two walks made of the same answers.
func witness(was, is *walk, s seed, changed []string) *Difference {
	d := &Difference{Ends: Ends{told(was), told(is)}, Case: s.worked, Exactly: s.worked != "" && len(changed) == 0, Answers: []Said{}}
	seen := map[string]int{}
	for _, g := range append(slices.Clone(was.given), is.given...) {
		if i, twice := seen[g.key]; twice {
			if is := said(g, Usual).Text; is != d.Answers[i].Text { // one edition does not take what the other does
				d.Answers[i].Text += " in the old edition, " + is + " in the new"
			}
			continue
		}
		seen[g.key] = len(d.Answers)
		from := Usual
		switch _, known := s.answers[g.key]; {
		case s.worked != "" && slices.Contains(changed, g.key):
			from = Swapped
		case s.worked != "" && known:
			from = FromCase
		}
		d.Answers = append(d.Answers, said(g, from))
	}
	for i := range min(len(was.path), len(is.path)) {
		a, b := taken(was.path[i]), taken(is.path[i])
		if was.steps[i].ID != is.steps[i].ID {
			break
		}
		if a != b {
			d.At, d.WasTaken, d.IsTaken = was.steps[i].Title, a, b
			break
		}
	}
	return d
}

func taken(b *engine.Branch) string { return b.Text + ", to " + target(b.To) }

func told(w *walk) string {
	if w.finding == nil {
		return "no finding (" + w.stuck + ")"
	}
	return w.finding.Title + " (" + w.finding.ID + ")"
}

func said(g given, from Origin) Said {
	if g.reading == nil {
		return Said{"step " + g.step, "cannot be done", from}
	}
	s := Said{Ask: text.Spoken(g.reading.ID) + again(g.asked), From: from}
	switch {
	case g.answer.skip:
		s.Text = skipped
	case g.answer.unsure:
		s.Text = "not sure"
	case g.reading.Number():
		s.Text = show(g.answer.number, g.reading.Unit)
	default:
		s.Text = g.answer.choice
	}
	return s
}

// again says which time a reading is asked for, from the second on.
func again(asked int) string {
	times := []string{"", " the second time", " the third time"}
	if asked < len(times) {
		return times[asked]
	}
	return fmt.Sprintf(" time %d", asked+1)
}
