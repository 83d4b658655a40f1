package draw

import (
	_ "embed"
	"io"
	"math"

	"deadflat/internal/engine"
	"deadflat/internal/markup"
)

// style is the look of the picture; it holds nothing that an author wrote.
//
//go:embed style.css
var style string

// pageStyle fits the picture to a screen, and to one sheet of A3 on paper.
//
//go:embed page.css
var pageStyle string

// SVG writes the picture as one file that needs nothing else. The only error is
// w's.
func (p *Plan) SVG(w io.Writer) error {
	s := &svg{picture: p.picture()}
	s.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	scale := min(1, sheetWidth/s.width, sheetHeight/s.height) * 25.4 / 96
	s.drawing(markup.Tenth(s.width*scale)+"mm", markup.Tenth(s.height*scale)+"mm", style)
	_, err := w.Write(s.Bytes())
	return err
}

// HTML writes a page that holds the picture and needs nothing else: no script,
// and a policy in its head that forbids whatever does not stand in it. The only
// error is w's.
func (p *Plan) HTML(w io.Writer) error {
	s := &svg{picture: p.picture()}
	s.Page(p.tree.Title, pageStyle+style, func() {
		s.drawing(markup.Tenth(s.width), markup.Tenth(s.height), "")
		for _, st := range p.Steps {
			pictured(&s.Writer, st, 560)
		}
	})
	_, err := w.Write(s.Bytes())
	return err
}

// svg writes a picture.
type svg struct {
	markup.Writer
	*picture
}

// drawing writes the picture at a size, with its style, or without one inside a
// page that has it already.
func (s *svg) drawing(width, height, style string) {
	s.Start("svg", "xmlns", "http://www.w3.org/2000/svg", "viewBox", "0 0 "+markup.Tenth(s.width)+" "+markup.Tenth(s.height),
		"width", width, "height", height, "role", "img")
	s.Leaf("title", s.plan.tree.Title)
	s.Leaf("desc", s.plan.describe())
	if style != "" {
		s.WriteString("<style>" + style + "</style>\n")
	}
	s.Void("rect", "width", markup.Tenth(s.width), "height", markup.Tenth(s.height), "fill", "#fff")
	s.heading()
	for _, g := range s.groups {
		s.Void("rect", "class", "group", "x", markup.Tenth(g.x), "y", markup.Tenth(g.y), "width", markup.Tenth(g.w), "height", markup.Tenth(g.h), "rx", "3")
		s.line(smallFont, "small", g.x+4, g.y+9, smallFont.wrap(g.name, g.w-8, 1)[0])
	}
	for i := range s.gutters {
		for _, t := range s.gutters[i].trunks {
			s.trunk(&s.gutters[i], t)
		}
	}
	for _, c := range s.cards {
		s.card(c)
	}
	s.End()
}

// describe says in a sentence what the picture shows, for those who cannot see it.
func (p *Plan) describe() string {
	d := "Tree " + p.tree.Name + ", edition " + number(p.tree.Edition) + ": " + number(len(p.Steps)) + " steps, " +
		number(len(p.Findings)) + " findings. Every way leads to a step of a higher number."
	if p.walked {
		d += " The way of one walk is marked."
	}
	return d
}

// line writes one line of text at exactly the width that was reckoned with,
// whatever type the reader's machine has.
func (s *svg) line(f font, class string, x, y float64, text string) {
	if text == "" {
		return
	}
	s.Leaf("text", text, "class", class, "x", markup.Tenth(x), "y", markup.Tenth(y), "textLength", markup.Tenth(f.width(text)), "lengthAdjust", "spacingAndGlyphs")
}

// heading is the title, what the tree is for, and how to read the picture.
func (s *svg) heading() {
	t := s.plan.tree
	big, under := font{20, 1.07}, font{11, 1}
	room := s.width - 2*margin
	y := margin + 16
	s.line(big, "head", margin, y, big.wrap(t.Title, room, 1)[0])
	about := "tree " + t.Name + ", edition " + number(t.Edition) + ", " + t.Review.String()
	if t.Summary != "" {
		about += ". " + t.Summary
	}
	for i, l := range under.wrap(about, room, 2) {
		s.line(under, "subhead", margin, y+14+float64(i)*12.5, l)
	}
	for i, l := range smallFont.wrap(s.plan.legend(), room, 4) {
		s.line(smallFont, "small", margin, y+40+float64(i)*9.5, l)
	}
}

// legend says what the picture cannot say by itself.
func (p *Plan) legend() string {
	l := "Begin at 1. → 12: go on at step 12, along the line or, boxed, wherever it stands. Pointed: a finding. Square: a finding that stops the work. Hazards first: what stands under the findings is checked before the step."
	for _, says := range p.workedOut() {
		l = says + " " + l
	}
	if p.walked {
		l += " Thick: the way of the walk, in the order of the black numbers."
	}
	if p.cases != nil {
		l += " Broken frame, (no case): none of the " + number(p.cases.cases) + " worked cases comes here."
	}
	return l
}

// trunk draws the ways to one step.
func (s *svg) trunk(g *gutter, t *trunk) {
	x, y := g.laneX(t), t.to.y+entry
	end, turn := g.x, -3.0
	if t.next {
		end, turn = t.to.x, 3.0
	}
	for _, e := range t.from {
		class := "line" + pick(e.row.Taken, " walked", pick(e.row.Side, " side", ""))
		s.Void("path", "class", class, "d", bend(g.x, e.y(), x, y, end))
	}
	s.Void("path", "class", "arrow"+pick(t.walked, " walked", ""), "d", "M"+markup.Tenth(end)+" "+markup.Tenth(y)+"l"+markup.Tenth(-2*turn)+" -3v6z")
}

// bend is a line from a row out to a lane, along it, and in to a card, with its
// corners rounded.
func bend(x0, y0, x, y, x1 float64) string {
	r := min(3, math.Abs(y-y0)/2)
	down, in := r, r
	if y < y0 {
		down = -r
	}
	if x1 < x {
		in = -r
	}
	return "M" + markup.Tenth(x0) + " " + markup.Tenth(y0) + "H" + markup.Tenth(x-r) + "q" + markup.Tenth(r) + " 0 " + markup.Tenth(r) + " " + markup.Tenth(down) +
		"V" + markup.Tenth(y-down) + "q0 " + markup.Tenth(down) + " " + markup.Tenth(in) + " " + markup.Tenth(down) + "H" + markup.Tenth(x1)
}

func (s *svg) card(c *card) {
	switch {
	case c.step != nil:
		s.stepCard(c)
	case c.finding != nil:
		s.findingCard(c)
	case c.boxed:
		s.Void("rect", "class", "hazard", "x", markup.Tenth(c.x), "y", markup.Tenth(c.y), "width", markup.Tenth(c.width), "height", markup.Tenth(c.height))
		s.titled(c, c.x+pad, c.x+pad, c.y+pad+8.5)
	default:
		s.line(font{13, 1.07}, "heading", c.x, c.y+14, c.heading)
	}
}

func (s *svg) stepCard(c *card) {
	class := "card" + pick(s.plan.bare(c.step.Cases), " bare", "") + pick(len(c.step.Visits) > 0, " walked", "")
	s.Void("rect", "class", class, "x", markup.Tenth(c.x), "y", markup.Tenth(c.y), "width", markup.Tenth(c.width), "height", markup.Tenth(c.height), "rx", "4")
	text, kind := number(c.step.Number), c.step.Kind
	if c.covers != nil {
		kind = engine.SubTree
		s.Void("rect", "class", "card inner", "x", markup.Tenth(c.x+2.5), "y", markup.Tenth(c.y+2.5), "width", markup.Tenth(c.width-5), "height", markup.Tenth(c.height-5), "rx", "3")
		text += "–" + number(c.covers[len(c.covers)-1].Number)
	}
	x, y := c.x+pad, c.y+pad-2
	s.Void("path", "class", string(kind), "d", badgeShape(kind, x, y, c.badge, 14))
	s.Leaf("text", text, "class", "badge", "x", markup.Tenth(x+c.badge/2), "y", markup.Tenth(y+10.8))
	s.titled(c, c.x+2*pad+c.badge, c.x+pad, c.y+pad+8.5)
	for i := range c.rows {
		s.row(c, &c.rows[i])
	}
	if c.left > 0 {
		s.line(smallFont, "small", c.x+pad, c.y+c.height-pad, "and "+number(c.left)+" more ways")
	}
	for i, n := range c.step.Visits {
		x := c.x - 2 + float64(i)*18
		s.Void("circle", "class", "visit", "cx", markup.Tenth(x), "cy", markup.Tenth(c.y), "r", "8")
		s.Leaf("text", number(n), "class", "visited", "x", markup.Tenth(x), "y", markup.Tenth(c.y+3))
	}
}

// titled writes a card's title and its small print.
func (s *svg) titled(c *card, x, under, y float64) {
	for _, l := range c.title {
		s.line(titleFont, "title", x, y, l)
		y += titleLine
	}
	y += 0.5
	for _, l := range c.info {
		s.line(smallFont, "small", under, y, l)
		y += bodyLine - 1
	}
}

// badgeShape is drawn round a step's number: a pill to measure, a sheet to look or ask, an arrow to crank or
// jump, a slanted box to load, charge or wait, a lozenge to decide.
func badgeShape(kind engine.Kind, x, y, w, h float64) string {
	switch kind {
	case engine.Measure, engine.Retest:
		return "M" + markup.Tenth(x+h/2) + " " + markup.Tenth(y) + "h" + markup.Tenth(w-h) + "a" + markup.Tenth(h/2) + " " + markup.Tenth(h/2) + " 0 0 1 0 " + markup.Tenth(h) +
			"h" + markup.Tenth(h-w) + "a" + markup.Tenth(h/2) + " " + markup.Tenth(h/2) + " 0 0 1 0 " + markup.Tenth(-h) + "z"
	case engine.Crank, engine.Jump:
		return polygon(x, y, x+w-5, y, x+w+1, y+h/2, x+w-5, y+h, x, y+h)
	case engine.LoadTest, engine.Charge, engine.Wait, engine.Repair:
		return polygon(x+4, y, x+w+2, y, x+w-4, y+h, x-2, y+h)
	case engine.Decide:
		return pointed(x-2, y, w+4, h, 7)
	}
	return polygon(x, y, x+w, y, x+w, y+h, x, y+h)
}

// pointed is a box with pointed ends.
func pointed(x, y, w, h, slant float64) string {
	return polygon(x, y+h/2, x+slant, y, x+w-slant, y, x+w, y+h/2, x+w-slant, y+h, x+slant, y+h)
}

func polygon(points ...float64) string {
	d := "M"
	for i := 0; i < len(points); i += 2 {
		if i > 0 {
			d += "L"
		}
		d += markup.Tenth(points[i]) + " " + markup.Tenth(points[i+1])
	}
	return d + "z"
}

// row is one way out: when it is taken, and where it leads.
func (s *svg) row(c *card, r *cardRow) {
	x, y := c.x+pad+4, c.y+r.y
	s.Void("line", "class", "rule", "x1", markup.Tenth(c.x+pad), "x2", markup.Tenth(c.x+c.width-pad), "y1", markup.Tenth(y-1), "y2", markup.Tenth(y-1))
	if r.Taken {
		s.Void("path", "class", "taken", "d", polygon(c.x+3, y+2, c.x+9, y+5.5, c.x+3, y+9))
	}
	last := y
	for i, l := range r.when {
		last = y + float64(i)*bodyLine
		s.line(bodyFont, "body", x, last+8.5, l)
	}
	right := c.x + c.width - pad
	if r.Finding != nil {
		s.chip(r, right, last)
		return
	}
	to := "→ " + number(r.Step.Number)
	if !r.line {
		w := boldFont.width(to) + 6
		s.Void("rect", "class", "jumps", "x", markup.Tenth(right-w+3), "y", markup.Tenth(y), "width", markup.Tenth(w), "height", markup.Tenth(bodyLine), "rx", "2")
	}
	s.Leaf("text", to, "class", "bold right", "x", markup.Tenth(right), "y", markup.Tenth(y+8.5))
}

// chip is a finding as it stands in a row.
func (s *svg) chip(r *cardRow, right, last float64) {
	w := 0.0
	for _, l := range r.chip {
		w = max(w, boldFont.width(l))
	}
	w += 2*chipSlant + 6
	y := last + bodyLine + 1.5
	if r.side {
		y = last + 1
	}
	h := float64(len(r.chip))*bodyLine + 1
	s.findingShape(r.Finding, right-w, y, w, h, chipSlant, r.Taken && r.Finding.Ends)
	for i, l := range r.chip {
		s.line(boldFont, "bold", right-w+chipSlant+3, y+8.7+float64(i)*bodyLine, l)
	}
}

// findingShape is pointed, or square for a finding that stops the work.
func (s *svg) findingShape(f *Finding, x, y, w, h, slant float64, walked bool) {
	class, shape := "finding", pointed(x, y, w, h, slant)
	if f.Stop {
		class, shape = "stop", polygon(x, y, x+w, y, x+w, y+h, x, y+h)
	}
	s.Void("path", "class", class+pick(walked, " walked", ""), "d", shape)
}

func (s *svg) findingCard(c *card) {
	s.findingShape(c.finding, c.x, c.y, c.width, c.height, chipSlant, c.finding.Ends)
	x := c.x + pad + chipSlant
	s.line(titleFont, "title", x, c.y+11.5, "F"+number(c.finding.Number))
	s.titled(c, x+c.badge-8, x, c.y+11.5)
}
