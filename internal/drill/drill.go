package drill

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
	"deadflat/internal/vehicle"
)

// Options settle a drill.
type Options struct {
	Level   int // 1 to 7
	Family  string
	Seed    uint64
	Library *engine.Library
	Tree    *engine.Tree // whose way is shown beside the apprentice's
	Meter   *engine.Meter
}

// Drill is one drill in its course.
type Drill struct {
	Options
	Hidden   []string // the truth, as it was at the beginning
	Told     []string // what the customer says
	Done     bool     // a finding was given, or it was given up
	Named    []string // faults that the finding names
	Minutes  float64
	Acts     []Act
	Dangers  []string // what was stopped because it would have hurt somebody
	Omitted  []string // checks that were left out before something dangerous
	Repaired []string

	at       *bench
	checked  map[string]bool // things looked at
	leadOff  bool            // the negative lead
	suspects []*suspect
	way      *way
	hints    int
}

// Act is one thing done, and what came of it.
type Act struct {
	Line    string
	Showed  string
	Minutes float64
	Cannot  string // what such a reading cannot tell
	Test    bool   // it could have told something
	Before  int    // faults still possible
	After   int
}

// bench is a vehicle and somebody with a meter at it.
type bench struct {
	v *vehicle.Vehicle
	m *mechanic.Mechanic
}

func newBench(v *vehicle.Vehicle, meter *engine.Meter, rng *rand.Rand) *bench {
	return &bench{v, mechanic.New(v, meter, rng, time.Time{})}
}

// New begins a drill.
func New(o Options) (*Drill, error) {
	if o.Level < 1 || o.Level > len(Levels) {
		return nil, fmt.Errorf("there is no level %d: it is 1 to %d", o.Level, len(Levels))
	}
	v, rng, err := o.draw()
	if err != nil {
		return nil, err
	}
	d := &Drill{Options: o, Hidden: v.Faults(), checked: map[string]bool{}}
	if d.suspects, err = suspectsOf(v, o.Meter); err != nil {
		return nil, err
	}
	d.way = d.theWay()
	d.at = newBench(v, o.Meter, rng)
	said, _ := v.Observe("complaint")
	class, _ := v.Observe("engine_class")
	d.Told = []string{fmt.Sprintf("The engine is a %s. The air is at %.0f °C.", class, v.Params().Celsius), fmt.Sprintf("The customer says: %s.", said)}
	return d, nil
}

// Do does what one typed line says and gives what is to be shown. What is not
// understood changes nothing and is an error.
func (d *Drill) Do(line string) (string, error) {
	words := strings.Fields(strings.ToLower(strings.ReplaceAll(line, ",", " ")))
	if len(words) == 0 {
		return "", fmt.Errorf("nothing was typed; \"help\" lists what can be done")
	}
	c := verbs[words[0]]
	if c == nil {
		return "", fmt.Errorf("%q is nothing that can be done here; \"help\" lists what can be", words[0])
	}
	return c(d, line, words[1:])
}

// book notes an act.
func (d *Drill) book(a Act) {
	d.Minutes += a.Minutes
	d.Acts = append(d.Acts, a)
}

// Late reports whether the clock of the level has run out.
func (d *Drill) Late() bool { return d.Level >= clocked && d.Minutes > clockMinutes }
