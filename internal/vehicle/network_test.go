package vehicle

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// anyVehicle draws a vehicle with up to two faults, in any state.
func anyVehicle(t *rapid.T) *Vehicle {
	seed := rapid.Uint64Range(0, 1<<20).Draw(t, "seed")
	v := Draw(rand.New(rand.NewPCG(seed, 7)), AsFound())
	v.state = state{
		key:     rapid.SampledFrom([]key{keyOff, keyOn, keyStart}).Draw(t, "key"),
		door:    rapid.Bool().Draw(t, "door"),
		loads:   rapid.SampledFrom([]loads{loadsOff, loadsSmall, loadsHeavy}).Draw(t, "loads"),
		charger: rapid.Bool().Draw(t, "charger"),
	}
	if v.state.key == keyOn && rapid.Bool().Draw(t, "running") {
		v.state.engine = revving
	}
	v.attached.lamp = rapid.SampledFrom([]float64{0, 21}).Draw(t, "lamp")
	v.attached.tester = rapid.SampledFrom([]float64{0, 0, 200}).Draw(t, "tester")
	v.attached.booster = rapid.Bool().Draw(t, "booster")
	v.solved = false
	return v
}

// eachNetwork calls f for every network that the state goes through.
func eachNetwork(v *Vehicle, f func(circuit, solution)) {
	v.watch = f
	v.solved = false
	v.solve()
	v.watch = nil
}

// The currents into every node sum to zero, whatever the fault and the state.
func TestCurrentsSumToZeroAtEveryNode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := anyVehicle(t)
		eachNetwork(v, func(c circuit, s solution) {
			var sum vector
			largest := 1.0
			flow := func(e [2]Node, i float64) {
				sum.inject(e[1], e[0], i)
				largest = math.Max(largest, math.Abs(i))
			}
			for b, i := range s.current {
				flow([2]Node{wiring[b].from, wiring[b].to}, i)
			}
			for d, i := range s.devices {
				flow(across[d], i)
			}
			flow([2]Node{negativePost, positivePost}, s.battery)
			for k := range nodes {
				leaked := leak * s.volts[k]
				if off := math.Abs(sum[k] - leaked); off > 1e-3*math.Sqrt(largest) {
					t.Fatalf("faults %v, node %d: %g A are left over of %g A (%d passes, last moved %g V)", v.faults, k, off, largest, s.passes, s.residual)
				}
			}
			if s.passes >= mostPasses {
				t.Fatalf("faults %v: not settled after %d passes", v.faults, s.passes)
			}
		})
	})
}

// What the sources give is what the rest takes: no network makes or loses power.
func TestPowerBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := anyVehicle(t)
		eachNetwork(v, func(c circuit, s solution) {
			given := s.battery * s.volts[positivePost]
			taken := 0.0
			for b, i := range s.current {
				taken += i * s.between(wiring[b].from, wiring[b].to)
			}
			for d, i := range s.devices {
				taken += i * s.between(across[d][0], across[d][1])
			}
			for k := range nodes {
				taken += leak * s.volts[k] * s.volts[k]
			}
			size := math.Abs(given) + 1
			if math.Abs(given-taken) > 1e-4*size+0.05 {
				t.Fatalf("faults %v: %g W given, %g W taken", v.faults, given, taken)
			}
		})
	})
}

// At no current every drop is nothing.
func TestNoCurrentNoDrop(t *testing.T) {
	p := Standard("medium petrol")
	p.Consumers = Consumers{}
	v, err := New(p)
	require.NoError(t, err)
	s := v.solve()
	for _, n := range []Node{positiveClamp, jumpPost, starterFeed, fuseBox, alternatorOutput, relayFeed, lampFeed, diagnosticSocket} {
		assert.Less(t, math.Abs(s.between(positivePost, n)), 1e-6, "node %d", n)
	}
	for _, n := range []Node{negativeClamp, body, engineBlock, starterCase, alternatorCase} {
		assert.Less(t, math.Abs(s.volts[n]), 1e-6, "node %d", n)
	}
}

// Two independent sources act as each does alone, in a network of resistances.
func TestSuperposition(t *testing.T) {
	v, err := New(Standard("medium petrol"))
	require.NoError(t, err)
	c := v.circuit()
	m := admittance(&c.siemens, 0)
	require.True(t, m.factor(0, nodes))
	run := func(post, motor float64) vector {
		var x vector
		x[positivePost] = post
		x.inject(starterCase, starterMotor, motor)
		m.forward(&x)
		m.back(&x)
		return x
	}
	a, b, both := run(100, 0), run(0, 40), run(100, 40)
	for k := range nodes {
		assert.InDelta(t, both[k], a[k]+b[k], 1e-9*(1+math.Abs(both[k])))
	}
}

// The sparse elimination gives what multiplying back gives.
func TestFactorSolvesTheMatrix(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m matrix
		var whole [nodes][nodes]float64
		put := func(e [2]Node, g float64) {
			m.add(e[0], e[1], g)
			for _, k := range e {
				if k != negativePost {
					whole[k][k] += g
				}
			}
			if e[0] != negativePost && e[1] != negativePost {
				whole[e[0]][e[1]] -= g
				whole[e[1]][e[0]] -= g
			}
		}
		for k := range nodes {
			put([2]Node{k, negativePost}, 0.1)
		}
		for _, b := range wiring {
			put([2]Node{b.from, b.to}, math.Pow(10, rapid.Float64Range(-3, 3).Draw(t, "siemens")))
		}
		var rhs, x vector
		for k := range nodes {
			rhs[k] = rapid.Float64Range(-10, 10).Draw(t, "ampere")
		}
		x = rhs
		if !m.factor(0, firstTouched) || !m.factor(firstTouched, nodes) {
			t.Fatal("not positive definite")
		}
		m.forward(&x)
		m.back(&x)
		for i := range nodes {
			sum, size := 0.0, 1.0
			for j := range nodes {
				sum += whole[i][j] * x[j]
				size += math.Abs(whole[i][j] * x[j])
			}
			if math.Abs(sum-rhs[i]) > 1e-9*size {
				t.Fatalf("row %d: %g for %g", i, sum, rhs[i])
			}
		}
	})
}

// No device touches a node that is eliminated once for all passes.
func TestDevicesTouchLateNodesOnly(t *testing.T) {
	for d, e := range across {
		for _, n := range e {
			assert.GreaterOrEqual(t, n, firstTouched, "device %d", d)
		}
	}
}

// With a plain source for a battery the locked rotor draws the source over all
// resistances, and the turning motor's speed is the one of the closed form.
func TestClosedForms(t *testing.T) {
	p := reference("medium petrol")
	p.Consumers = Consumers{}
	p.Ohm[bPull], p.Ohm[bHold], p.Ohm[bStrays] = open, open, open
	v, err := New(p)
	require.NoError(t, err)
	v.state = state{key: keyStart}
	plain := source{emf: 12, ohm: 4e-3, twoIx: 1e12, limit: 1e15, accept: 1e15, gasAmps: 1}
	solved := func(turning turning) solution {
		c := v.circuit()
		v.close(&c)
		c.battery, c.motor.turning = plain, turning
		var s solution
		c.solve(&s)
		return s
	}
	loop := 4e-3 + p.Ohm[bPosJoint] + p.Ohm[bFeed] + p.Ohm[bPosCable] + p.Ohm[bContact] + p.Ohm[bCase] + p.Ohm[bStrap] + p.Ohm[bEarth] + p.Ohm[bNegJoint]
	s := solved(locked)
	assert.InEpsilon(t, (12-p.Starter.Brush)/(loop+p.Starter.Ohm), s.battery, 1e-6)

	s = solved(spins)
	kn := p.Starter.K * p.Starter.Ratio
	// 12 = brush + (loop+R) i + kN w and eta kN (i - I0) = T0 + b w
	e, b := p.Starter.Efficiency, p.Engine.Viscous
	i := (12 - p.Starter.Brush + kn*(e*kn*p.Starter.NoLoad+p.Engine.Drag)/b) / (loop + p.Starter.Ohm + e*kn*kn/b)
	assert.InEpsilon(t, i, s.battery, 1e-6)
	m := motor{Starter: p.Starter, Engine: p.Engine}
	assert.InEpsilon(t, (12-p.Starter.Brush-(loop+p.Starter.Ohm)*i)/kn, m.speed(s.devices[dMotor]), 1e-5)
}
