package prove

import (
	"fmt"
	"strings"
)

// condition writes a box as a guard that an author can paste: limits by their
// names, comparisons as they were written.
func (p *problem) condition(b, whole box) string {
	var parts []string
	for i, d := range p.dims {
		if within(whole[i], b[i]) {
			continue
		}
		ax := p.m.axisOf(d)
		switch {
		case ax == nil && p.m.row(d) != nil:
			parts = append(parts, rowText(p.m.row(d), b[i].set == yes))
		case ax == nil:
			parts = append(parts, negated(fmt.Sprintf("done(%s)", last(p.m.doneName(d))), b[i].set == yes))
		case b[i].modes&known == 0:
			parts = append(parts, "not known("+ax.v.ID+")")
		case ax.number():
			parts = append(parts, ax.rangeText(b[i])...)
		default:
			parts = append(parts, ax.v.Guard(ax.v.ID, b[i].set))
		}
	}
	if len(parts) == 0 {
		return "..."
	}
	return strings.Join(parts, " and ")
}

func last(id string) string { return id[strings.LastIndexByte(id, '/')+1:] }

func negated(s string, is bool) string {
	if is {
		return s
	}
	return "not " + s
}

// rowText is a comparison as written, or its opposite.
func rowText(r *row, holds bool) string {
	if holds == r.same {
		return r.text
	}
	for _, op := range [][2]string{{" <= ", " > "}, {" >= ", " < "}, {" < ", " >= "}, {" > ", " <= "}} {
		if strings.Count(r.text, op[0]) == 1 {
			return strings.Replace(r.text, op[0], op[1], 1)
		}
	}
	return "not (" + r.text + ")"
}

// rangeText is a range of numbers between named limits. An end at which no limit
// stands, a point of a table, is left out: a guard holds no bare numbers.
func (a *axis) rangeText(d domain) []string {
	var out []string
	if name := a.names[d.lo/2]; d.lo > 0 && name != "" {
		out = append(out, a.v.ID+[]string{" >= ", " > "}[d.lo%2]+name)
	}
	if name := a.names[(d.hi+1)/2]; d.hi < a.full.hi && name != "" {
		out = append(out, a.v.ID+[]string{" <= ", " < "}[d.hi%2]+name)
	}
	return out
}
