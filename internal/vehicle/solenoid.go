package vehicle

import "math"

// Solenoid is the starter's solenoid: a pull-in winding that returns through the
// armature, and a hold winding that returns through the case. The plunger feels
// the sum of both currents.
//
// With equal turns the two windings cancel when they are fed from the motor side,
// which is why it lets go when the trigger is released; and with the contact
// closed both ends of the pull-in winding stand at the same voltage, so it goes
// dead and the hold winding holds alone.
type Solenoid struct {
	PullAmps float64 // sum of both currents that pulls the plunger in, A
	HoldAmps float64 // sum that holds it

	// Plain thresholds between trigger and case, V, instead of currents. Only the
	// reference set has them.
	PullVolts, HoldVolts float64

	Welded bool // its contact does not open any more
}

// usualSolenoid pulls in at 7.0 V and holds down to 3.0 V at 20 °C. Source:
// pulling in by 8 V at the latest is common practice, no source; 2 to 4 V for
// holding is a modelling choice. Windings of 0.175 and 0.67 Ω give the 69 to 97 A
// and 13 to 19 A of TM 5-2420-230-24-2, p. 13-33.
func usualSolenoid() Solenoid {
	const pull, hold, armature = 0.175, 0.67, 0.006
	return Solenoid{PullAmps: 7.0/(pull+armature) + 7.0/hold, HoldAmps: 3.0 / hold}
}

// pulling reports whether a force, in A, and a voltage move the plunger in.
func (s *Solenoid) pulling(amps, volts float64) bool {
	if s.PullVolts > 0 {
		return volts >= s.PullVolts
	}
	return math.Abs(amps) >= s.PullAmps
}

// holding reports whether they keep it in.
func (s *Solenoid) holding(amps, volts float64) bool {
	if s.HoldVolts > 0 {
		return volts >= s.HoldVolts
	}
	return math.Abs(amps) >= s.HoldAmps
}

// pullsIn reports whether the plunger moves; the contact is open in the solution.
func (s *Solenoid) pullsIn(x *solution) bool {
	return s.pulling(x.current[bPull]+x.current[bHold], x.between(trigger, starterCase))
}

// holds reports whether the plunger stays in.
func (s *Solenoid) holds(x *solution) bool {
	return s.holding(x.current[bPull]+x.current[bHold], x.between(trigger, starterCase))
}
