package compare

import (
	"fmt"
	"io"
	"strings"

	"deadflat/internal/text"
)

// Report is everything that is to be said of two editions. Its JSON is the form for
// other programs.
type Report struct {
	Name     string   `json:"tree"`
	Was      int      `json:"edition_was"`
	Is       int      `json:"edition_is"`
	Changes  []Change `json:"changes"`
	Proof    *Proof   `json:"by_proof"`
	Trial    *Trial   `json:"by_trial"`
	Unwalked []string `json:"not_walked,omitempty"` // worked cases that could not be walked, and why
}

// Text writes the report for a person. The only error is w's.
func (r *Report) Text(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "tree %s: edition %d against edition %d\n", r.Name, r.Was, r.Is)
	if r.Was >= r.Is && len(r.Changes) > 0 {
		b.WriteString("The number of the edition has not been raised: jobs and people cannot tell the two apart.\n")
	}
	r.changes(&b)
	r.Proof.text(&b)
	r.trial(&b)
	_, err := io.WriteString(w, b.String())
	return err
}

func (r *Report) changes(b *strings.Builder) {
	b.WriteString("\nWhat changed\n")
	if len(r.Changes) == 0 {
		b.WriteString("  Nothing.\n")
		return
	}
	part := ""
	for _, c := range r.Changes {
		if c.Part != part {
			part = c.Part
			fmt.Fprintf(b, "  %s\n", part)
		}
		c.text(b)
	}
}

func (c *Change) text(b *strings.Builder) {
	name := c.Name
	if c.Title != "" {
		name += " (" + c.Title + ")"
	}
	if c.Did != Changed {
		name = string(c.Did) + ": " + name
	}
	wrap(b, "    ", "      ", name)
	for _, d := range c.Details {
		switch {
		case c.Did == Added:
			wrap(b, "      ", "        ", d.Key+": "+d.Is)
		case d.Was == "":
			wrap(b, "      ", "        ", d.Key+": new, "+d.Is)
		case d.Is == "":
			wrap(b, "      ", "        ", d.Key+": gone, was "+d.Was)
		default:
			d.text(b)
		}
	}
}

// text writes both values, on one line where they are short.
func (d *Detail) text(b *strings.Builder) {
	short := fmt.Sprintf("%s: was %s, is %s", d.Key, d.Was, d.Is)
	if text.Width(short)+6 <= lineWidth {
		b.WriteString("      " + short + "\n")
		return
	}
	wrap(b, "      ", "        ", d.Key+":")
	wrap(b, "        was ", "            ", d.Was)
	wrap(b, "        is  ", "            ", d.Is)
}

func (r *Report) trial(b *strings.Builder) {
	t := r.Trial
	b.WriteString("\nWhich answers come to another finding: by trial, not by proof\n")
	wrap(b, "  ", "  ", fmt.Sprintf("Both editions were walked with the same answers, %d times, %d of them with the answers of worked cases. Answers that were not tried may differ as well.", t.Walks, t.FromCases))
	if t.LeftOut > 0 {
		wrap(b, "  ", "  ", fmt.Sprintf("%d more walks were left out: in trees of this size these are work enough (--walks allows more).", t.LeftOut))
	}
	if n := len(t.NotReached); n > 0 {
		wrap(b, "  ", "  ", fmt.Sprintf("Of %s that the proof found %d %s by no walk that was tried; each says so above.", text.Count(len(r.Proof.Divergences), "difference"), n, were(n)))
	}
	for _, u := range r.Unwalked {
		wrap(b, "  ", "    ", "Not walked: "+u)
	}
	if len(t.Differences) == 0 {
		b.WriteString("  None of them comes to another finding.\n")
	}
	for _, d := range t.Differences {
		b.WriteString("\n")
		d.text(b)
	}
}

func (d *Difference) text(b *strings.Builder) {
	wrap(b, "  ", "    ", "Was "+d.Was+", is "+d.Is)
	wrap(b, "    ", "    ", d.shownBy())
	if d.At != "" {
		wrap(b, "    ", "      ", "the ways part at \""+d.At+"\"")
		wrap(b, "      was: ", "           ", d.WasTaken)
		wrap(b, "      is:  ", "           ", d.IsTaken)
	}
	for _, part := range []struct {
		from Origin
		lead string
	}{{Swapped, "other than in the case: "}, {Usual, "beside what the case says: "}} {
		lead := part.lead
		if d.Case == "" {
			lead = "with: "
		}
		if list := d.list(part.from); list != "" {
			wrap(b, "    "+lead, "      ", list)
		}
	}
}

// shownBy says which walks show it.
func (d *Difference) shownBy() string {
	worked := "the worked case \"" + d.Case + "\""
	if !d.Exactly {
		worked = "made from " + worked
	}
	switch {
	case d.Times == 1 && d.Case == "":
		return "one walk shows it"
	case d.Times == 1:
		return "one walk shows it, " + worked
	case d.Case == "":
		return fmt.Sprintf("%d walks show it; one of them:", d.Times)
	}
	return fmt.Sprintf("%d walks show it, one of them %s", d.Times, worked)
}

// list joins the answers of one origin.
func (d *Difference) list(from Origin) string {
	var out []string
	for _, s := range d.Answers {
		if s.From == from && s.Text != skipped {
			out = append(out, s.Ask+" "+s.Text)
		}
	}
	return strings.Join(out, "; ")
}

func were(n int) string {
	if n == 1 {
		return "was reached"
	}
	return "were reached"
}

// lineWidth is how wide a line may be.
const lineWidth = 100

// wrap writes a text in lines, the first after one indent and the others after
// another.
func wrap(b *strings.Builder, first, other, s string) {
	for _, line := range text.Wrap(s, lineWidth, first, other) {
		b.WriteString(line + "\n")
	}
}
