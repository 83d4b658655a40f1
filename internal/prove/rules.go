package prove

import (
	"embed"
	"fmt"
	"strings"

	"github.com/rogpeppe/go-internal/txtar"
)

// Rule is one thing that is demanded of a tree. Its text stands in rules/ID.txtar:
// title and reason, then the bodies of two small trees that use testdata/sample.yaml,
// where a line of three dashes stands between two files. Bad breaks the rule, Good is
// the same tree put right.
type Rule struct {
	ID, Title, Reason string
	Bad, Good         string
	Remark            bool // worth a look; a tree is no less sound for it
}

// Rules lists what is demanded of a tree, in the order of the language guide.
var Rules = withTexts([]Rule{
	{ID: "gap"},
	{ID: "overlap"},
	{ID: "not-taken"},
	{ID: "stale"},
	{ID: "stale-after-pause"},
	{ID: "unknown-reading"},
	{ID: "dead-step"},
	{ID: "dead-branch"},
	{ID: "dead-row", Remark: true},
	{ID: "dead-finding"},
	{ID: "asks-again", Remark: true},
	{ID: "unknown-good"},
	{ID: "otherwise-unknown", Remark: true},
	{ID: "clears-unknown"},
	{ID: "clears-itself"},
	{ID: "unguarded"},
	{ID: "hazard-rule"},
	{ID: "hazard-fact"},
	{ID: "hazard-goes-on"},
	{ID: "repair-unproved"},
	{ID: "unheld-hazard", Remark: true},
	{ID: "left-open"},
	{ID: "bare-finding"},
	{ID: "unproved"},
	{ID: "unread"},
	{ID: "action-stops"},
	{ID: "action-differs", Remark: true},
	{ID: "unused-limit"},
	{ID: "limit-outside-span"},
	{ID: "limits-too-close"},
	{ID: "no-safer-side", Remark: true},
	{ID: "point-outside-span", Remark: true},
	{ID: "table-turns", Remark: true},
	{ID: "exact-reading", Remark: true},
	{ID: "handover"},
	{ID: "endless"},
	{ID: "case"},
	{ID: "case-file"},
	{ID: "undecided"},
})

//go:embed rules
var ruleTexts embed.FS

// withTexts reads the text of each rule. A test holds the files to their shape.
func withTexts(rules []Rule) []Rule {
	for i := range rules {
		r := &rules[i]
		data, err := ruleTexts.ReadFile("rules/" + r.ID + ".txtar")
		if err != nil {
			panic(err) // a rule without its file was not built with this program
		}
		text := txtar.Parse(data)
		r.Title, r.Reason, _ = strings.Cut(string(text.Comment), "\n\n")
		r.Reason = strings.TrimSuffix(r.Reason, "\n")
		for _, f := range text.Files {
			switch f.Name {
			case "wrong.yaml":
				r.Bad = string(f.Data)
			case "right.yaml":
				r.Good = string(f.Data)
			}
		}
	}
	return rules
}

// RuleNamed finds a rule; nil if there is none.
func RuleNamed(id string) *Rule {
	for i := range Rules {
		if Rules[i].ID == id {
			return &Rules[i]
		}
	}
	return nil
}

// RuleIDs lists the names of all rules.
func RuleIDs() []string {
	out := make([]string, len(Rules))
	for i := range Rules {
		out[i] = Rules[i].ID
	}
	return out
}

// Text is the rule for a person: what is demanded, why, and the two samples.
func (r *Rule) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n\n%s\n", r.ID, r.Title, r.Reason)
	if r.Remark {
		b.WriteString("This is a remark: a tree is no less sound for it.\n")
	}
	fmt.Fprintf(&b, "\nWrong:\n\n%s\nRight:\n\n%s", indented(r.Bad), indented(r.Good))
	return b.String()
}

func indented(s string) string {
	var b strings.Builder
	for line := range strings.Lines(s) {
		b.WriteString("    " + line)
	}
	return b.String()
}
