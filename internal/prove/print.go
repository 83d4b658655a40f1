package prove

import (
	"fmt"
	"io"
	"strings"

	"deadflat/internal/source"
	"deadflat/internal/text"
)

// Print writes the report for a person: faults with their places, remarks, and a
// paragraph on each tree.
func (r *Report) Print(w io.Writer) error {
	var b strings.Builder
	r.Faults.Print(&b)
	if !r.Remarks.Empty() {
		if !r.Faults.Empty() {
			b.WriteString("\n")
		}
		b.WriteString("Remarks, for which a tree is no less sound:\n")
		r.Remarks.Print(&b)
	}
	for i := range r.Trees {
		if b.Len() > 0 {
			b.WriteString("\n")
		}
		r.Trees[i].print(&b, r.Sound())
	}
	if r.Shared.Mutants > 0 {
		b.WriteString("\nWhat trees share:\n")
		r.Shared.print(&b)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (t *TreeReport) print(b *strings.Builder, sound bool) {
	fmt.Fprintf(b, "%s: %s with %s", t.Tree.Name, text.Count(t.Steps, "step"), text.Count(t.Branches, "branch"))
	if t.Compared > 0 {
		fmt.Fprintf(b, " and %s of several readings", text.Count(t.Compared, "comparison"))
	}
	b.WriteString(".\n")
	fmt.Fprintf(b, "  The longest way asks at %s and %s.", text.Count(t.Longest.Questions, "step"), times(t.Longest.Cranks))
	if t.Cases != nil && t.Cases.Typical.Questions > 0 {
		fmt.Fprintf(b, " The middle one of the worked cases asks at %d and %s.", t.Cases.Typical.Questions, times(t.Cases.Typical.Cranks))
	}
	b.WriteString("\n")
	if len(t.Open) > 0 {
		fmt.Fprintf(b, "  Can be open at a finding, where it is told how it is put back: %s.\n", text.Spoken(strings.Join(t.Open, ", ")))
	}
	if sound {
		b.WriteString("  Proved: every answer inside the spans has one branch and no more on every way, and nothing is\n" +
			"  decided on a reading that was not taken, has gone stale or could not be taken. Before every step\n" +
			"  that charges, loads, cranks or jumps the walk holds a hazard rule.\n")
	}
	if t.Cases != nil {
		t.Cases.print(b)
	}
	if t.NotMutated != "" {
		fmt.Fprintf(b, "  No small change was tried: %s.\n", t.NotMutated)
	}
}

func times(n int) string {
	switch n {
	case 0:
		return "never cranks"
	case 1:
		return "cranks once"
	case 2:
		return "cranks twice"
	}
	return fmt.Sprintf("cranks %d times", n)
}

// jsonReport is the report for a program.
type jsonReport struct {
	Sound     bool        `json:"sound"`
	Undecided int         `json:"undecided"` // faults of the rule "undecided"
	Faults    []jsonFault `json:"faults"`
	Remarks   []jsonFault `json:"remarks"`
	Trees     []jsonTree  `json:"trees"`
	Shared    *Mutation   `json:"shared,omitempty"` // small changes of what trees share
}

type jsonFault struct {
	Rule string `json:"rule"`
	jsonNote
	Notes []jsonNote `json:"notes,omitempty"`
}

type jsonNote struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Col     int    `json:"col"`
	Message string `json:"message"`
}

type jsonTree struct {
	Tree        string   `json:"tree"`
	Steps       int      `json:"steps"`
	Branches    int      `json:"branches"`
	Comparisons int      `json:"comparisons_of_several_readings"`
	Longest     jsonWay  `json:"longest"`
	Open        []string `json:"can_be_open_at_a_finding,omitempty"`
	Cases       *Cases   `json:"cases,omitempty"`
	NotMutated  string   `json:"not_mutated,omitempty"`
}

type jsonWay struct {
	Steps  int `json:"steps_that_ask"`
	Cranks int `json:"cranks"`
}

// JSON is the report as a value to be encoded.
func (r *Report) JSON() any {
	out := jsonReport{Sound: r.Sound(), Undecided: r.Undecided, Faults: jsonFaults(r.Faults), Remarks: jsonFaults(r.Remarks)}
	if r.Shared.Mutants > 0 {
		out.Shared = &r.Shared
	}
	for _, t := range r.Trees {
		out.Trees = append(out.Trees, jsonTree{Tree: t.Tree.Name, Steps: t.Steps, Branches: t.Branches, Comparisons: t.Compared,
			Longest: jsonWay{t.Longest.Questions, t.Longest.Cranks}, Open: t.Open, Cases: t.Cases, NotMutated: t.NotMutated})
	}
	return out
}

func jsonFaults(f *source.Faults) []jsonFault {
	out := []jsonFault{}
	for _, x := range f.Sorted() {
		at := func(p source.Place, message string) jsonNote { return jsonNote{p.File, p.Line, p.Col, message} }
		j := jsonFault{Rule: x.Rule, jsonNote: at(x.Place, x.Message)}
		for _, n := range x.Notes {
			j.Notes = append(j.Notes, at(n.Place, n.Message))
		}
		out = append(out, j)
	}
	return out
}
