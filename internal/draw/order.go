package draw

import (
	"strings"

	"deadflat/internal/engine"
)

// order lists the steps so that every branch leads forward and a sub-tree stands
// together, each branch followed as far as it goes before the next one is begun:
// step and next step are neighbours wherever that can be.
func order(t *engine.Tree) []*engine.Step {
	o := &ordering{waits: map[*engine.Step]int{}, ready: map[string][]*engine.Step{}, placed: map[*engine.Step]bool{}}
	for _, s := range t.Steps {
		for _, to := range nextSteps(s) {
			o.waits[to]++
		}
	}
	o.push(t.Begin)
	var out []*engine.Step
	for s := o.pop(""); s != nil; s = o.pop(s.Prefix()) {
		out = append(out, s)
		next := nextSteps(s)
		for i := len(next) - 1; i >= 0; i-- {
			if o.waits[next[i]]--; o.waits[next[i]] == 0 {
				o.push(next[i])
			}
		}
	}
	return out
}

// ordering holds the steps that could come next, by the sub-trees they lie in.
type ordering struct {
	waits  map[*engine.Step]int // branches from steps that are not placed yet
	ready  map[string][]*engine.Step
	placed map[*engine.Step]bool
}

func (o *ordering) push(s *engine.Step) {
	for p := s.Prefix(); ; p = parent(p) {
		o.ready[p] = append(o.ready[p], s)
		if p == "" {
			return
		}
	}
}

// pop takes the step that became ready last, staying inside the sub-tree that
// was begun for as long as it has one.
func (o *ordering) pop(prefix string) *engine.Step {
	for p := prefix; ; p = parent(p) {
		for n := len(o.ready[p]); n > 0; n = len(o.ready[p]) {
			s := o.ready[p][n-1]
			o.ready[p] = o.ready[p][:n-1]
			if !o.placed[s] {
				o.placed[s] = true
				return s
			}
		}
		if p == "" {
			return nil
		}
	}
}

// parent is the path of the sub-tree that a sub-tree lies in: "a/" of "a/b/".
func parent(prefix string) string {
	return prefix[:strings.LastIndexByte(strings.TrimSuffix(prefix, "/"), '/')+1]
}

// nextSteps are the steps a step can lead to, once for each way.
func nextSteps(s *engine.Step) []*engine.Step {
	var out []*engine.Step
	for _, b := range s.Ways() {
		if b.To.Step != nil {
			out = append(out, b.To.Step)
		}
	}
	return append(out, s.Betters()...)
}
