package draw

import (
	"slices"
	"strings"

	"deadflat/internal/text"
)

// again gives one card for all steps of a sub-tree that stands in the picture
// already, laid in at another place: it says which steps they are and where
// their ways out differ. It gives nil when step i begins no such sub-tree, or
// when something is marked that only the steps themselves can show. The number
// of steps that the card stands for comes with it.
func (p *Plan) again(i int, width float64, drawn map[string]*Step) (*card, int) {
	s := p.Steps[i]
	if p.cases != nil || i > 0 && p.Steps[i-1].Prefix() == s.Prefix() {
		return nil, 0
	}
	for _, prefix := range begun(p.Steps, i) {
		run := inside(p.Steps[i:], prefix)
		sign := signature(run, prefix)
		if drawn[sign] == nil {
			drawn[sign] = s
			continue
		}
		if !slices.ContainsFunc(run, func(s *Step) bool { return len(s.Visits) > 0 }) {
			return p.againCard(run, p.Steps[drawn[sign].Number-1:], prefix, width), len(run)
		}
	}
	return nil, 0
}

// begun are the sub-trees that begin with step i, the outermost first.
func begun(steps []*Step, i int) []string {
	before, prefix := "", steps[i].Prefix()
	if i > 0 {
		before = steps[i-1].Prefix()
	}
	var out []string
	for p := prefix; p != "" && !strings.HasPrefix(before, p); p = parent(p) {
		out = append([]string{p}, out...)
	}
	return out
}

func inside(steps []*Step, prefix string) []*Step {
	n := 0
	for n < len(steps) && strings.HasPrefix(steps[n].Prefix(), prefix) {
		n++
	}
	return steps[:n]
}

// signature names the steps of a sub-tree without the place where it is laid in.
func signature(run []*Step, prefix string) string {
	var b strings.Builder
	for _, s := range run {
		b.WriteString(s.DeclaredIn() + " " + strings.TrimPrefix(s.ID, prefix) + " " + number(len(s.Rows)) + "\n")
	}
	return b.String()
}

func (p *Plan) againCard(run, first []*Step, prefix string, width float64) *card {
	last := len(run) - 1
	span := number(run[0].Number) + "–" + number(run[last].Number)
	c := &card{width: width, step: run[0], covers: run, prefix: parent(prefix), badge: titleFont.width(span) + 14}
	c.title = titleFont.wrap(text.Spoken(strings.TrimSuffix(prefix, "/")), width-3*pad-c.badge, 3)
	tree := run[0].DeclaredIn()
	if with, _ := run[0].With(); with != "" {
		tree += " with " + with
	}
	c.info = smallFont.wrap("the steps "+number(first[0].Number)+"–"+number(first[last].Number)+" once more (tree "+tree+
		"), with the ways out that stand here · from "+steps(run[0].From), width-2*pad, 4)
	c.rowsFrom(differing(run, first[:len(run)]), false)
	return c
}

// differing are the ways out of a sub-tree that differ from where it stands first.
func differing(run, first []*Step) []*Row {
	var out []*Row
	seen := map[[2]string]bool{}
	for i, s := range run {
		for j, r := range s.Rows {
			to, was := r.node(), first[i].Rows[j].node()
			if to == was || r.Step != nil && r.Step.Number >= run[0].Number && r.Step.Number <= run[len(run)-1].Number || seen[[2]string{to, was}] {
				continue
			}
			seen[[2]string{to, was}] = true
			out = append(out, &Row{When: "where " + number(first[i].Number) + " goes to " + first[i].Rows[j].name(), Step: r.Step, Finding: r.Finding})
		}
	}
	return out
}

func (r *Row) name() string {
	if r.Step != nil {
		return number(r.Step.Number)
	}
	return "F" + number(r.Finding.Number)
}
