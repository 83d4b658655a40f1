package compare

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"deadflat/internal/text"
)

// text tells what was proved, what was not, and where whole walks that were tried end
// instead.
func (p *Proof) text(b *strings.Builder) {
	b.WriteString("\nWhich answers go another way, step by step: by proof\n")
	wrap(b, "  ", "  ", p.summary())
	for _, s := range p.Exact {
		wrap(b, "  ", "    ", "Proved of exact answers only, since something was changed that settles answers with doubt: "+s)
	}
	if n := len(p.LeftOut); n > 0 {
		wrap(b, "  ", "    ", fmt.Sprintf("Left out, since the others were work enough: %s (--json names all)", text.List(append(slices.Clone(p.LeftOut[:min(n, mostEnds)]), more(n-mostEnds)...), "and")))
	}
	for _, list := range [][]string{p.Notes, p.Never} {
		for _, s := range list {
			wrap(b, "  ", "    ", s)
		}
	}
	for _, u := range p.Undecided {
		wrap(b, "  ", "    ", u.text(p))
	}
	for _, d := range p.Divergences {
		b.WriteString("\n")
		wrap(b, "  ", "    ", d.Says)
		if d.BranchWas != d.BranchIs {
			wrap(b, "    ", "      ", "branch then: "+cmp.Or(d.BranchWas, "none"))
			wrap(b, "    ", "      ", "branch now:  "+cmp.Or(d.BranchIs, "none"))
		}
		d.ends(b)
	}
}

// summary counts what is the same.
func (p *Proof) summary() string {
	same := "At no step is it proved that every exact answer goes the same way as before."
	if p.Same > 0 {
		same = "At " + text.Count(p.Same, "step") + " every exact answer goes the same way as before"
	}
	switch {
	case p.Same == 0:
	case p.InDoubt == p.Same:
		same += ", and so does every answer with doubt."
	case p.InDoubt == 0:
		same += "; of answers with doubt that is not proved."
	default:
		same += fmt.Sprintf("; at %d of them so does every answer with doubt.", p.InDoubt)
	}
	if p.SameRules == 1 {
		same += " 1 hazard rule lets the same answers through."
	} else if p.SameRules > 1 {
		same += fmt.Sprintf(" %d hazard rules let the same answers through.", p.SameRules)
	}
	if n := len(p.Divergences); n == 1 {
		same += " One pair of branches has answers in common and leads to different places."
	} else if n > 1 {
		same += fmt.Sprintf(" %d pairs of branches have answers in common and lead to different places.", n)
	}
	if len(p.Divergences) > 0 {
		same += " The answers shown are exact ones; what comes of close calls there is found by trial only."
	}
	return same
}

func (u Undecided) text(p *Proof) string {
	s := fmt.Sprintf("Undecided: %s: %s; %d answers at its limits and beside them were tried", u.Where, u.Why, u.Tried)
	if slices.ContainsFunc(p.Divergences, func(d *Divergence) bool { return d.ByTrial && d.Where == u.Where }) {
		return s + ", and some of them go another way."
	}
	return s + ", and each goes the same way; that is no proof."
}

// more counts what is not named.
func more(n int) []string {
	if n <= 0 {
		return nil
	}
	return []string{fmt.Sprintf("%d more", n)}
}

// mostEnds is how many findings of one divergence are told.
const mostEnds = 3

// ends tells where whole walks that diverge there end.
func (d *Divergence) ends(b *strings.Builder) {
	switch {
	case d.Walks == 0:
		wrap(b, "    ", "      ", "by trial: no walk that was tried parts here")
	case len(d.Ends) == 0:
		wrap(b, "    ", "      ", "by trial: walks that part here come to the same finding")
	}
	for _, x := range d.Ends[:min(mostEnds, len(d.Ends))] {
		wrap(b, "    ", "      ", "by trial, for a whole walk: was "+x.Was+", is "+x.Is)
	}
	if n := len(d.Ends) - mostEnds; n > 0 {
		fmt.Fprintf(b, "    and %d more pairs of findings, below\n", n)
	}
}
