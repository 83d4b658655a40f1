package drill

import (
	"slices"
	"strings"
)

// candidate is a test that could have been done: one that a step of the tree names.
type candidate struct {
	*test
	shows []shown // what it shows, by simulated vehicle
	cells []int   // the same as numbers of cells of the grid
}

// candidates are the tests that the steps of the tree name, in the order of the
// tree, each once. The looks for safety come before all of them. What is for a
// charged battery, for a charger that has been on for long, or for an engine that has
// been brought to run, is none of them: it is no test to begin with. Long ones and
// those that leave the vehicle another stand at the end, so that one vehicle can go
// through all of them.
func (d *Drill) candidates() []*candidate {
	var lines []string
	for _, st := range d.Tree.Steps {
		for _, r := range st.Take {
			if l := lineOf(st, r); l != "" && l != "ask" && !slices.Contains(safetyLooks, r.Sees) && l != "load" && !strings.Contains(l, "charger_on") && !strings.Contains(l, "running") && !slices.Contains(lines, l) {
				lines = append(lines, l)
			}
		}
	}
	slices.SortStableFunc(lines, func(a, b string) int { return harsh(a) - harsh(b) })
	var out []*candidate
	for _, l := range lines {
		if x, err := d.testOf(l); err == nil {
			out = append(out, &candidate{test: x})
		}
	}
	return out
}

// harsh ranks what is done to the vehicle by what it leaves behind.
func harsh(line string) int {
	switch {
	case strings.HasPrefix(line, "look"):
		return 0
	case strings.HasPrefix(line, "boost"):
		return 3
	case strings.Contains(line, "crank"), strings.Contains(line, "key_start"):
		return 2
	}
	return 1
}

// testOf is the test that a line stands for.
func (d *Drill) testOf(line string) (*test, error) {
	words := wordsOf(line)
	v, err := d.verb(words[0])
	if err != nil {
		return nil, err
	}
	return v.test(d, line, words[1:])
}

// try does a test on vehicles and notes where in the grid they are.
func (c *candidate) try(suspects []*suspect) {
	named := map[string]int{} // the cells that came up, numbered
	for _, s := range suspects {
		for _, b := range s.bays {
			s := c.do(b)
			name := s.cell()
			if _, known := named[name]; !known {
				named[name] = len(named)
			}
			c.shows, c.cells = append(c.shows, s), append(c.cells, named[name])
		}
	}
}
