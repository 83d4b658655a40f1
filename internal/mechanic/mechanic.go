package mechanic

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// Mechanic answers the prompts of one walk from one vehicle.
type Mechanic struct {
	Vehicle  *vehicle.Vehicle
	Minutes  float64 // of work and of waiting, by the steps' own figures
	Charging float64 // of them, those of a charge
	Mended   []Mended

	person *Person
	meters map[string]*vehicle.Meter
	begun  time.Time
	at     visit
	oneAct map[string]string // state of the fields that are taken together, nil for none
	state  map[string]string // that the vehicle was set to last; nil when an act has left it
	job    job
}

// visit is the step that is being worked at.
type visit struct {
	step  *engine.Step
	round int
}

// Mended is one repair that a finding asked for.
type Mended struct {
	Finding *engine.Finding
	Repair  string // an act of the vehicle
	Needed  bool   // a fault that the finding names was there, and of a battery one that no charge cures
}

// Unsafe is the error of a step that would have hurt somebody: the tree asked for
// it on a vehicle that must not be treated so.
type Unsafe struct {
	Step *engine.Step
	Why  string
}

func (u *Unsafe) Error() string { return fmt.Sprintf("step %q is not safe: %s", u.Step.ID, u.Why) }

// Stuck is the error of a walk that has come to no finding and cannot go on.
type Stuck struct{ Why string }

func (s *Stuck) Error() string { return s.Why }

// errCannot is a reading that this vehicle, as it stands, does not give.
var errCannot = errors.New("it cannot be taken here")

// New puts somebody who never errs at a vehicle, with a meter of the given make. The
// meter's own errors are drawn from rng. Times of events count from begun.
func New(v *vehicle.Vehicle, m *engine.Meter, rng *rand.Rand, begun time.Time) *Mechanic {
	return &Mechanic{Vehicle: v, person: new(People).Draw(rng), meters: metersOf(m, rng), begun: begun}
}

// By puts another person at the vehicle.
func (m *Mechanic) By(p *Person) *Mechanic {
	m.person = p
	m.Vehicle.Listen(p.ear)
	return m
}

// Walk answers a walk until it ends in a finding, asks for something unsafe, or
// cannot go on. Most is the greatest number of prompts to answer in this round.
func (m *Mechanic) Walk(w *engine.Walk, most int) (*engine.Result, error) {
	for range most {
		p := w.Next()
		switch {
		case p.Result != nil:
			return p.Result, nil
		case p.Stuck != "":
			return nil, &Stuck{fmt.Sprintf("step %q cannot decide: %s", p.Step.ID, p.Stuck)}
		}
		if err := m.answer(w, p); err != nil {
			return nil, err
		}
	}
	return nil, &Stuck{fmt.Sprintf("no finding after %d prompts", most)}
}

// answer deals with one prompt.
func (m *Mechanic) answer(w *engine.Walk, p *engine.Prompt) error {
	if p.Gate != nil {
		return m.fields(w, p, p.Fields)
	}
	if m.at.step != p.Step || m.at.round != p.Round {
		if err := m.arrive(p); err != nil {
			return err
		}
	}
	if p.Ack {
		m.at.step = nil // the same step may come again in another round
		return m.say(w, engine.Event{Do: engine.DoDone, Step: p.Step.ID})
	}
	if p.Step.Together {
		m.oneAct = stateOf(p.Fields)
		defer func() { m.oneAct = nil; m.LetGo() }()
		return m.fields(w, p, p.Fields)
	}
	err := m.fields(w, p, p.Fields[:1])
	m.LetGo()
	return err
}

// stateOf is the state that the first of some fields asks for that asks for any.
func stateOf(fields []engine.Field) map[string]string {
	for _, f := range fields {
		if len(f.Reading.Vehicle) > 0 {
			return f.Reading.Vehicle
		}
	}
	return nil
}

// say gives an event to the walk.
func (m *Mechanic) say(w *engine.Walk, ev engine.Event) error {
	ev.At = m.now()
	out, err := w.Answer(ev)
	if err == nil && out.Refused != nil {
		err = fmt.Errorf("%q was refused: %s", ev.Do, out.Refused.Reason)
	}
	return err
}

// now is the time of an event, to a millisecond: what the vehicle's clock has beyond that
// comes of the order of its sums, and of the machine.
func (m *Mechanic) now() time.Time {
	return m.begun.Add(time.Duration(math.Round(1000*m.Vehicle.Clock())) * time.Millisecond)
}

// fields answers open fields in their order. The first that cannot be taken ends
// it.
func (m *Mechanic) fields(w *engine.Walk, p *engine.Prompt, fields []engine.Field) error {
	for _, f := range fields {
		err := m.field(w, p, f)
		if errors.Is(err, errCannot) {
			if f.Optional {
				err = m.say(w, engine.Event{Do: engine.DoSkip, Step: p.Step.ID, Reading: f.Reading.ID})
			} else {
				return m.cannot(w, p, f)
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// cannot says that a step could not be done. A tree that has no other way on, and a
// hazard check that cannot be answered, end the walk.
func (m *Mechanic) cannot(w *engine.Walk, p *engine.Prompt, f engine.Field) error {
	if p.Gate != nil || p.Step.Unable == nil {
		return &Stuck{fmt.Sprintf("step %q has no way on when %q cannot be taken", p.Step.ID, f.Reading.ID)}
	}
	return m.say(w, engine.Event{Do: engine.DoUnable, Step: p.Step.ID, Text: "the vehicle as it stands does not give it"})
}

// field takes one reading. What looks wrong is looked at a second time; what is
// read twice is believed.
func (m *Mechanic) field(w *engine.Walk, p *engine.Prompt, f engine.Field) error {
	if f.Reading.ID == allBack {
		if err := m.putBack(w, p.PutBack); err != nil {
			return err
		}
	}
	a, err := m.Take(f.Reading)
	if err != nil {
		return err
	}
	if f.Reading.Red != "" && (a.Value < -looksChanged || turned(f, a.Value)) {
		// A minus sign, or one that has gone: are the leads changed over?
		if a, err = m.again(p, f.Reading); err != nil {
			return err
		}
	}
	ev := engine.Event{Do: engine.DoAnswer, Step: p.Step.ID, Reading: f.Reading.ID, Answer: &a}
	ev.At = m.now()
	out, err := w.Answer(ev)
	if err != nil || out.Refused == nil {
		return err
	}
	again, err := m.again(p, f.Reading)
	if err != nil {
		return err
	}
	again.Sure = true
	ev.Answer = &again
	out, err = w.Answer(ev)
	if err == nil && out.Refused != nil {
		return errCannot
	}
	return err
}

// again takes a reading a second time. A load test has ended with the first, so it is
// done again.
func (m *Mechanic) again(p *engine.Prompt, r *engine.Reading) (engine.Answer, error) {
	if p.Gate == nil && p.Step.Kind == engine.LoadTest {
		if err := m.act(p.Step); err != nil {
			return engine.Answer{}, err
		}
	}
	return m.Take(r)
}

// turned reports whether a reading has the other sign than the one before it.
func turned(f engine.Field, value float64) bool {
	return f.Before != nil && f.Before.Best < -looksChanged && value > looksChanged
}

// allBack is the question whether everything temporary is undone: what is still
// open is undone before it is answered.
const allBack = "all_back"

// looksChanged is the least negative voltage that makes somebody look at the leads
// again, V. Modelling choice.
const looksChanged = 0.02
