package draw

import (
	"cmp"
	"slices"
)

// gutter is the room on the right of a column, where its lines run.
type gutter struct {
	x      float64
	trunks []*trunk
	near   int // lanes beside the column itself
	far    int // lanes beside the next column
}

// trunk gathers all lines of one gutter that lead to one step.
type trunk struct {
	to     *card
	next   bool // the step stands in the next column
	from   []exit
	top    float64
	bottom float64
	lane   int
	walked bool
}

// exit is a row from which a line leaves.
type exit struct {
	card *card
	row  *cardRow
}

const entry = 11.0 // how far below the top of a card its lines come in

func (e exit) y() float64 { return e.card.y + e.row.y + bodyLine/2 }

func (g *gutter) used() float64 { return float64(g.near+g.far)*laneWidth + 8 }

func (g *gutter) width() float64 { return max(30, g.used()+12) }

// laneX is where a trunk runs: lines to the same column stay near it.
func (g *gutter) laneX(t *trunk) float64 {
	if t.next {
		return g.x + g.width() - 12 - float64(t.lane)*laneWidth
	}
	return g.x + 8 + float64(t.lane)*laneWidth
}

// route decides which ways become lines and gives them lanes.
func (pic *picture) route() {
	pic.gutters = make([]gutter, len(pic.columns))
	found := map[[2]int]*trunk{} // by gutter and step
	for _, c := range pic.cards {
		for i := range c.rows {
			r := &c.rows[i]
			if r.Step == nil {
				continue
			}
			to := pic.of[r.Step]
			if to.column > c.column+1 {
				continue
			}
			r.line = true
			key := [2]int{c.column, to.step.Number}
			t := found[key]
			if t == nil {
				y := to.y + entry
				t = &trunk{to: to, next: to.column > c.column, top: y, bottom: y}
				found[key] = t
				g := &pic.gutters[c.column]
				g.trunks = append(g.trunks, t)
			}
			e := exit{c, r}
			t.from = append(t.from, e)
			t.top, t.bottom = min(t.top, e.y()), max(t.bottom, e.y())
			t.walked = t.walked || r.Taken
		}
	}
	for i := range pic.gutters {
		pic.gutters[i].lanes()
	}
}

// lanes gives each trunk a lane in which nothing else runs at its height, the
// short ones first.
func (g *gutter) lanes() {
	byLength := slices.Clone(g.trunks)
	slices.SortStableFunc(byLength, func(a, b *trunk) int { return cmp.Compare(a.bottom-a.top, b.bottom-b.top) })
	var near, far [][]*trunk
	for _, t := range byLength {
		if t.next {
			t.lane = lane(&far, t)
		} else {
			t.lane = lane(&near, t)
		}
	}
	g.near, g.far = len(near), len(far)
}

func lane(lanes *[][]*trunk, t *trunk) int {
	for i, taken := range *lanes {
		if !slices.ContainsFunc(taken, func(o *trunk) bool { return t.top < o.bottom+4 && o.top < t.bottom+4 }) {
			(*lanes)[i] = append(taken, t)
			return i
		}
	}
	*lanes = append(*lanes, []*trunk{t})
	return len(*lanes) - 1
}
