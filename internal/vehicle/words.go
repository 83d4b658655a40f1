package vehicle

import (
	"maps"
	"slices"
)

// The words that trees use, each for one thing of the model. A tree with other
// words for the same things needs a line here and nothing else.

// points are the places for a probe.
var points = map[string]Node{
	"battery_positive_post":  positivePost,
	"battery_negative_post":  negativePost,
	"battery_positive_clamp": positiveClamp,
	"battery_negative_clamp": negativeClamp,
	"second_positive_post":   secondPost,
	"second_negative_post":   body, // its lead lands beside it
	"jump_post":              jumpPost,
	"starter_feed_stud":      starterFeed,
	"starter_motor_stud":     starterMotor,
	"starter_case":           starterCase,
	"trigger_terminal":       trigger,
	"engine_block":           engineBlock,
	"body":                   body,
	"alternator_output":      alternatorOutput,
	"alternator_case":        alternatorCase,
	"fuse_box_feed":          fuseBox,
	"start_fuse_input":       startFuseInput,
	"relay_feed":             relayFeed,
	"relay_output":           relayOutput,
	"relay_coil_supply":      coilSupply,
	"relay_coil_earth":       coilEarth,
	"start_switch_input":     switchInput,
	"start_switch_output":    switchOutput,
	"gear_switch_input":      inhibitor,
	"battery_case_top":       negativePost, // a clean lid carries nothing
	"circuit_fuse_input":     fuseBox,
	"circuit_fuse_output":    circuitFeed,
	"lamp_feed":              lampFeed,
	"diagnostic_socket":      diagnosticSocket,
}

// Points lists where probes and clamps can be put.
func Points() []string {
	out := slices.AppendSeq(slices.Collect(maps.Keys(points)), maps.Keys(leads))
	slices.Sort(out)
	return out
}

// withRelayOnly are the points that a vehicle without a start relay has not.
var withRelayOnly = map[string]bool{
	"relay_feed": true, "relay_output": true, "relay_coil_supply": true, "relay_coil_earth": true,
}

// leads are the places for a clamp, each with the current through it.
var leads = map[string]func(*solution) float64{
	"battery_negative_lead": func(s *solution) float64 { return s.battery },
	"battery_positive_lead": func(s *solution) float64 { return s.battery },
	"starter_lead":          func(s *solution) float64 { return s.current[bPosCable] },
	"trigger_lead":          func(s *solution) float64 { return s.current[bTriggerWire] },
	"alternator_lead":       func(s *solution) float64 { return -s.current[bAltCable] },
	"fuse_box_lead":         func(s *solution) float64 { return s.current[bMainFuse] },
	"engine_strap":          func(s *solution) float64 { return s.current[bStrap] },
	"charger_lead":          func(s *solution) float64 { return -s.devices[dCharger] },
}

// states says what each word of a state sets. The words are told apart by
// themselves, whatever the tree calls the list that they stand in.
var states = map[string]func(*state){
	"key_off":      func(s *state) { s.key = keyOff },
	"key_on":       func(s *state) { s.key = keyOn },
	"key_start":    func(s *state) { s.key = keyStart },
	"closed":       func(s *state) { s.door = false },
	"open":         func(s *state) { s.door = true },
	"loads_off":    func(s *state) { s.loads = loadsOff },
	"small_loads":  func(s *state) { s.loads = loadsSmall },
	"heavy_loads":  func(s *state) { s.loads = loadsHeavy },
	"still":        func(s *state) { s.engine = still },
	"cranking":     func(s *state) { s.engine = cranking },
	"running":      func(s *state) { s.engine = idling },
	"idling":       func(s *state) { s.engine = idling },
	"revving":      func(s *state) { s.engine = revving },
	"running_fast": func(s *state) { s.engine = revving },
	"charger_off":  func(s *state) { s.charger = false },
	"charger_on":   func(s *state) { s.charger = true },
}
