package report

import (
	"math"

	"deadflat/internal/markup"
	"deadflat/internal/text"
)

// Sizes of the drawn circuit, in the drawing's own units.
const (
	circuitWidth, circuitHeight = 680.0, 242.0
	motorX, motorY, motorR      = 590.0, 113.0, 30.0
	probeR                      = 10.0
)

// svg draws the loop with the stretch between the probes in a heavy line, a red
// disc with R and a black square with B where the probes are.
func (c *circuit) svg(m *markup.Writer) {
	startDrawing(m, "circuit", "0 22 "+px(circuitWidth)+" "+px(circuitHeight-22), "13", c.title, c.words())
	c.drawWires(m)
	drawBattery(m)
	drawParts(m)
	drawStations(m)
	c.drawProbes(m)
	m.End()
}

// wire is the drawn way from one station to the next.
func wire(i int) string {
	a, b := loop[i], loop[i+1]
	d := "M " + px(a.x) + " " + px(a.y)
	switch i {
	case 3: // through the motor
		return d + " L " + px(motorX) + " " + px(a.y) + " L " + px(motorX) + " " + px(b.y)
	case 4: // down from the case to the block
		return d + " L " + px(a.x) + " " + px(b.y) + " L " + px(b.x) + " " + px(b.y)
	}
	return d + " L " + px(b.x) + " " + px(b.y)
}

// drawWires draws the whole loop thin and the stretch under test heavy.
func (c *circuit) drawWires(m *markup.Writer) {
	for i := range loop[:len(loop)-1] {
		width, colour := "2", softColour
		if c.tests(i) {
			width, colour = "6", inkColour
		}
		m.Void("path", "d", wire(i), "fill", "none", "stroke", colour, "stroke-width", width)
	}
}

// drawBattery draws the battery between its posts.
func drawBattery(m *markup.Writer) {
	x, top, low := loop[0].x, loop[0].y, loop[len(loop)-1].y
	m.Void("path", "d", "M "+px(x)+" "+px(top)+" L "+px(x)+" "+px(low), "stroke", softColour, "stroke-width", "2")
	m.Void("rect", "x", px(x-46), "y", px(top+38), "width", "92", "height", px(low-top-76), "fill", "#ffffff", "stroke", inkColour, "stroke-width", "1.5")
	centred(m, "+", x, top+56, "font-size", "18")
	centred(m, "battery", x, (top+low)/2+4)
	centred(m, "−", x, low-48, "font-size", "18")
}

// drawParts draws the motor and names what lies between the stations.
func drawParts(m *markup.Writer) {
	m.Void("circle", "cx", px(motorX), "cy", px(motorY), "r", px(motorR), "fill", "#ffffff", "stroke", inkColour, "stroke-width", "1.5")
	centred(m, "starter", motorX, motorY-1)
	centred(m, "motor", motorX, motorY+12)
	for _, i := range []int{1, 2, 5, 6} {
		a, b := loop[i], loop[i+1]
		y := a.y + 17
		if a.y > circuitHeight/2 {
			y = a.y - 10
		}
		centred(m, a.after, (a.x+b.x)/2, y, "font-style", "italic", "fill", softColour)
	}
}

// drawStations draws and names the points a probe can touch.
func drawStations(m *markup.Writer) {
	for _, s := range loop {
		m.Void("circle", "cx", px(s.x), "cy", px(s.y), "r", "4", "fill", "#ffffff", "stroke", inkColour, "stroke-width", "1.5")
		switch {
		case s.name == "starter case":
			m.Leaf("text", s.name, "x", px(s.x+9), "y", px(s.y+4))
		case s.y < circuitHeight/2:
			centred(m, s.name, s.x, s.y-14)
		default:
			centred(m, s.name, s.x, s.y+25)
		}
	}
}

// drawProbes marks the points that the probes touch; one that is not on the
// loop is named in its middle.
func (c *circuit) drawProbes(m *markup.Writer) {
	for i, p := range c.probes {
		if p.at < 0 {
			y := 112 + 30*float64(i)
			drawProbe(m, p.letter, 200, y)
			m.Leaf("text", "on "+text.Shorten(text.Spoken(p.point), 40), "x", "218", "y", px(y+4))
			continue
		}
		s := loop[p.at]
		x, y := s.x, s.y+26
		if s.y > circuitHeight/2 {
			y = s.y - 26
		}
		if s.name == "starter case" {
			x, y = s.x-28, s.y
		}
		shrink := 1 - (probeR+1)/math.Hypot(x-s.x, y-s.y)
		m.Void("line", "x1", px(s.x), "y1", px(s.y), "x2", px(s.x+(x-s.x)*shrink), "y2", px(s.y+(y-s.y)*shrink), "stroke", inkColour, "stroke-width", "1.5")
		drawProbe(m, p.letter, x, y)
	}
}

// drawProbe draws a probe's mark: a disc for red, a square for black, and its
// letter.
func drawProbe(m *markup.Writer, letter string, x, y float64) {
	if letter == "R" {
		m.Void("circle", "cx", px(x), "cy", px(y), "r", px(probeR), "fill", "#b00020")
	} else {
		m.Void("rect", "x", px(x-probeR+1), "y", px(y-probeR+1), "width", px(2*probeR-2), "height", px(2*probeR-2), "fill", "#000000")
	}
	centred(m, letter, x, y+4, "fill", "#ffffff", "font-weight", "bold")
}

func centred(m *markup.Writer, text string, x, y float64, attrs ...string) {
	m.Leaf("text", text, append([]string{"x", px(x), "y", px(y), "text-anchor", "middle"}, attrs...)...)
}
