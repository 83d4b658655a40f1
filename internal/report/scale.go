package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
	"deadflat/internal/unit"
)

// scale is one deciding reading drawn along an axis: the value, its band of
// doubt, and the limits it was held against. All numbers are in the scale's own
// unit. SVG and text draw the same scale.
type scale struct {
	title string // "Battery voltage at rest"
	value string // "12.21 V ± 0.08 V"
	unit  string
	best  float64
	band  [2]float64 // what can be true
	open  [2]bool    // the band goes on past the axis: a one-sided reading

	limits []limit  // ascending, all on the axis
	beyond []string // limits too far away to be drawn to the same scale

	axis
}

// limit is a limit with its own doubt; from and to are the same for one that
// has none.
type limit struct {
	from, to float64
	label    string
}

// axis is a row of evenly spaced ticks.
type axis struct {
	from, to, step float64
	decimals       int
}

// tick is one mark of an axis.
type tick struct {
	at    float64
	label string
}

// scales makes one drawing for each reading or sum among the comparisons of a
// decision that can be drawn, in their order.
func scales(rules []engine.Comparison) []*scale {
	var out []*scale
	byLeft := map[string]*scale{}
	for _, c := range rules {
		u, known := unit.Lookup(c.UnitName)
		if !c.Drawn || !known || !finite(c.Best, c.Lo, c.Hi, c.LimitLo, c.LimitHi) {
			continue
		}
		key := c.Left + "\x00" + c.UnitName
		s := byLeft[key]
		if s == nil {
			s = newScale(c, u)
			byLeft[key] = s
			out = append(out, s)
		}
		s.addLimit(limit{u.From(c.LimitLo), u.From(c.LimitHi), text.Clean(c.Limit)})
	}
	for _, s := range out {
		s.arrange()
	}
	return out
}

// newScale takes the reading of a comparison over; its limits are still to come.
func newScale(c engine.Comparison, u *unit.Unit) *scale {
	s := &scale{title: text.Capital(text.Clean(c.Left)), value: text.Clean(c.Value), unit: u.Name, best: u.From(c.Best)}
	s.band = [2]float64{u.From(c.Lo), u.From(c.Hi)}
	if r := c.Reading; r != nil && r.Number() {
		s.open = [2]bool{c.Lo <= r.Span[0], c.Hi >= r.Span[1]}
	}
	return s
}

// addLimit adds a limit once, however many comparisons name it.
func (s *scale) addLimit(l limit) {
	if !slices.Contains(s.limits, l) {
		s.limits = append(s.limits, l)
	}
}

// arrange sorts the limits, sets aside those too far away to be drawn to the
// same scale as the doubt of the reading, and fits the axis to the rest.
//
// The nearest limit is always drawn: it is the one that decided. Another is
// drawn when it is no more than four times as far from the reading as the
// nearest one, or within ten widths of the doubt.
func (s *scale) arrange() {
	slices.SortStableFunc(s.limits, func(a, b limit) int {
		return cmp.Or(cmp.Compare(a.from, b.from), strings.Compare(a.label, b.label))
	})
	near := math.Inf(1)
	for _, l := range s.limits {
		near = math.Min(near, s.distance(l))
	}
	// Open ends reach as far as the reading could ever go and would leave no room.
	from, to := s.band[0], s.band[1]
	if s.open[0] {
		from = s.best
	}
	if s.open[1] {
		to = s.best
	}
	reach := math.Max(4*near, 10*(to-from))
	var drawn []limit
	for _, l := range s.limits {
		if d := s.distance(l); d > reach && d > near {
			s.beyond = append(s.beyond, l.label)
			continue
		}
		drawn = append(drawn, l)
		from, to = math.Min(from, l.from), math.Max(to, l.to)
	}
	s.limits = drawn
	s.fit(from, to)
}

// fit fits the axis to what is drawn and cuts open ends of the band off a
// little way outside it.
func (s *scale) fit(from, to float64) {
	more := math.Max((to-from)/4, math.Abs(s.best)/50)
	if s.open[0] {
		from = math.Max(s.band[0], from-more)
		s.band[0] = from
	}
	if s.open[1] {
		to = math.Min(s.band[1], to+more)
		s.band[1] = to
	}
	s.axis = fitAxis(from, to)
}

// distance is how far a limit lies from the best value.
func (s *scale) distance(l limit) float64 {
	switch {
	case l.to < s.best:
		return s.best - l.to
	case l.from > s.best:
		return l.from - s.best
	default:
		return 0
	}
}

// fitAxis chooses an axis of about six round steps that holds from and to with
// some room on both sides. Ends closer together than a thousandth of their size
// are drawn as if they were that far apart.
func fitAxis(from, to float64) axis {
	least := math.Max(1e-6, 1e-3*math.Max(math.Abs(from), math.Abs(to)))
	if to-from < least {
		from, to = from-least/2, to+least/2
	}
	width := to - from
	step := math.Pow(10, math.Floor(math.Log10(width/5)))
	for _, times := range []float64{1, 2, 5, 10} {
		if step*times >= width/6 {
			step *= times
			break
		}
	}
	first, last := math.Floor(from/step+1e-9), math.Ceil(to/step-1e-9)
	if from-first*step < step/4 {
		first--
	}
	if last*step-to < step/4 {
		last++
	}
	if from >= 0 {
		first = math.Max(0, first)
	}
	if to <= 0 {
		last = math.Min(0, last)
	}
	return axis{from: first * step, to: last * step, step: step, decimals: max(0, -int(math.Floor(math.Log10(step)+1e-9)))}
}

// ticks lists the marks of the axis from left to right.
func (a axis) ticks() []tick {
	var out []tick
	n := int(math.Round((a.to - a.from) / a.step))
	for i := 0; i <= n; i++ {
		at := a.from + float64(i)*a.step
		out = append(out, tick{at, number(at, a.decimals)})
	}
	return out
}

// share is the place of a value along the axis, 0 at its left end and 1 at its
// right; values past an end are drawn at it.
func (a axis) share(v float64) float64 {
	return math.Min(1, math.Max(0, (v-a.from)/(a.to-a.from)))
}

// words says in a sentence what the drawing shows.
func (s *scale) words() string {
	text := s.title + ": " + s.value
	if len(s.limits) > 0 {
		text += ". Limits, from left to right: " + strings.Join(s.labels(), "; ")
	}
	return sentences(text, s.far())
}

func (s *scale) labels() []string {
	return each(s.limits, func(l limit) string { return l.label })
}

// shows reports whether the scale shows all that another does.
func (s *scale) shows(other *scale) bool {
	mine := append(s.labels(), s.beyond...)
	missing := func(label string) bool { return !slices.Contains(mine, label) }
	return s.title == other.title && s.value == other.value && !slices.ContainsFunc(append(other.labels(), other.beyond...), missing)
}

// far names the limits that are not on the axis.
func (s *scale) far() string {
	if len(s.beyond) == 0 {
		return ""
	}
	return "Too far away to be drawn: " + strings.Join(s.beyond, "; ")
}

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
