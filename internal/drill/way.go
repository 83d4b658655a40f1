package drill

import (
	"fmt"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
)

// way is what the tree would do on the same vehicle, to its first finding.
type way struct {
	steps   []string // titles
	finding *engine.Finding
	minutes float64
}

// theWay walks the tree on the same vehicle. A walk that cannot end has no finding.
func (d *Drill) theWay() *way {
	v, rng, err := d.draw()
	if err != nil {
		return &way{} // it was drawn a moment ago
	}
	v.PutInGear(false) // the tree asks before it cranks
	w := engine.NewWalk(d.Tree, d.Meter, engine.Kit{})
	m := mechanic.New(v, d.Meter, rng, begun)
	out := &way{}
	if r, err := m.Walk(w, 300); err == nil {
		out.finding = r.Finding
	}
	for _, visit := range w.Record().Rounds[0].Steps {
		if len(visit.Takes) > 0 {
			out.steps = append(out.steps, visit.Step.Title)
		}
	}
	out.minutes = m.Minutes
	return out
}

func (d *Drill) hint(string, []string) (string, error) {
	if d.Level > hinted {
		return "", fmt.Errorf("there are no hints from level %d on", hinted+1)
	}
	if d.hints >= len(d.way.steps) {
		return "The tree has come to its finding by now.", nil
	}
	d.hints++
	return fmt.Sprintf("The tree does this now: %s.", strings.TrimSuffix(d.way.steps[d.hints-1], "?")), nil
}
