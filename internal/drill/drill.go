package drill

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
	"deadflat/internal/text"
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
	Done bool // a finding was given, or the last question answered

	// Of a level that asks questions.
	Questions []*Question
	at        int // the one that is open

	// Of the others.
	Hidden   []string // the truth, as it was at the beginning
	Told     []string // what is known at the beginning
	Named    []string // faults that the finding names
	Minutes  float64
	Worked   float64 // the same without the hours on the charger and of waiting
	Acts     []Act
	Dangers  []string // what was stopped because it would have hurt somebody
	Omitted  []string // checks that were left out before something dangerous
	Repaired []string

	lines    int // taken so far
	trap     *trap
	start    start
	bay      *bay
	checked  map[string]bool // things looked at
	leadOff  bool            // the negative lead
	changed  bool            // something has been charged or renewed
	suspects []*suspect
	way      *way
	last     *Trace // that was recorded last
	traces   int    // recorded so far
}

// start is what was known at the beginning.
type start struct {
	class, said string
	celsius     float64
}

func startOf(v *vehicle.Vehicle) start {
	said, _ := v.Observe("complaint")
	return start{v.Params().Class, said, v.Params().Celsius}
}

// asItCameIn is the drill's vehicle as it was at the beginning, but out of gear.
func (d *Drill) asItCameIn() *bay {
	v, rng, _, _ := d.draw() // it could be drawn when the drill began
	v.PutInGear(false)
	return newBay(v, d.Meter, rng)
}

// Act is one thing done, and what came of it.
type Act struct {
	*test
	Showed        string
	Before, After int    // faults still possible; of what could have told something
	Trace         *Trace // a crank that was recorded

	open  []int // before it: the suspects' vehicles that it could be like
	fresh bool  // nothing had been charged or renewed before it
}

// tells reports whether it could have told something.
func (a *Act) tells() bool { return a.do != nil }

// idle reports whether it could have told something and did not.
func (a *Act) idle() bool { return a.tells() && a.After == a.Before }

// bay is a vehicle, and somebody with a meter at it.
type bay struct {
	v *vehicle.Vehicle
	m *mechanic.Mechanic
}

// begun is when every drill begins: no clock comes into it.
var begun = time.Time{}

func newBay(v *vehicle.Vehicle, meter *engine.Meter, rng *rand.Rand) *bay {
	return &bay{v, mechanic.New(v, meter, rng, begun)}
}

// New begins a drill.
func New(o Options) (*Drill, error) {
	if o.Level < 1 || o.Level > len(Levels) {
		return nil, fmt.Errorf("there is no level %d: it is 1 to %d", o.Level, len(Levels))
	}
	d := &Drill{Options: o, checked: map[string]bool{}}
	if asks(o.Level) {
		if o.Family != "" {
			return nil, fmt.Errorf("level %d asks questions and hides no fault: it has no families", o.Level)
		}
		return d, d.question()
	}
	v, rng, t, err := o.draw()
	if err != nil {
		return nil, err
	}
	d.trap, d.Hidden, d.bay = t, v.Faults(), newBay(v, o.Meter, rng)
	d.start = startOf(v)
	d.Told = []string{fmt.Sprintf("The engine is a %s. The air is at %s.", d.start.class, degrees(d.start.celsius)), fmt.Sprintf("The customer says: %s.", told(d.start.said))}
	d.way, err = d.theWay()
	return d, err
}

// Reply is what comes of a line.
type Reply struct {
	Text  string // paragraphs, one a line; leading blanks set one in
	Trace *Trace // a crank to be shown
	Slow  bool   // only its beginning, slowed down
	Long  bool   // it is read and put aside, and nothing came of it
}

// Do does what one typed line says and gives what is to be shown. What is not
// understood changes nothing and is an error.
func (d *Drill) Do(line string) (Reply, error) {
	if d.Done {
		return Reply{}, errors.New("the drill is over: nothing more can be done in it")
	}
	if len(line) > longestLine {
		return Reply{}, fmt.Errorf("that line is too long: expected at most %d letters", longestLine)
	}
	line = text.Clean(line)
	words := wordsOf(line)
	if len(words) == 0 {
		return Reply{}, fmt.Errorf("nothing was typed; \"help\" lists what can be done")
	}
	v, err := d.verb(words[0])
	if err != nil {
		return Reply{}, err
	}
	if v != nil && v.word != "find" && (d.lines >= mostLines || d.Minutes > mostMinutes) {
		return Reply{}, fmt.Errorf("this has gone on for long enough: give your finding")
	}
	var r Reply
	if v != nil {
		r, err = v.run(d, line, words[1:])
	} else {
		r, err = d.answer(line, words)
	}
	if err == nil && !r.Long {
		d.lines++
	}
	return r, err
}

// What a drill is bounded by, so that a file of one cannot keep a machine busy: lines,
// bytes of one, and two weeks of the vehicle's time. Modelling choices.
const (
	mostLines   = 500
	longestLine = 500
	mostMinutes = 14 * 24 * 60
)

// book notes an act.
func (d *Drill) book(a Act) {
	d.Minutes += a.minutes
	if !a.waits {
		d.Worked += a.minutes
	}
	a.fresh = !d.changed
	d.Acts = append(d.Acts, a)
	d.changed = d.changed || a.changes
}

// note books an act that could not have told anything.
func (d *Drill) note(x *test, shows string) (Reply, error) {
	d.book(Act{test: x, Showed: shows})
	return Reply{Text: shows}, nil
}

// run does a test on the vehicle and on those of every suspect, and books it.
func (d *Drill) run(x *test) (shown, string) {
	if x.guard != nil {
		if stopped := x.guard(d); stopped != "" {
			return shown{}, stopped
		}
	}
	a := Act{test: x, Before: len(d.possible()), open: d.openVehicles()}
	noise, _ := d.bay.v.Observe("engine_turned")
	s := x.do(d.bay)
	if x.jolt {
		d.eliminate(shown{words: turnedAs + told(noise)}, jolt)
	} else {
		d.eliminate(s, x.do)
	}
	a.Showed, a.After = s.text(), len(d.possible())
	d.book(a)
	return s, ""
}

// Head says which drill it is and what was known at the beginning.
func (d *Drill) Head() []string {
	return append([]string{fmt.Sprintf("Drill, level %d: %s Seed %d.", d.Level, text.Stop(Levels[d.Level-1].Title), d.Seed)}, d.Told...)
}

// Elapsed is how much time has gone by, and what the clock still allows.
func (d *Drill) Elapsed() string {
	if d.Level == clocked {
		return fmt.Sprintf("%.0f of %d minutes of work gone", d.Worked, clockMinutes)
	}
	return counted(d.Minutes, "minute") + " so far"
}

// Late reports whether the clock of the level has run out.
func (d *Drill) Late() bool { return d.Level == clocked && d.Worked > clockMinutes }
