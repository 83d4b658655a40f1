package trial

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// Bound is an estimate of the best that any decision could do with the readings that
// the trees can ask: each vehicle tried is called by the fault that is likeliest among
// the simulated vehicles that read like it. See limits for what it is not.
type Bound struct {
	Learnt   int    `json:"learnt"`   // simulated vehicles that it knows
	Readings int    `json:"readings"` // that it goes by, of each vehicle
	Limits   string `json:"limits"`
	Right    Share  `json:"right"`  // of the vehicles tried with at most one fault
	Tree     Share  `json:"tree"`   // the tree on the same ones
	Repair   Both   `json:"repair"` // right, or the same repair
	Families []Both `json:"families"`
	Faults   []Both `json:"faults"`
	Alike    []Pair `json:"alike"` // faults that are taken for others even so
}

// Both is how the bound and the tree fare on the same vehicles.
type Both struct {
	Name  string `json:"name"`
	Right Share  `json:"right"`
	Tree  Share  `json:"tree"`
}

// Pair is a fault and one that it is taken for.
type Pair struct {
	Fault string `json:"fault"` // empty: nothing wrong
	Taken string `json:"taken_for"`
	Share Share  `json:"share"` // of the vehicles with the fault
}

// boundLimits is what every report says of the bound.
const boundLimits = "An estimate from below, no proof: with more vehicles to learn from it may find more. It takes every reading of the trees twice, as the vehicle comes in and after a charge, on vehicles with at most one fault; it repairs nothing and tries nothing again, which the tree does, so that the tree can do better."

// fewestAlike is the share of a fault's vehicles from which on a confusion is listed.
const fewestAlike = 0.01

// bound learns from simulated vehicles and calls those of the cases that have at most
// one fault, the first ones up to as many as it has learnt from.
func (o *Options) bound(at *bench, cases []Case) (*Bound, error) {
	c := o.course()
	rows, labels := make([][]float32, o.Learn), make([]int32, o.Learn)
	alone := *o
	alone.Population.TwoFaults = 0
	err := at.all(o.Learn, func(i int) error {
		m, _ := alone.job(o.Seed + apartFromTried + uint64(i))
		labels[i] = label(m.Vehicle.Faults())
		rows[i] = c.read(m)
		return nil
	})
	if err != nil {
		return nil, err
	}
	known := cutUp(at.ctx, rows, labels, len(kindIDs)+1, o.Seed, o.workers())

	var tried []*Case
	for i := range cases {
		if len(cases[i].Faults) < 2 && len(tried) < o.Learn {
			tried = append(tried, &cases[i])
		}
	}
	sets, parts := o.namedTogether(false), o.namedTogether(true)
	calls, repairs := make([]call, len(tried)), make([]call, len(tried))
	err = at.all(len(tried), func(i int) error {
		m, _ := o.job(tried[i].Seed)
		likely := known.likely(c.read(m))
		calls[i], repairs[i] = decide(likely, sets), decide(likely, parts)
		return nil
	})
	if err != nil {
		return nil, err
	}
	b := &Bound{Learnt: o.Learn, Readings: c.width(), Limits: boundLimits, Alike: []Pair{}}
	b.sum(tried, calls)
	b.Repair = b.compare("right or same repair", tried, repairs, func(string) bool { return true }, Right, SameRepair)
	return b, nil
}

// apartFromTried keeps the seeds of the vehicles that are learnt from apart from those
// that are tried.
const apartFromTried = 1 << 63

// kindIDs are the faults in their order, and the labels but for the last, which is
// nothing wrong.
var kindIDs = func() (ids []string) {
	for _, k := range vehicle.Kinds() {
		ids = append(ids, k.ID)
	}
	return ids
}()

// label is the number of the one fault, or of none.
func label(faults []string) int32 {
	if len(faults) == 0 || harmless[faults[0]] {
		return int32(len(kindIDs))
	}
	return int32(slices.Index(kindIDs, faults[0]))
}

func labelID(l int32) string {
	if int(l) == len(kindIDs) {
		return ""
	}
	return kindIDs[l]
}

// namedTogether are the sets of labels that one finding names, and each by itself; with
// same, those that its repair cures as well.
func (o *Options) namedTogether(same bool) (sets [][]int32) {
	add := func(of func(id string) bool) {
		var set []int32
		for l := range int32(len(kindIDs)) + 1 {
			if of(labelID(l)) {
				set = append(set, l)
			}
		}
		sets = append(sets, set)
	}
	for l := range int32(len(kindIDs)) + 1 {
		one := labelID(l)
		add(func(id string) bool { return id == one || same && part(id) == part(one) })
	}
	for _, t := range o.trees() {
		for _, f := range t.Findings {
			parts := repairs(f)
			add(func(id string) bool {
				return names(f, id) && !harmless[id] || same && slices.Contains(parts, part(id))
			})
		}
	}
	return sets
}

// part is what a fault is cured at; of none, nothing.
func part(fault string) string { return cmp.Or(kinds[fault].Part, "nothing") }

// call is what a vehicle is called: all that one finding names, the likeliest first.
type call []int32

// decide takes the set that is likeliest in all.
func decide(likely []float64, sets [][]int32) call {
	var best []int32
	most := -1.0
	for _, set := range sets {
		sum := 0.0
		for _, l := range set {
			sum += likely[l]
		}
		if sum > most+1e-12 {
			best, most = set, sum
		}
	}
	out := slices.Clone(best)
	slices.SortStableFunc(out, func(a, b int32) int { return cmp.Compare(likely[b], likely[a]) })
	return out
}

// compare counts the calls that hold the fault, beside the tree's outcomes that count, on
// the vehicles with some faults.
func (b *Bound) compare(name string, tried []*Case, calls []call, of func(string) bool, counts ...Outcome) Both {
	us, tree := tally{}, tally{}
	for i, c := range tried {
		if l := label(c.Faults); of(labelID(l)) {
			us.add(slices.Contains(calls[i], l))
			tree.add(slices.Contains(counts, c.Outcome))
		}
	}
	return Both{name, us.share(), tree.share()}
}

// sum books the calls.
func (b *Bound) sum(tried []*Case, calls []call) {
	right := func(i int) bool { return slices.Contains(calls[i], label(tried[i].Faults)) }
	both := func(name string, of func(string) bool) Both { return b.compare(name, tried, calls, of, Right) }
	all := both("", func(string) bool { return true })
	b.Right, b.Tree = all.Right, all.Tree
	add := func(to *[]Both, x Both) {
		if x.Right.Of > 0 {
			*to = append(*to, x)
		}
	}
	var families []string
	for _, k := range vehicle.Kinds() {
		add(&b.Faults, both(k.ID, func(id string) bool { return id == k.ID }))
		if !slices.Contains(families, k.Family) {
			families = append(families, k.Family)
			add(&b.Families, both(k.Family, func(id string) bool { return id != "" && kinds[id].Family == k.Family }))
		}
	}
	nothing := both("nothing wrong", func(id string) bool { return id == "" })
	add(&b.Faults, nothing)
	add(&b.Families, nothing)
	b.confused(tried, calls, right)
}

// confused books the faults that are taken for others.
func (b *Bound) confused(tried []*Case, calls []call, right func(int) bool) {
	of, taken := map[int32]int{}, map[[2]int32]int{}
	for i, c := range tried {
		l := label(c.Faults)
		of[l]++
		if !right(i) {
			taken[[2]int32{l, calls[i][0]}]++
		}
	}
	for _, pair := range slices.SortedFunc(maps.Keys(taken), func(a, b [2]int32) int { return slices.Compare(a[:], b[:]) }) {
		if n := taken[pair]; float64(n) >= fewestAlike*float64(of[pair[0]]) && n > 1 {
			b.Alike = append(b.Alike, Pair{labelID(pair[0]), labelID(pair[1]), share(n, of[pair[0]])})
		}
	}
	slices.SortStableFunc(b.Alike, func(a, c Pair) int { return cmp.Compare(c.Share.Count, a.Share.Count) })
	b.Alike = b.Alike[:min(len(b.Alike), most)]
}

// Text says what a pair means.
func (p Pair) Text() string {
	return fmt.Sprintf("%s from %s: of every 100 vehicles with the first, %.0f are taken for the second", named(p.Fault), named(p.Taken), 100*p.Share.Share)
}

// named is a fault by its id, or none.
func named(fault string) string { return cmp.Or(fault, "nothing wrong") }

// trees are the tree and those that its findings lead to.
func (o *Options) trees() []*engine.Tree {
	all := []*engine.Tree{o.Tree}
	for i := 0; i < len(all); i++ {
		for _, f := range all[i].Findings {
			if f.Then == nil || o.Library == nil {
				continue
			}
			if t := o.Library.Tree(f.Then.Tree); t != nil && !slices.Contains(all, t) {
				all = append(all, t)
			}
		}
	}
	return all
}
