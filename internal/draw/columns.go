package draw

import (
	"math"

	"deadflat/internal/text"
)

// The picture is laid out in layers that are folded into columns: each step
// stands below or to the right of every step that leads to it. A line goes to a
// step in the same or the next column, along the gutter on the right of the
// column; a step farther off is only named by its number, so that no line
// crosses a card. The number of columns is the one that fills the sheet best.

// sheet is A3 lying, in units of 1/96 inch, less a margin for the printer.
const (
	sheetWidth  = 420 / 25.4 * 96
	sheetHeight = 297 / 25.4 * 96
	margin      = 18.0
	headHeight  = 88.0
	groupHead   = 13.0
	usualGutter = 50.0
)

// picture is a plan with every place settled.
type picture struct {
	plan          *Plan
	cards         []*card
	columns       [][]*card
	gutters       []gutter
	groups        []group
	width, height float64
	cardWidth     float64
	of            map[*Step]*card
}

// group is the frame round the steps of one sub-tree in one column.
type group struct {
	x, y, w, h float64
	name       string
}

func (p *Plan) picture() *picture {
	pic := &picture{plan: p, of: map[*Step]*card{}}
	pic.fold()
	for i, col := range pic.columns {
		for _, c := range col {
			c.column = i
			if c.step != nil {
				pic.of[c.step] = c
			}
			for _, s := range c.covers {
				pic.of[s] = c
			}
		}
	}
	pic.stand()
	pic.route()
	pic.place()
	return pic
}

// fold finds the width of a card and the number of columns at which the picture
// is largest on the sheet.
func (pic *picture) fold() {
	largest := 0.0
	for _, width := range cardWidths {
		cards := pic.plan.cards(width)
		total := 0.0
		for _, c := range cards {
			total += c.height + gap
		}
		guess := int(math.Sqrt(total * sheetWidth / sheetHeight / (width + usualGutter)))
		for k := max(1, guess-1); k <= guess+2; k++ {
			cols := divide(cards, k, total)
			w := float64(len(cols))*(width+usualGutter) - usualGutter + 2*margin
			h := 0.0
			for _, c := range cols {
				h = max(h, tall(c))
			}
			if scale := min(sheetWidth/w, sheetHeight/(h+headHeight+2*margin)); scale > largest {
				largest, pic.cards, pic.columns, pic.cardWidth = scale, cards, cols, width
			}
		}
	}
}

// divide spreads the cards in order over at most k columns, none taller than it
// must be.
func divide(cards []*card, k int, total float64) [][]*card {
	low, high := total/float64(k), total
	for _, c := range cards {
		low = max(low, c.height)
	}
	low, high = low*0.9, max(high, low)+groupHead*float64(len(cards))
	for range 24 {
		if mid := (low + high) / 2; len(fill(cards, mid)) <= k {
			high = mid
		} else {
			low = mid
		}
	}
	return fill(cards, high)
}

// fill puts cards into columns no taller than most.
func fill(cards []*card, most float64) [][]*card {
	var cols [][]*card
	var col []*card
	h := 0.0
	for _, c := range cards {
		if len(col) > 0 && h+need(col, c) > most {
			cols, col, h = append(cols, col), nil, 0
		}
		h += need(col, c)
		col = append(col, c)
	}
	return append(cols, col)
}

func tall(col []*card) float64 {
	h := 0.0
	for i, c := range col {
		h += need(col[:i], c)
	}
	return h
}

// need is how much height a card takes under the cards of a column: the head of
// a frame is added where a sub-tree begins.
func need(above []*card, c *card) float64 {
	before := ""
	if len(above) > 0 {
		before = above[len(above)-1].prefix
	}
	if c.prefix != before {
		return c.height + gap + groupHead
	}
	return c.height + gap
}

// stand gives every card its height on the sheet.
func (pic *picture) stand() {
	for _, col := range pic.columns {
		y := margin + headHeight
		for i, c := range col {
			c.y = y + need(col[:i], c) - c.height - gap
			y = c.y + c.height + gap
			pic.height = max(pic.height, y-gap+margin)
		}
	}
}

// place gives the columns their places from the widths of the gutters, and draws
// the frames.
func (pic *picture) place() {
	x := margin + 4
	for i, col := range pic.columns {
		for _, c := range col {
			c.x = x
		}
		pic.gutters[i].x = x + pic.cardWidth
		x += pic.cardWidth + pic.gutters[i].width()
	}
	pic.width = x - pic.gutters[len(pic.gutters)-1].width() + margin + pic.gutters[len(pic.gutters)-1].used()
	for _, col := range pic.columns {
		pic.frames(col)
	}
}

func (pic *picture) frames(col []*card) {
	for i := 0; i < len(col); {
		j := i
		for j < len(col) && col[j].prefix == col[i].prefix {
			j++
		}
		if p := col[i].prefix; p != "" {
			top, last := col[i], col[j-1]
			pic.groups = append(pic.groups, group{x: top.x - 4, y: top.y - groupHead - 1, w: pic.cardWidth + 8,
				h: last.y + last.height - top.y + groupHead + 5, name: text.Spoken(p[:len(p)-1]) + " (tree " + top.step.DeclaredIn() + ")"})
		}
		i = j
	}
}
