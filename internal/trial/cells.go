package trial

import (
	"context"
	"math/rand/v2"
)

// cells tell from readings how likely each of some labels is: by those of the known
// examples that lie nearest.
//
// The space of the readings is cut into small cells, again and again in halves, until
// the examples in a cell are all of one label or too few to go on. Of several cuts at
// random, between the readings of two examples, the one is taken that sorts the labels
// best; so a reading that tells nothing here does not count as distance. How often a
// label occurs in the cell that something falls into is its likelihood there, times
// how common it is. One cutting is coarse: the mean of many is taken. (Extremely
// randomised trees; Geurts, Ernst and Wehenkel, Machine Learning 63, 2006.)
type cells struct {
	labels   int
	cuttings [][]cut
}

// cut is one cut of a cutting, or a cell.
type cut struct {
	reading int32 // -1: a cell
	at      float32
	under   int32     // index of the part with less than at
	over    int32     // of the other
	share   []share32 // of a cell: the labels in it
}

type share32 struct {
	label int32
	share float32
}

// Measures of the cutting. Modelling choices: more of each changes little.
const (
	cuttings = 48
	tries    = 40 // cuts looked at for each that is made
	fewest   = 2  // examples in a part
)

// cutUp learns from examples: one row of readings and one label each. The same rows,
// labels and seed give the same cells, whatever the number of workers. It ends early,
// with cells that are of no use, when the context does.
func cutUp(ctx context.Context, rows [][]float32, label []int32, labels int, seed uint64, workers int) *cells {
	c := &cells{labels: labels, cuttings: make([][]cut, cuttings)}
	each(cuttings, workers, func(k int) {
		b := cutter{ctx: ctx, rows: rows, label: label, rng: rand.New(rand.NewPCG(scatter(seed), uint64(k))), all: make([]int32, labels), part: make([]int32, labels)}
		of := make([]int32, len(rows))
		for i := range of {
			of[i] = int32(i)
		}
		b.cut(of)
		c.cuttings[k] = b.made
	})
	return c
}

// likely gives for each label how likely it is with these readings; they sum to 1.
func (c *cells) likely(row []float32) []float64 {
	out := make([]float64, c.labels)
	for _, cuts := range c.cuttings {
		k := int32(0)
		for cuts[k].reading >= 0 {
			if row[cuts[k].reading] < cuts[k].at {
				k = cuts[k].under
			} else {
				k = cuts[k].over
			}
		}
		for _, s := range cuts[k].share {
			out[s.label] += float64(s.share) / float64(len(c.cuttings))
		}
	}
	return out
}

// cutter makes one cutting.
type cutter struct {
	ctx       context.Context
	rows      [][]float32
	label     []int32
	rng       *rand.Rand
	made      []cut
	all, part []int32 // examples of each label, here and under a cut
}

// cut cuts some of the examples up and gives the index of what it made of them.
func (b *cutter) cut(of []int32) int32 {
	at := int32(len(b.made))
	b.made = append(b.made, cut{reading: -1})
	kinds := b.count(of)
	if kinds > 1 && len(of) >= 2*fewest {
		if best, ok := b.best(of); ok {
			n := b.sort(of, best)
			best.under = b.cut(of[:n])
			best.over = b.cut(of[n:])
			b.made[at] = best
			return at
		}
		b.count(of)
	}
	for l, n := range b.all {
		if n > 0 {
			b.made[at].share = append(b.made[at].share, share32{int32(l), float32(n) / float32(len(of))})
		}
	}
	return at
}

// count counts the labels of some examples and gives how many there are of them.
func (b *cutter) count(of []int32) (kinds int) {
	clear(b.all)
	for _, i := range of {
		if b.all[b.label[i]]++; b.all[b.label[i]] == 1 {
			kinds++
		}
	}
	return kinds
}

// best looks for a cut that sorts the labels. ok is false where all examples read
// alike, or have no readings.
func (b *cutter) best(of []int32) (best cut, ok bool) {
	most := -1.0
	width := len(b.rows[0])
	if width == 0 || b.ctx.Err() != nil {
		return best, false
	}
	for looked, drawn := 0, 0; looked < tries && drawn < 20*tries; drawn++ {
		f := b.rng.IntN(width)
		x, y := b.rows[of[b.rng.IntN(len(of))]][f], b.rows[of[b.rng.IntN(len(of))]][f]
		if x == y {
			continue
		}
		looked++
		c := cut{reading: int32(f), at: max(x, y)}
		if mid := x + (y-x)/2; mid > min(x, y) {
			c.at = mid
		}
		if s := b.sorted(of, c); s > most {
			most, best, ok = s, c, true
		}
	}
	return best, ok
}

// sorted says how well a cut sorts the labels: the sum over both parts of how alike
// two examples of it are, times their number (Gini's measure).
func (b *cutter) sorted(of []int32, c cut) float64 {
	clear(b.part)
	n := 0
	for _, i := range of {
		if b.rows[i][c.reading] < c.at {
			b.part[b.label[i]]++
			n++
		}
	}
	if n < fewest || len(of)-n < fewest {
		return -1
	}
	under, over := 0.0, 0.0
	for l, all := range b.all {
		if all > 0 {
			u, o := float64(b.part[l]), float64(all-b.part[l])
			under += u * u
			over += o * o
		}
	}
	return under/float64(n) + over/float64(len(of)-n)
}

// sort puts the examples under a cut first and gives how many they are.
func (b *cutter) sort(of []int32, c cut) int {
	n := 0
	for k, i := range of {
		if b.rows[i][c.reading] < c.at {
			of[k], of[n] = of[n], i
			n++
		}
	}
	return n
}
