package vehicle

import "fmt"

// Node is a point of the wiring that a probe can touch. The order is that of
// elimination: ends of side branches first, the loop of the cranking current last.
type Node uint8

// The nodes. negativePost is the reference and no unknown. No device (see below)
// touches those before firstTouched.
const (
	diagnosticSocket Node = iota // the supply pin of the diagnostic socket
	switchInput
	switchOutput
	inhibitor // before the gear or clutch switch
	coilEarth
	coilSupply
	startFuseInput
	relayFeed
	relayOutput
	trigger     // the small terminal of the solenoid
	lampFeed    // at the lamps and other consumers
	circuitFeed // behind the fuse of the circuit that draws with the key off
	alternatorOutput
	alternatorCase
	secondPost // positive post of a second battery
	fuseBox
	positiveClamp
	jumpPost
	starterFeed  // the stud that the cable comes to
	starterMotor // the stud that goes into the motor
	starterCase
	engineBlock
	body
	negativeClamp
	positivePost // last, where the battery meets the network: see meet
	nodes

	negativePost = nodes
	firstTouched = lampFeed
)

// branch is a piece of wiring, a joint, a switch or a winding: a plain resistance.
type branch uint8

const (
	bDiagnostic branch = iota
	bLampWire
	bCircuitFuse
	bSwitchFeed
	bSwitch
	bStartWire
	bGearSwitch
	bCoil
	bCoilEarth
	bStartFeed
	bStartFuse
	bFuseToSwitch // without a relay: the fuse feeds the switch
	bRelay
	bSwitchToWire // without a relay: the switch feeds the trigger
	bTriggerWire
	bPull
	bHold
	bAltCable
	bAltCase
	bAltLeak
	bSecondLink
	bMainFuse
	bPosJoint
	bNegJoint
	bFeed
	bPosCable
	bContact
	bCase
	bStrap
	bStrays
	bEarth
	bDirect
	bTestLamp
	bBypass
	branches
)

// ends says between which nodes a branch lies. Its current counts from the first
// to the second.
var ends = [branches][2]Node{
	bDiagnostic:   {fuseBox, diagnosticSocket},
	bLampWire:     {fuseBox, lampFeed},
	bCircuitFuse:  {fuseBox, circuitFeed},
	bSwitchFeed:   {fuseBox, switchInput},
	bSwitch:       {switchInput, switchOutput},
	bStartWire:    {switchOutput, inhibitor},
	bGearSwitch:   {inhibitor, coilSupply},
	bCoil:         {coilSupply, coilEarth},
	bCoilEarth:    {coilEarth, body},
	bStartFeed:    {fuseBox, startFuseInput},
	bStartFuse:    {startFuseInput, relayFeed},
	bFuseToSwitch: {relayFeed, switchInput},
	bRelay:        {relayFeed, relayOutput},
	bSwitchToWire: {coilSupply, relayOutput},
	bTriggerWire:  {relayOutput, trigger},
	bPull:         {trigger, starterMotor},
	bHold:         {trigger, starterCase},
	bAltCable:     {starterFeed, alternatorOutput},
	bAltCase:      {alternatorCase, engineBlock},
	bAltLeak:      {alternatorOutput, alternatorCase},
	bSecondLink:   {jumpPost, secondPost},
	bMainFuse:     {jumpPost, fuseBox},
	bPosJoint:     {positivePost, positiveClamp},
	bNegJoint:     {negativeClamp, negativePost},
	bFeed:         {positiveClamp, jumpPost},
	bPosCable:     {jumpPost, starterFeed},
	bContact:      {starterFeed, starterMotor},
	bCase:         {starterCase, engineBlock},
	bStrap:        {engineBlock, body},
	bStrays:       {engineBlock, body},
	bEarth:        {body, negativeClamp},
	bDirect:       {engineBlock, negativeClamp},
	bTestLamp:     {positivePost, engineBlock},
	bBypass:       {engineBlock, negativePost},
}

// device is a part whose current is no plain resistance's. The battery is none of
// them: the solver treats it apart.
type device uint8

const (
	dPosFilm    device = iota // a corroded positive joint
	dNegFilm                  // a corroded negative joint
	dConsumers                // lamps, heaters, electronics
	dDraw                     // what draws with the key off
	dMotor                    // the starter motor
	dSecond                   // a second battery
	dAlternator               // as a source: its current counts out of its output
	dCharger                  // a bench charger
	dBooster                  // a second vehicle or a booster pack
	dTester                   // a load tester
	devices
)

// across says between which nodes a device lies. Its current counts from the
// first through the device to the second.
var across = [devices][2]Node{
	dPosFilm:    {positivePost, positiveClamp},
	dNegFilm:    {negativeClamp, negativePost},
	dConsumers:  {lampFeed, body},
	dDraw:       {circuitFeed, body},
	dMotor:      {starterMotor, starterCase},
	dSecond:     {secondPost, body},
	dAlternator: {alternatorOutput, alternatorCase},
	dCharger:    {positiveClamp, body},
	dBooster:    {positiveClamp, engineBlock},
	dTester:     {positivePost, negativePost},
}

// leak is the conductance to the reference that every node has: the input of a
// meter and the damp of a wiring loom. It also gives a node cut off on all sides
// a voltage. Source: modelling choice, a meter's 10 MΩ.
const leak = 1e-7

// matrix is the conductance matrix of the unknown nodes: the diagonal first, then
// the places below it that can differ from zero. Symmetry gives the rest.
type matrix [nodes + places]float64

// places is how many places below the diagonal can differ from zero, before or
// during elimination.
const places = 70

// column is one step of the elimination.
type column struct {
	rows  []Node  // the later nodes that it touches
	slots []uint8 // where in the matrix their entries in this column stand
	// targets holds, for each pair of rows in the order in which factor takes them,
	// the place that changes.
	targets []uint8
}

// columns and slotOf follow from the wiring alone, so they are worked out once.
var columns, slotOf = eliminate()

func eliminate() (steps [nodes]column, slot [nodes][nodes]uint8) {
	var filled [nodes][nodes]bool
	join := func(a, b Node) {
		if a != negativePost && b != negativePost {
			filled[max(a, b)][min(a, b)] = true
		}
	}
	for _, e := range ends {
		join(e[0], e[1])
	}
	for _, e := range across {
		join(e[0], e[1])
	}
	next := uint8(nodes)
	for k := range nodes {
		c := &steps[k]
		slot[k][k] = uint8(k)
		for i := k + 1; i < nodes; i++ {
			if filled[i][k] {
				slot[i][k] = next
				c.rows, c.slots = append(c.rows, i), append(c.slots, next)
				next++
			}
		}
		for n, i := range c.rows {
			for _, j := range c.rows[:n] {
				join(i, j)
			}
		}
	}
	if next != uint8(nodes)+places {
		panic(fmt.Sprintf("the constant places is %d, the wiring has %d", places, next-uint8(nodes)))
	}
	for k := range steps {
		c := &steps[k]
		for n, i := range c.rows {
			for _, j := range c.rows[:n+1] {
				c.targets = append(c.targets, slot[i][j])
			}
		}
	}
	return steps, slot
}

// add puts a conductance between two nodes.
func (m *matrix) add(e [2]Node, g float64) {
	a, b := e[0], e[1]
	if a != negativePost {
		m[a] += g
	}
	if b != negativePost {
		m[b] += g
	}
	if a != negativePost && b != negativePost {
		m[slotOf[max(a, b)][min(a, b)]] -= g
	}
}

// factor splits the columns from one to before another of the matrix into L D Lᵀ,
// in place. Of resistances alone the matrix is symmetric and positive definite,
// since every node leaks to the reference, so no pivoting is needed; with a falling
// characteristic in it, it may not be, and factor reports false.
func (m *matrix) factor(from, to Node) bool {
	for k := from; k < to; k++ {
		c := &columns[k]
		if m[k] <= 0 {
			return false
		}
		inverse := 1 / m[k]
		m[k] = inverse
		t := c.targets
		for n, s := range c.slots {
			l := m[s] * inverse
			for _, other := range c.slots[:n+1] {
				m[t[0]] -= l * m[other]
				t = t[1:]
			}
		}
		for _, s := range c.slots {
			m[s] *= inverse
		}
	}
	return true
}

// vector holds a value for each node; that of the reference stays zero.
type vector [nodes + 1]float64

// forward is the first half of turning currents into the nodes into voltages. When
// it is done, the last node's voltage is its current times its entry in the
// matrix, and a current into it counts in that one place.
func (m *matrix) forward(v *vector) {
	for k := range columns {
		c := &columns[k]
		if x := v[k]; x != 0 {
			for n, i := range c.rows {
				v[i] -= m[c.slots[n]] * x
			}
		}
	}
}

// back is the second half.
func (m *matrix) back(v *vector) {
	for k := int(nodes) - 1; k >= 0; k-- {
		c := &columns[k]
		x := v[k] * m[k]
		for n, i := range c.rows {
			x -= m[c.slots[n]] * v[i]
		}
		v[k] = x
	}
	v[negativePost] = 0
}

// inject puts a current into one node and takes it out of another.
func (v *vector) inject(into, outOf Node, i float64) {
	v[into] += i
	v[outOf] -= i
}
