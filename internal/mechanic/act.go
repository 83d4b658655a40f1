package mechanic

import (
	"errors"
	"fmt"
	"slices"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// arrive does what a step asks for before anything is read: puts back and leaves
// what it says, its act, or the time that it takes.
func (m *Mechanic) arrive(p *engine.Prompt) error {
	st := p.Step
	m.at = visit{step: st, round: p.Round}
	m.Minutes += st.Minutes
	if st.Kind == engine.Charge {
		m.Charging += st.Minutes
	}
	if why := m.unsafe(st); why != "" {
		return &Unsafe{st, why}
	}
	for _, word := range st.Restores {
		if err := m.Vehicle.PutBack(word); err != nil {
			return err
		}
	}
	for _, word := range st.Leaves {
		if err := m.Vehicle.Leave(word); err != nil {
			return err
		}
	}
	return m.act(st)
}

// unsafe holds what a step does against the vehicle's true state.
func (m *Mechanic) unsafe(st *engine.Step) string {
	switch st.Kind {
	case engine.Crank, engine.Jump:
		if m.Vehicle.Moves() {
			return "it is in gear, and the vehicle would move"
		}
		return m.Vehicle.Unsafe()
	case engine.Charge, engine.LoadTest:
		return m.Vehicle.Unsafe()
	}
	return ""
}

// act does a step's act. A crank is left to the readings that are taken while
// cranking, so that nothing is cranked twice.
func (m *Mechanic) act(st *engine.Step) error {
	switch {
	case st.Act == "":
		return m.pass(st)
	case st.Act == "crank" && slices.ContainsFunc(st.Take, turnsKey):
		return nil
	}
	m.state = nil
	err := m.Vehicle.Act(st.Act, st.For)
	m.job.does(st)
	var hazard *vehicle.Hazard
	switch {
	case errors.As(err, &hazard):
		return &Unsafe{st, hazard.Why}
	case errors.Is(err, vehicle.ErrNoStart):
		return nil // what is read next shows it
	}
	return err
}

// pass lets the time go by that a step without an act takes.
func (m *Mechanic) pass(st *engine.Step) error {
	if st.Minutes == 0 || slices.ContainsFunc(st.Take, turnsKey) {
		return nil
	}
	return m.Vehicle.Act("wait", fmt.Sprintf("%g min", st.Minutes))
}

// turnsKey reports whether a reading is taken with the key held in start.
func turnsKey(r *engine.Reading) bool {
	return r.Vehicle["key"] == "key_start" || r.Vehicle["engine"] == "cranking"
}

// LetGo lets go of the key after a reading.
func (m *Mechanic) LetGo() {
	if m.state["key"] == "key_start" || m.state["engine"] == "cranking" {
		m.state = nil
		// Words that are known, and no running engine: it cannot fail.
		_ = m.Vehicle.Set(map[string]string{"key": "key_off", "engine": "still"})
	}
}
