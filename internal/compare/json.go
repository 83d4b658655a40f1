package compare

// jsonReport is the report for a program.
type jsonReport struct {
	Tree     string    `json:"tree"`
	Was      int       `json:"edition_was"`
	Is       int       `json:"edition_is"`
	Changes  []Change  `json:"changes"`
	Proof    jsonProof `json:"by_proof"`
	Trial    *Trial    `json:"by_trial"`
	Unwalked []string  `json:"not_walked,omitempty"`
}

type jsonProof struct {
	SameSteps   int              `json:"steps_proved_the_same"`
	InDoubt     int              `json:"steps_proved_the_same_in_doubt"` // answers with doubt as well as exact ones
	SameRules   int              `json:"hazard_rules_proved_the_same"`
	Divergences []jsonDivergence `json:"go_another_way"`
	Undecided   []Undecided      `json:"undecided,omitempty"`
	Exact       []string         `json:"of_exact_answers_only,omitempty"`
	Never       []string         `json:"not_come_to,omitempty"`
	Notes       []string         `json:"only_in_one_edition,omitempty"`
}

type jsonDivergence struct {
	Where     string    `json:"where"`
	Steps     []string  `json:"steps,omitempty"`
	Was       string    `json:"was"`
	Is        string    `json:"is"`
	BranchWas string    `json:"branch_was,omitempty"`
	BranchIs  string    `json:"branch_is,omitempty"`
	Says      string    `json:"says"`
	Answers   []Said    `json:"answers,omitempty"`
	ByTrial   bool      `json:"found_by_trial,omitempty"`
	Walks     int       `json:"walks_that_part_here"`
	Ends      []jsonEnd `json:"findings_by_trial,omitempty"`
}

type jsonEnd struct {
	Was string `json:"was"`
	Is  string `json:"is"`
}

// JSON is the report as a value to be encoded.
func (r *Report) JSON() any {
	return jsonReport{Tree: r.Name, Was: r.Was, Is: r.Is, Changes: append([]Change{}, r.Changes...), Proof: r.Proof.json(), Trial: r.Trial, Unwalked: r.Unwalked}
}

func (p *Proof) json() jsonProof {
	out := jsonProof{SameSteps: p.Same, InDoubt: p.InDoubt, SameRules: p.SameRules, Divergences: []jsonDivergence{}, Undecided: p.Undecided, Exact: p.Exact, Never: p.Never, Notes: p.Notes}
	for _, d := range p.Divergences {
		j := jsonDivergence{Where: d.Where, Steps: d.steps, Was: d.Was, Is: d.Is, BranchWas: d.Guards[0], BranchIs: d.Guards[1],
			Says: d.sentence(), ByTrial: d.ByTrial, Walks: d.Walks}
		for _, s := range d.shown.Shown {
			if name := s.Reading + s.Step; !s.Any {
				j.Answers = append(j.Answers, Said{Ask: name, Text: s.Is})
			}
		}
		for _, x := range d.Ends {
			j.Ends = append(j.Ends, jsonEnd{x.Was, x.Is})
		}
		out.Divergences = append(out.Divergences, j)
	}
	return out
}
