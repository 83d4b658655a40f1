package engine

import (
	"deadflat/internal/eval"
	"deadflat/internal/source"
)

// Kind says what a step asks a person to do.
type Kind string

// The step kinds. A charge, a repair and a jump make every reading that is not a
// fact stale.
const (
	Measure  Kind = "measure"
	LoadTest Kind = "load"
	Crank    Kind = "crank"
	Inspect  Kind = "inspect"
	Charge   Kind = "charge"
	Repair   Kind = "repair"
	Jump     Kind = "jump"
	Wait     Kind = "wait"
	Retest   Kind = "retest"
	Decide   Kind = "decide"
	SubTree  Kind = "tree"
)

// Kinds lists every step kind in the order the language guide explains them.
var Kinds = []Kind{Measure, LoadTest, Crank, Inspect, Charge, Repair, Jump, Wait, Retest, Decide, SubTree}

// MakesStale reports whether leaving a step of this kind makes the readings
// taken before it old news.
func (k Kind) MakesStale() bool { return k == Charge || k == Repair || k == Jump }

// Anew reports whether a step of this kind takes its readings again even when they
// are fresh: a retest, and a step that changes the vehicle, which is never passed
// over since nobody would have done it.
func (k Kind) Anew() bool { return k == Retest || k.MakesStale() }

// Tree is one decision tree with everything it uses resolved: sub-trees are
// laid in, names are pointers, expressions are compiled. It never changes
// after loading and may be shared by any number of walks.
type Tree struct {
	Name    string
	Title   string
	Summary string
	Edition int
	Author  string
	Review  Review
	Changed string
	Uses    []string // shared files, those of its sub-trees as well
	Hash    string   // "sha256:..." over the sources the tree is resolved from

	Begin    *Step
	Steps    []*Step // in topological order; Begin first
	Findings []*Finding
	Readings []*Reading
	Limits   []*eval.Limit
	Values   []*eval.Derived
	Before   []*Rule
	Words    Words

	lib     *Library
	scope   *scope
	slots   int // readings, and fields that guards name
	fields  int // of all steps
	atoms   int // most atoms of any step
	sources []string
}

// Review says who has tried a tree and on what day, as YYYY-MM-DD. A tree that nobody has tried is
// a draft; Said is what its author says of it then.
type Review struct{ By, Day, Said string }

// Draft reports whether nobody has reviewed the tree.
func (r Review) Draft() bool { return r.By == "" }

// String is the status in words: "draft", "reviewed by A. Trainer on 2031-02-01".
func (r Review) String() string {
	switch {
	case !r.Draft():
		return "reviewed by " + r.By + " on " + r.Day
	case r.Said != "":
		return "draft: " + r.Said
	}
	return "draft"
}

// Words are the declared vocabularies: whatever a tree names in probe, vehicle,
// act, sees, needs, leaves must stand in one of these lists.
type Words struct {
	Points    []string            // places a probe or a clamp can touch
	States    map[string][]string // key: [key_off, key_on, ...], doors: [...]
	Acts      []string            // things a load, charge, repair, jump or wait step does
	Sees      []string            // things a person can look at
	Equipment []string            // what a kit may hold
	Undone    []string            // temporary changes that must be put back
	Back      map[string]string   // how, as a sentence; a change that is not named is put back by steps only
}

// Reading is one thing a person can measure, look at or be asked.
type Reading struct {
	eval.Domain
	Index int
	ID    string
	Ask   string            // "Battery voltage at rest"
	Short string            // one word for typed lines: "rest"
	About map[string]string // of a choice

	Fact     bool // lasts the whole job
	Hazard   bool // never answered by Enter alone
	Optional bool // may be skipped
	Unsure   bool // "not sure" is an answer

	Red, Black string // probe points
	Clamp      string // clamp point, for currents
	Vehicle    map[string]string
	Hold       string // settled plateau lowest highest ripple first, or "at: 15 s"
	Meter      string // meter function that takes it: volts_dc volts_ac amps_clamp ..., or none
	Exact      bool   // measured, and nothing says with what: it counts as exact
	AlsoOutBy  float64
	Needs      []string
	Sees       string
	Assume     *Assume

	How, Slips, Cannot, Good Text
	Odd                      []Odd
	Place                    source.Place

	meter int // number of its meter function
}

// Assume is the wide range that stands in for a reading nobody could take.
type Assume struct {
	By     *Reading              // a choice reading
	Ranges map[string][2]float64 // by choice, base units
	If     *eval.Guard           // nil: always allowed
	Source string
}

// Odd is a question asked before an unlikely answer is believed.
type Odd struct {
	If  *eval.Guard
	Ask string
}

// Step is one thing to do, and the branches that leave it.
type Step struct {
	Index    int
	ID       string // with the path of sub-trees before it: "recharge/settle"
	Kind     Kind
	Title    string
	Do       Text     // the instruction
	Picture  *Picture // beside it, or nil
	Why      Text
	Cautions []string
	Take     []*Reading
	Record   []*Reading // kept for the report, decides nothing
	Together bool       // one act gives all fields: ask for them in one go

	Branches []*Branch
	Unable   *Branch // the way on when a reading could not be taken
	Unsure   *Branch // the way on when "not sure" leaves the step open
	Better   *Step   // the test to take when a limit here is too close

	Leaves, Restores []string
	Minutes          float64
	Act, For         string
	Needs            []string
	Place            source.Place

	prog     *eval.Program // its branches as one list of comparisons
	fields   []FieldOf
	rules    []*Rule // hazard rules that guard this step
	betters  []*Step // tests that close limits here call for
	findings bitset  // findings that can still be reached from here
	actions  bitset
	asking   bool              // some way to the step leaves it something to ask
	fewest   int               // questions on the shortest way from here, this step included
	most     int               // and on the longest
	declared int               // index while loading: the one done(step) goes by
	faulty   bool              // a fault may have left it without one of its ways
	prefix   string            // path of the sub-trees the step lies in, "recharge/"
	subtree  string            // name of the tree that declares it
	with     string            // what that is given where it is run, "" if nothing
	own      map[string]string // names of what it is given there, as that tree calls it
	ranAt    source.Place
}

// Branch is one way out of a step.
type Branch struct {
	Index  int
	Text   string // as the author wrote it: "earth_drop > earth_allowed", "below limits.no_volts"
	Say    Text   // the author's own claim, if any
	Clears []*Finding
	Likely bool // the author knows that findings beyond it may lack what they rest on
	To     Target
	Leads  string      // the name of To in the file of the branch
	Guard  *eval.Guard // nil for an unconditional branch
	Place  source.Place
}

// Target is where a branch leads: a step or a finding, never both.
type Target struct {
	Step    *Step
	Finding *Finding
}

// Finding is one end of a tree.
type Finding struct {
	Index    int
	ID       string
	Title    string
	Faults   []string // ids from the lists of faults
	Action   string   // close calls between findings of one action need no more testing
	Remedy   Text
	Customer Text // the plain paragraph
	ProveBy  string
	RestsOn  []Evidence // without any of it the finding is likely, not firm
	Then     *Then
	Open     Text // what this finding leaves unproved
	Cautions []string
	Stop     bool // nothing more may be done to this vehicle by this program
	Weight   float64
	Place    source.Place

	action int // number of its action
}

// Then is the round that follows a finding once it has been acted on.
type Then struct {
	Tree  string
	Keep  string // "facts"
	First string // what is done before it: one of Firsts
}

// What is done between a finding and its next round.
const (
	FirstRepair = "repair"  // what the finding names is put right
	FirstCharge = "charge"  // the battery is charged over a night, and rests
	FirstTest   = "test"    // nothing: what the finding names is suspected, and the round tests it
	FirstCause  = "cause"   // nothing: the battery was flat, and the round looks for why
	FirstHandOn = "hand_on" // nothing yet: what the finding names is known, and somebody else goes on
)

// Firsts are the words for it.
var Firsts = []string{FirstRepair, FirstCharge, FirstTest, FirstCause, FirstHandOn}

// Rule is a hazard rule: it must hold before any step of its kinds.
type Rule struct {
	ID    string
	Kinds []Kind
	Holds *eval.Guard
	Text  string
	Else  *Finding
	Why   string
	Needs []*Reading // readings the rule looks at, asked when not fresh
	Place source.Place
}

// FaultKind is one entry of a list of faults.
type FaultKind struct {
	ID, Title, Group string
	Place            source.Place
}
