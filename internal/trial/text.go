package trial

import (
	"fmt"
	"io"
	"strings"

	"deadflat/internal/text"
)

// Text writes the report for a terminal.
func (r *Report) Text(w io.Writer) error {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s", hung("", fmt.Sprintf("Tree %s, edition %d, on %d virtual vehicles from seed %d, %s meter.", r.Tree, r.Edition, r.Vehicles, r.Seed, r.Meter)))
	line("%s", hung("", "Vehicles, people and kit: "+r.Set+"."))
	line("%s", hung("", r.Guess))
	line("")
	for _, row := range r.overall() {
		line("  %-36s %s", row.Name, row.Share)
	}
	line("\nIn per cent, by the first finding that leads to work; firm: wrong and firm")
	line("  %-35s %5s%s", "", "of", heads())
	for _, row := range r.table() {
		line("%s", row.line())
	}
	line("\n  %-36s %8s %8s %8s %8s", "To the finding that counts", "mean", "half", "9 in 10", "most")
	for _, s := range r.spreads() {
		line("  %-36s %8.1f %8.0f %8.0f %8.0f", s.Name, s.Mean, s.Half, s.Ninety, s.Most)
	}
	line("\nThe battery alone: replaced without need (of good ones), found (of bad ones)")
	for _, x := range r.Rules {
		line("  %-36s %s", x.Name, x.Needless)
		line("  %-36s %s", "", x.Bad)
	}
	if len(r.Skilled) > 0 {
		line("\nBeside a skilled person: answers, cranks, minutes without a charge")
	}
	for _, s := range r.Skilled {
		line("  %-28s %5d  %5.1f %4.1f %6.1f   skilled %3.0f %3.0f %3.0f", s.Cause, s.Of, s.Tree.Answers, s.Tree.Cranks, s.Tree.Minutes, s.Skilled.Answers, s.Skilled.Cranks, s.Skilled.Minutes)
	}
	line("\n  %-35s %5s%s", "A single fault, by family", "of", heads())
	for _, x := range r.Families {
		line("%s", x.line())
	}
	if r.Bound != nil {
		r.Bound.text(line)
	}
	line("\n  %-35s %5s%s", "A single fault, and the findings", "of", heads())
	for _, x := range r.Faults {
		line("%s", x.line())
		line("%s", hung("      ", x.findings(4)))
	}
	line("\n%s", hung("", "Repairs done without need: "+Row{Findings: r.Renewed}.findings(8)))
	r.mistakes(line)
	list := func(title string, hs []Hazard) {
		if len(hs) > 0 {
			line("\n%s", title)
			for _, h := range hs {
				line("%s", hung(fmt.Sprintf("  %6d  ", h.Count), fmt.Sprintf("%s (seed %d)", h.What, h.Seed)))
			}
		}
	}
	list("Unsafe: what the tree asked for that would have hurt somebody", r.Hazards)
	list("Where it could not go on", r.Halts)
	_, err := io.WriteString(w, b.String())
	return err
}

// text writes the bound beside the tree.
func (b *Bound) text(line func(string, ...any)) {
	line("\nThe best that the same readings allow, by estimate, and the tree beside it")
	line("%s", hung("", fmt.Sprintf("%d vehicles with at most one fault are called by what is likeliest among %d simulated ones that read like them, by %d readings. %s", b.Right.Of, b.Learnt, b.Readings, b.Limits)))
	for _, x := range append([]Both{{"all of them", b.Right, b.Tree}, b.Repair}, b.Families...) {
		line("  %-36s %s", x.Name, x.Right)
		line("  %-36s %s", "  the tree", x.Tree)
	}
	if len(b.Alike) > 0 {
		line("\nWhat the estimate takes for something else")
	}
	for _, p := range b.Alike {
		line("%s", hung("  ", p.Text()))
	}
}

// mistakes writes the commonest of them.
func (r *Report) mistakes(line func(string, ...any)) {
	list := func(title string, ws []Mistake) {
		if len(ws) > 0 {
			line("\n%s", title)
		}
		for _, x := range ws {
			line("%s", hung(fmt.Sprintf("  %6d  ", x.Count), named(x.Hidden)+": "+x.Finding+", "+string(x.Outcome)))
			line("%s", hung("          ", fmt.Sprintf("seed %d: %s", x.Seed, strings.Join(x.Rounds, ", "))))
		}
	}
	list("The commonest mistakes with one fault, each with the seed of a vehicle", r.Worst)
	list("The commonest with two faults: the first, and the finding that counted", r.WorstTwo)
	if len(r.Worst) > 0 {
		line("\nTo have one as a job: deadflat trial %s --vehicles 1 --seed %d --job FILE", r.Tree, r.Worst[0].Seed)
	}
}

// Bar is one share with its name, as a page draws it.
type Bar struct {
	Name string
	Share
}

// overall are the shares of all vehicles, in the order of every report.
func (r *Report) overall() []Bar {
	of := func(n int) Share { return share(n, r.All.Of) }
	return []Bar{
		{"right", of(r.All.Right)},
		{"same repair", of(r.All.SameRepair)},
		{"open: says what to measure", of(r.All.Open)},
		{"missed: given back as it was", of(r.All.Missed)},
		{"wrong: something sound repaired", of(r.All.Wrong)},
		{"  and called firm", of(r.All.WrongFirm)},
		{"asked for something unsafe", of(r.All.Unsafe)},
		{"could not go on", of(r.All.Stuck)},
		{"with two faults: both in the end", r.BothEnds},
		{"told to replace a good battery", r.Needless},
		{"told to renew another good part", r.NeedlessPart},
		{"sound vehicles that lose a part", r.SoundLose},
		{"with a close call on the way", r.Close},
		{"whose finding is only likely", r.Likely},
	}
}

// table are the scores by how many faults there were, and by how far one goes.
func (r *Report) table() []Row {
	rows := []Row{{Name: "all vehicles", Score: r.All}, {Name: "with one fault", Score: r.One}}
	for _, x := range r.Severity {
		rows = append(rows, Row{Name: "  severity: " + x.Name, Score: x.Score})
	}
	return append(rows, Row{Name: "with two faults", Score: r.Two}, Row{Name: "with none", Score: r.None})
}

// heads are the heads of a row's columns.
func heads() (s string) {
	for _, c := range scoreColumns {
		s += fmt.Sprintf("%6s", c)
	}
	return s
}

// line is a row of a table.
func (r Row) line() string {
	s := fmt.Sprintf("  %-35s %5d", r.Name, r.Of)
	for _, p := range r.Percents() {
		s += fmt.Sprintf("%6.1f", p)
	}
	return s
}

type namedSpread struct {
	Name string
	Spread
}

func (r *Report) spreads() []namedSpread {
	return []namedSpread{
		{"answers", r.Questions}, {"cranks", r.Cranks}, {"minutes, charges and waits included", r.Minutes},
	}
}

// String gives a share in per cent with its range.
func (s Share) String() string {
	if s.Of == 0 {
		return "none of them"
	}
	return fmt.Sprintf("%6.2f %% (%.2f to %.2f), %d of %d", 100*s.Share, 100*s.Low, 100*s.High, s.Count, s.Of)
}

// findings lists the commonest.
func (r Row) findings(n int) string {
	var parts []string
	for i, f := range r.Findings {
		if i == n {
			parts = append(parts, fmt.Sprintf("and %d others", len(r.Findings)-n))
			break
		}
		parts = append(parts, fmt.Sprintf("%s %d", f.Name, f.Count))
	}
	return strings.Join(parts, ", ")
}

// columns is how wide the text is. What stands in columns keeps to it as long as no
// count has more than five digits.
const columns = 80

// hung breaks a sentence into lines that fit, the first behind what it begins with,
// the others as far in.
func hung(begin, s string) string {
	return strings.Join(text.Wrap(s, columns, begin, strings.Repeat(" ", len(begin))), "\n")
}
