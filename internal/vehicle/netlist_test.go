package vehicle

import (
	"fmt"
	"math"
	"strings"
)

// Netlist is one solved network, written out so that a circuit simulator by other
// hands can solve it too.
type Netlist struct {
	Stage string             // first, inrush, steady
	Deck  string             // for ngspice; it prints every node's voltage and the battery's current
	Volts map[string]float64 // what the model found: by node, and "battery" in A
}

// Netlists solves the present state and gives each network that it went through.
// Everything enters as an element of its own: the mechanics of starter and engine
// as a node "w" whose voltage is the crankshaft's speed, and the battery as a
// source that depends on its current, itself such a node.
func (v *Vehicle) Netlists() []Netlist {
	var lists []Netlist
	v.watch = func(c circuit, s solution) {
		lists = append(lists, Netlist{Deck: deck(&c, &s), Volts: volts(&s)})
	}
	v.solved = false
	v.solve()
	v.watch = nil
	for i := range lists {
		lists[i].Stage = fmt.Sprintf("network %d of %d", i+1, len(lists))
	}
	return lists
}

func volts(s *solution) map[string]float64 {
	m := map[string]float64{"battery": s.battery}
	for k := range nodes {
		m[node(k)] = s.volts[k]
	}
	return m
}

func node(n Node) string {
	if n == negativePost {
		return "0"
	}
	return fmt.Sprintf("n%d", n)
}

func deck(c *circuit, s *solution) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("a vehicle's wiring in one state")
	for k := range nodes {
		line("Rleak%d %s 0 %.17g", k, node(k), 1/leak)
		line(".nodeset v(%s)=%.6g", node(k), s.volts[k])
	}
	for i, g := range c.siemens {
		if g != 0 {
			line("R%d %s %s %.17g", i, node(wiring[i].from), node(wiring[i].to), 1/g)
		}
	}
	// The battery's current is the voltage of a node "q" of its own, which is where
	// its curve and the post's voltage agree.
	line(".nodeset v(q)=%.6g", s.battery)
	line("Bcurve 0 q I=(%s)-v(%s)", c.battery.formula("v(q)"), node(positivePost))
	line("Bbat 0 %s I=v(q)", node(positivePost))
	for d := range devices {
		if c.on[d] {
			c.element(line, d)
		}
	}
	line(".options reltol=1e-9 abstol=1e-9 vntol=1e-9 itl1=500")
	line(".control\nset numdgt=12\nop")
	for k := range nodes {
		line("print v(%s)", node(k))
	}
	line("print v(q)\nquit\n.endc\n.end")
	return b.String()
}

// formula writes the battery's curve over its current.
func (s *source) formula(i string) string {
	if s.reversed {
		flipped := *s
		flipped.reversed = false
		return "-(" + flipped.formula("(-"+i+")") + ")"
	}
	const knee = 1e-6
	steep := limitVolts / (s.limit * knee)
	limiting := fmt.Sprintf("(%[1]s < %.17[2]g ? -%.17[3]g*ln(max(1-%[1]s/%.17[4]g,1e-9)) : %.17[5]g+%.17[6]g*(%[1]s-%.17[2]g))",
		i, s.limit*(1-knee), limitVolts, s.limit, -limitVolts*math.Log(knee), steep)
	sagging := fmt.Sprintf("max(%.17g,%.17g*tanh(%s/%.17g))", s.sag, s.weak, i, weakCellAmps)
	linked := "0"
	if s.link > 0 {
		linked = fmt.Sprintf("%.17g*%s/(1-min((%[2]s/%.17[3]g)^2,0.9025))", s.linkOhm, i, s.link)
	}
	discharge := fmt.Sprintf("%.17g-%.17g*asinh(%s/%.17g)-%.17g*%[3]s-%[6]s-%[7]s-%[8]s", s.emf, s.act, i, s.twoIx, s.ohm, limiting, sagging, linked)
	j := "(-" + i + ")"
	ohm := s.ohm
	if s.link > 0 {
		ohm += s.linkOhm
	}
	resisting := fmt.Sprintf("%.17g+%.17g*%s+%.17g*asinh(%[3]s/%.17[5]g)", s.emf-s.sag, ohm, j, chargeActivation, s.twoIx)
	if s.gas > 0 {
		resisting += fmt.Sprintf("+%.17g*(pow(max(%s,0)/%.17g+1e-3,0.3)-%.17g)", s.gas, j, s.gasAmps, softGas)
	}
	accepting := fmt.Sprintf("%.17g+%.17g*ln(max(%s,1e-12)/%.17g)", s.acceptAt, acceptSlope, j, s.accept)
	return fmt.Sprintf("%s >= 0 ? %s : max(%s,%s)", i, discharge, resisting, accepting)
}

// element writes one device.
func (c *circuit) element(line func(string, ...any), d device) {
	a, b := node(across[d][0]), node(across[d][1])
	v := fmt.Sprintf("v(%s,%s)", a, b)
	current := func(formula string) { line("B%d %s %s I=%s", d, a, b, formula) }
	supplied := func(s supply) {
		current(fmt.Sprintf("-max(0,min(%.17g,(%.17g-%s)/%.17g))", s.most, s.volts, v, s.ohm))
	}
	switch d {
	case dPosFilm:
		current(c.posFilm.formula(v))
	case dNegFilm:
		current(c.negFilm.formula(v))
	case dConsumers:
		current(c.consumers.formula(v))
	case dDraw:
		current(c.draw.formula(v))
	case dMotor:
		c.motor.element(line, a, b)
	case dSecond:
		over := fmt.Sprintf("(%s-%.17g)", v, c.second.volts)
		current(fmt.Sprintf("%s/(%[1]s > 0 ? %.17[2]g : %.17[3]g)", over, secondTakes*c.second.ohm, c.second.ohm))
	case dBooster:
		line("R9%d %s x%d %.17g\nV9%d x%d %s %.17g", d, a, d, c.booster.ohm, d, d, b, c.booster.volts)
	case dAlternator:
		supplied(c.alternator)
	case dCharger:
		supplied(c.charger)
	case dTester:
		current(fmt.Sprintf("%.17g/max(%s,%g)*%[2]s", c.tester, v, float64(pileVolts)))
	}
}

func (f *film) formula(v string) string {
	return fmt.Sprintf("%s/(%.17g+%.17g/(1+(%[1]s/%[4]g)^2))", v, f.metal, f.layer, filmVolts)
}

func (l *Load) formula(v string) string {
	lamp := fmt.Sprintf("(%[1]s > %[2]g ? %.17[3]g*pow(max(%[1]s,1e-3)/12,%[4]g) : %.17[5]g*%[1]s)",
		v, filamentDark, l.Lamps, filament, l.Lamps*math.Pow(filamentDark/12, filament)/filamentDark)
	electronics := fmt.Sprintf("(%[1]s < %[2]g ? 0 : (%[1]s < %[3]g ? %.17[4]g*(%[1]s-%[2]g) : %.17[5]g/max(%[1]s,1)))",
		v, fadeTo, fadeFrom, l.Electronics*12/fadeFrom/(fadeFrom-fadeTo), l.Electronics*12)
	return fmt.Sprintf("%.17g*%s+%s+%s", l.Heaters/12, v, lamp, electronics)
}

// element writes the motor: its resistance, its brushes and, when it turns, the
// voltage that its speed gives, with the crankshaft as a node of its own.
func (m *motor) element(line func(string, ...any), a, b string) {
	switch m.turning {
	case unfed:
		line("Rmot %s %s %.17g", a, b, m.Ohm)
	case locked:
		line("Rmot %s xm %.17g\nVmot xm %s %.17g", a, m.Ohm, b, m.Brush)
	default:
		k := fmt.Sprintf("%.17g", m.K)
		if m.Saturation > 0 {
			k = fmt.Sprintf("(%.17g*(1-exp(-i(vmot)/%.17g)))", m.K, m.Saturation)
		}
		line("Vmot %s xm 0\nRmot xm xe %.17g", a, m.Ohm)
		line("Bemf xe %s V=%.17g+%s*%.17g*v(w)", b, m.Brush, k, m.Ratio)
		line("Bw 0 w I=%.17g*%s*(i(vmot)-%.17g)-%.17g", m.Ratio*m.Efficiency, k, m.NoLoad, m.Drag)
		line("Rw w 0 %.17g", 1/m.Viscous)
	}
}
