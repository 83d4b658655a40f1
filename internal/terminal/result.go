package terminal

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// result is a finding with everything that must be known about it before a
// spanner is picked up: cautions first after its name. Short counts what has
// and has not been ruled out, where the list would bury the rest.
func result(r *engine.Result, short bool) []Part {
	f := r.Finding
	parts := []Part{{Kind: Title, Label: "Finding", Text: text.Sentence(f.Title)}}
	parts = append(parts, cautions(f.Cautions)...)
	if f.Stop {
		parts = append(parts, Part{Kind: Caution, Label: "Stop", Text: "No further test on this vehicle. Do only what stands here."})
	} else {
		parts = append(parts, toPutBack("Still to be put back", r.PutBack, r.Back)...)
	}
	parts = append(parts, say(Plain, "What to do", text.Sentence(r.Remedy))...)
	if f.Stop { // the hazard comes before the list
		parts = append(parts, toPutBack("Still to be put back, once that is safe", r.PutBack, r.Back)...)
	}
	parts = append(parts, Part{Label: "How sure", Text: certainty(r)})
	for _, c := range r.Close {
		parts = append(parts, say(Plain, "Close call", text.Sentence(c.Text))...)
	}
	parts = slices.Concat(parts, say(Plain, "Stays open", text.Sentence(r.Open)), say(Plain, "For the owner", text.Sentence(r.Customer)))
	if f.Stop {
		return parts // what else it might be is not looked for on this vehicle
	}
	if short && len(r.Cleared)+len(r.NotTested) > 3 {
		return append(parts, Part{Text: fmt.Sprintf("Ruled out: %d. Not ruled out: %d. Type list for their names.", len(r.Cleared), len(r.NotTested))})
	}
	parts = append(parts, say(Plain, "Ruled out", inOneList(titles(r.Cleared)))...)
	return append(parts, notTested(r.NotTested)...)
}

// certainty says how sure a finding is, and what keeps it from being firm.
func certainty(r *engine.Result) string {
	if r.Certainty == engine.Firm {
		return "Firm; no close call changes what to do."
	}
	var why []string
	for _, m := range r.Missing {
		why = append(why, "Missing: "+m.Text+".")
	}
	if slices.ContainsFunc(r.Close, engine.CloseCall.Open) {
		why = append(why, "A reading is too close to its limit: the other side may mean other work.")
	}
	return "Likely, not firm. " + strings.Join(why, " ")
}

// notTested gathers under their reason the findings that stay possible for
// somebody else to find.
func notTested(list []engine.NotTested) []Part {
	var reasons []string
	by := map[string][]string{}
	for _, n := range list {
		if by[n.Why] == nil {
			reasons = append(reasons, n.Why)
		}
		by[n.Why] = append(by[n.Why], n.Finding.Title)
	}
	var parts []Part
	for _, why := range reasons {
		parts = append(parts, Part{Label: "Not ruled out (" + why + ")", Text: inOneList(by[why])})
	}
	return parts
}

// ways is what may be done at a finding: a digit, the words to type, and what they
// mean.
func ways(r *engine.Result) []Choice {
	var out []Choice
	way := func(line, means string) {
		out = append(out, Choice{Key: strconv.Itoa(len(out) + 1), Name: line + ": " + means, Line: line})
	}
	for _, w := range r.PutBack {
		way("put back "+text.Spoken(w), "it has been put back")
	}
	if r.CanGoOn {
		way("go on", "it has been acted on; start the next round")
	}
	if len(r.PutBack) == 0 {
		way("done", "leave it at this finding")
	} else {
		way("pause", "leave, and put it back later")
	}
	return out
}
