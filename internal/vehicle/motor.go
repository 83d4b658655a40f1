package vehicle

import "math"

// Starter is a starter motor, seen at its pinion, at 20 °C.
type Starter struct {
	K          float64 // V·s/rad and Nm/A
	Ohm        float64 // Ω of armature and field
	Brush      float64 // V over the brushes while it turns
	NoLoad     float64 // A that its own drag takes
	Ratio      float64 // teeth of the ring gear to those of the pinion
	Efficiency float64 // of the gear
	Saturation float64 // A; 0 for permanent magnets, else the field grows with the current
	Slips      bool    // the drive does not take the engine along
	Grinds     bool    // and grinds on the ring gear

	Henry   float64 // H of the armature
	Inertia float64 // kg m², engine and armature together, at the crankshaft
}

// Engine is what the starter has to turn, at 20 °C and at the crankshaft.
type Engine struct {
	Drag       float64 // Nm however slow
	Viscous    float64 // Nm·s/rad
	Breakaway  float64 // Nm over the first compression
	Gas        float64 // Nm, swing of the compressions
	Cylinders  int
	StartSpeed float64 // rad/s at which it fires
	Oil        float64 // 1/K by which its oil thickens more than thin oil does
}

// magnetDrop, copperRise and the laws of the engine over temperature. Source: the
// copper value is IEC 60028; magnets and oil from memory and modelling choice
// (torque proportional to speed when cold and the first compression as the
// largest part of breakaway: SAE 2007-01-1967, abstract).
const (
	copperRise  = 0.0039 // 1/K
	motorCopper = 0.8    // share of a starter's resistance that is copper
	magnetDrop  = 0.002  // 1/K, ferrite
	oilSlope    = 0.022  // 1/K
)

// at gives the starter at a temperature.
func (s Starter) at(celsius float64) Starter {
	s.Ohm *= 1 + copperRise*motorCopper*(celsius-20)
	s.K *= 1 - magnetDrop*(celsius-20)
	return s
}

// at gives the engine at a temperature.
func (e Engine) at(celsius float64) Engine {
	f := math.Exp((oilSlope + e.Oil) * (20 - celsius))
	e.Drag *= 0.35 + 0.65*f
	e.Viscous *= f
	e.Breakaway *= 0.75 + 0.25*f
	return e
}

// constant gives K and its slope at a current. The law of the series machine and
// its current of saturation are from memory.
func (s *Starter) constant(i float64) (k, slope float64) {
	if s.Saturation == 0 {
		return s.K, 0
	}
	e := math.Exp(-i / s.Saturation)
	return s.K * (1 - e), s.K * e / s.Saturation
}

// torque is what arrives at the crankshaft.
func (s *Starter) torque(i float64) float64 {
	k, _ := s.constant(i)
	return s.Ratio * s.Efficiency * k * (i - s.NoLoad)
}

// turning says what a motor is doing.
type turning uint8

const (
	unfed  turning = iota // its contact is open: the armature is a return for the pull-in winding
	locked                // fed and standing still
	spins
)

// motor is a starter and its engine as the solver sees them.
type motor struct {
	Starter
	Engine
	turning turning
	amps    float64 // of the last pass, for a motor whose field grows with the current
	floor   float64 // A, its least, once worked out
}

// speed is the crankshaft's speed, rad/s, at which torque and load balance.
func (m *motor) speed(i float64) float64 {
	return (m.torque(i) - m.Drag) / m.Viscous
}

// volts gives the voltage over the turning motor at a current, and its slope. For
// permanent magnets it is a straight line.
func (m *motor) volts(i float64) (v, slope float64) {
	k, dk := m.constant(i)
	w := m.speed(i)
	dw := m.Ratio * m.Efficiency * (k + dk*(i-m.NoLoad)) / m.Viscous
	return m.Brush + m.Ohm*i + k*m.Ratio*w, m.Ohm + m.Ratio*(k*dw+dk*w)
}

// least is the current that just turns the engine: under it a field that grows
// with the current has no working point.
func (m *motor) least() float64 {
	low, high := m.NoLoad, 3000.0
	for range 40 {
		if mid := (low + high) / 2; m.torque(mid) < m.Drag {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// companion gives the motor's conductance and its current at a voltage.
func (m *motor) companion(v float64) (g, i float64) {
	switch m.turning {
	case unfed:
		return 1 / m.Ohm, v / m.Ohm
	case locked:
		return 1 / m.Ohm, (v - m.Brush) / m.Ohm
	}
	at, r := m.volts(m.amps)
	return 1 / r, m.amps + (v-at)/r
}

// follow moves a motor whose field grows with the current to the current found,
// and gives how far that moved its voltage.
func (m *motor) follow(i float64) float64 {
	if m.floor == 0 {
		m.floor = m.least()
	}
	i = max(i, m.floor)
	moved := math.Abs(i-m.amps) * m.Ohm
	m.amps = i
	return moved
}
