package vehicle

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

// wiring is each branch: between which nodes it lies (its current counts from the
// first to the second), and its resistance in the usual vehicle, a battery under the
// bonnet whose earth lead lands on the body, and a start relay.
//
// Source, branch by branch: cables from IEC 60228 class 5 (35 mm² 0.554 mΩ/m,
// 25 mm² 0.78, 16 mm² 1.21, 4 mm² 4.95) times usual lengths; joints, contacts and
// coil from memory; the paths through pipes and control cables beside the strap, a
// modelling choice. The start chain from the battery's post to the trigger terminal
// is 9.5 mΩ: with both windings in, about 80 A, it then loses under the 1.0 V of
// TM 5-2420-230-24-2, p. 13-33.
var wiring = [branches]struct {
	from, to Node
	ohm      float64
}{
	bDiagnostic:   {fuseBox, diagnosticSocket, 0.1},
	bLampWire:     {fuseBox, lampFeed, 8e-3},
	bCircuitFuse:  {fuseBox, circuitFeed, 7.5e-3}, // a 10 A blade fuse, from memory
	bSwitchFeed:   {fuseBox, switchInput, 20e-3},
	bSwitch:       {switchInput, switchOutput, 20e-3},
	bStartWire:    {switchOutput, inhibitor, 50e-3},
	bGearSwitch:   {inhibitor, coilSupply, 20e-3},
	bCoil:         {coilSupply, coilEarth, 90},
	bCoilEarth:    {coilEarth, body, 20e-3},
	bStartFeed:    {fuseBox, startFuseInput, 0.8e-3},
	bStartFuse:    {startFuseInput, relayFeed, 1.2e-3},
	bFuseToSwitch: {relayFeed, switchInput, open},
	bRelay:        {relayFeed, relayOutput, 1.7e-3},
	bSwitchToWire: {coilSupply, relayOutput, open},
	bTriggerWire:  {relayOutput, trigger, 3.7e-3},
	bPull:         {trigger, starterMotor, 0.175},
	bHold:         {trigger, starterCase, 0.67},
	bAltCable:     {starterFeed, alternatorOutput, 2.5e-3},
	bAltCase:      {alternatorCase, engineBlock, 0.3e-3},
	bAltLeak:      {alternatorOutput, alternatorCase, open},
	bSecondLink:   {jumpPost, secondPost, open},
	bMainFuse:     {jumpPost, fuseBox, 2e-3},
	bPosJoint:     {positivePost, positiveClamp, 0.1e-3},
	bNegJoint:     {negativeClamp, negativePost, 0.1e-3},
	bFeed:         {positiveClamp, jumpPost, 1e-6}, // the jump post is the clamp's own bolt
	bPosCable:     {jumpPost, starterFeed, 0.9e-3},
	bContact:      {starterFeed, starterMotor, 0.4e-3},
	bCase:         {starterCase, engineBlock, 0.1e-3},
	bStrap:        {engineBlock, body, 0.45e-3},
	bStrays:       {engineBlock, body, 0.1},
	bEarth:        {body, negativeClamp, 0.35e-3},
	bDirect:       {engineBlock, negativeClamp, open},
	bTestLamp:     {positivePost, engineBlock, open},
	bBypass:       {engineBlock, negativePost, 8e-3}, // one jump lead
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

// matrix is the conductance matrix of the unknown nodes. Symmetry gives what stands
// over the diagonal.
type matrix [nodes][nodes]float64

// below gives for each column the later rows that can differ from zero, before or
// during elimination. It follows from the wiring alone, so it is worked out once.
var below = func() (rows [nodes][]Node) {
	var filled [nodes + 1][nodes + 1]bool
	join := func(a, b Node) { filled[max(a, b)][min(a, b)] = true }
	for _, b := range wiring {
		join(b.from, b.to)
	}
	for _, d := range across {
		join(d[0], d[1])
	}
	for k := range nodes {
		for i := k + 1; i < nodes; i++ {
			if !filled[i][k] {
				continue
			}
			for _, j := range rows[k] {
				join(i, j)
			}
			rows[k] = append(rows[k], i)
		}
	}
	return rows
}()

// admittance is the matrix of the branches, with the leaks, and with norton at the
// battery's post.
func admittance(siemens *[branches]float64, norton float64) (m matrix) {
	for k := range nodes {
		m[k][k] = leak
	}
	for b, g := range siemens {
		if g != 0 {
			m.add(wiring[b].from, wiring[b].to, g)
		}
	}
	m[positivePost][positivePost] += norton
	return m
}

// add puts a conductance between two nodes.
func (m *matrix) add(a, b Node, g float64) {
	if a != negativePost {
		m[a][a] += g
	}
	if b != negativePost {
		m[b][b] += g
	}
	if a != negativePost && b != negativePost {
		m[max(a, b)][min(a, b)] -= g
	}
}

// factor splits the columns from one to before another of the matrix into L D Lᵀ,
// in place. Of resistances alone the matrix is symmetric and positive definite,
// since every node leaks to the reference, so no pivoting is needed; with a falling
// characteristic in it, it may not be, and factor reports false.
func (m *matrix) factor(from, to Node) bool {
	for k := from; k < to; k++ {
		if m[k][k] <= 0 {
			return false
		}
		inverse := 1 / m[k][k]
		m[k][k] = inverse
		for n, i := range below[k] {
			row := &m[i]
			l := row[k] * inverse
			for _, j := range below[k][:n+1] {
				row[j] -= l * m[j][k]
			}
		}
		for _, i := range below[k] {
			m[i][k] *= inverse
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
	for k := range nodes {
		if x := v[k]; x != 0 {
			for _, i := range below[k] {
				v[i] -= m[i][k] * x
			}
		}
	}
}

// back is the second half.
func (m *matrix) back(v *vector) {
	for k := int(nodes) - 1; k >= 0; k-- {
		x := v[k] * m[k][k]
		for _, i := range below[k] {
			x -= m[i][k] * v[i]
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
