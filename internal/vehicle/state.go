package vehicle

import (
	"errors"
	"fmt"
)

// state is what the vehicle is set to.
type state struct {
	key     key
	door    bool // one is open
	loads   loads
	engine  engineState
	charger bool
}

type key uint8

const (
	keyOff key = iota
	keyOn
	keyStart
)

type loads uint8

const (
	loadsOff loads = iota
	loadsSmall
	loadsHeavy
)

type engineState uint8

const (
	still engineState = iota
	cranking
	idling
	revving
)

// Set puts the vehicle into a state. The values of the map are words such as
// "key_on"; what it does not name stays as it is, except that an engine stops
// when the key goes off. An unknown word, or a running engine when it does not
// start, is an error and changes nothing.
func (v *Vehicle) Set(words map[string]string) error {
	next := v.state
	next.engine = still
	for _, word := range words {
		set, known := states[word]
		if !known {
			return fmt.Errorf("there is no vehicle state %q; it wants a word such as \"key_on\" or \"small_loads\"", word)
		}
		set(&next)
	}
	switch {
	case next.engine == cranking:
		next.key = keyStart
	case next.engine >= idling:
		if next.key == keyStart || words["key"] == "" {
			next.key = keyOn
		}
		if v.state.engine < idling && (v.attached.safe || !v.starts()) {
			return ErrNoStart
		}
	}
	v.enter(next)
	return nil
}

// ErrNoStart is what Set gives when a running engine is asked for and the engine
// does not start.
var ErrNoStart = errors.New("the engine does not start")

// enter changes the state and notes what that ends.
func (v *Vehicle) enter(next state) {
	was := v.state
	if next == was {
		return
	}
	if was.key != keyOff && next.key == keyOff {
		v.keyed = v.clock
	}
	if was.engine >= idling && next.engine < idling || was.charger && !next.charger {
		v.history.charged = v.clock
	}
	if next.engine >= idling && was.engine < idling {
		v.attached.booster = false // it has started: the leads come off
		v.started = v.clock
	}
	if next.key != was.key || next.engine != was.engine {
		v.attached.tester, v.attached.lamp = 0, 0
	}
	v.state = next
	v.shake()
	v.solved = false
}

// shake lets a joint that makes and breaks find a new place.
func (v *Vehicle) shake() {
	if v.par.Loose > 0 {
		v.loose = v.rng.Float64() < v.par.LooseShare
		v.solved = false
	}
}

// starts tries to start the engine from the present state.
func (v *Vehicle) starts() bool {
	was := v.state
	v.state.key, v.state.engine, v.state.charger = keyStart, cranking, false
	k := v.crank()
	v.state = was
	v.solved = false
	v.spend(&k, startSeconds)
	return v.fires(&k)
}

// startSeconds is how long a start takes. Source: common practice, no source.
const startSeconds = 1.5
