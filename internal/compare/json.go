package compare

// jsonReport is the report for a program.
type jsonReport struct {
	Tree     string       `json:"tree"`
	Was      int          `json:"edition_was"`
	Is       int          `json:"edition_is"`
	Changes  []jsonChange `json:"changes"`
	Proof    jsonProof    `json:"by_proof"`
	Trial    jsonTrial    `json:"by_trial"`
	Unwalked []string     `json:"not_walked,omitempty"`
}

type jsonChange struct {
	Part    string       `json:"part"`
	Name    string       `json:"name"`
	Title   string       `json:"title,omitempty"`
	Did     Did          `json:"did"`
	Details []jsonDetail `json:"details,omitempty"`
}

type jsonDetail struct {
	Key string `json:"key"`
	Was string `json:"was,omitempty"`
	Is  string `json:"is,omitempty"`
}

type jsonProof struct {
	SameSteps   int              `json:"steps_proved_the_same"`
	InDoubt     int              `json:"steps_proved_the_same_in_doubt"` // answers with doubt as well as exact ones
	SameRules   int              `json:"hazard_rules_proved_the_same"`
	Divergences []jsonDivergence `json:"go_another_way"`
	Undecided   []jsonUndecided  `json:"undecided,omitempty"`
	Exact       []string         `json:"of_exact_answers_only,omitempty"`
	Never       []string         `json:"not_come_to,omitempty"`
	Notes       []string         `json:"only_in_one_edition,omitempty"`
}

type jsonDivergence struct {
	Where     string     `json:"where"`
	Steps     []string   `json:"steps,omitempty"`
	Was       string     `json:"was"`
	Is        string     `json:"is"`
	BranchWas string     `json:"branch_was,omitempty"`
	BranchIs  string     `json:"branch_is,omitempty"`
	Says      string     `json:"says"`
	Answers   []jsonSaid `json:"answers,omitempty"`
	ByTrial   bool       `json:"found_by_trial,omitempty"`
	Walks     int        `json:"walks_that_part_here"`
	Ends      []jsonEnd  `json:"findings_by_trial,omitempty"`
}

type jsonEnd struct {
	Was string `json:"was"`
	Is  string `json:"is"`
}

type jsonUndecided struct {
	Where string `json:"where"`
	Why   string `json:"why"`
	Tried int    `json:"answers_tried"`
}

type jsonTrial struct {
	Walks       int              `json:"walks"`
	FromCases   int              `json:"from_worked_cases"`
	Differences []jsonDifference `json:"findings"`
}

type jsonDifference struct {
	Was     string     `json:"was"`
	Is      string     `json:"is"`
	Walks   int        `json:"walks"`
	Case    string     `json:"worked_case,omitempty"`
	Exactly bool       `json:"as_the_case_says,omitempty"`
	At      string     `json:"part_at,omitempty"`
	Answers []jsonSaid `json:"answers"`
}

type jsonSaid struct {
	Ask  string `json:"ask"`
	Text string `json:"is"`
}

// JSON is the report as a value to be encoded.
func (r *Report) JSON() any {
	out := jsonReport{Tree: r.Name, Was: r.Was, Is: r.Is, Changes: []jsonChange{}, Proof: r.Proof.json(), Unwalked: r.Unwalked,
		Trial: jsonTrial{Walks: r.Trial.Walks, FromCases: r.Trial.FromCases, Differences: []jsonDifference{}}}
	for _, c := range r.Changes {
		j := jsonChange{Part: c.Part, Name: c.Name, Title: c.Title, Did: c.Did}
		for _, d := range c.Details {
			j.Details = append(j.Details, jsonDetail(d))
		}
		out.Changes = append(out.Changes, j)
	}
	for _, d := range r.Trial.Differences {
		j := jsonDifference{Was: d.Was, Is: d.Is, Walks: d.Times, Case: d.Case, Exactly: d.Exactly, At: d.At, Answers: []jsonSaid{}}
		for _, s := range d.Answers {
			j.Answers = append(j.Answers, jsonSaid{s.Ask, s.Text})
		}
		out.Trial.Differences = append(out.Trial.Differences, j)
	}
	return out
}

func (p *Proof) json() jsonProof {
	out := jsonProof{SameSteps: p.Same, InDoubt: p.InDoubt, SameRules: p.SameRules, Divergences: []jsonDivergence{}, Exact: p.Exact, Never: p.Never, Notes: p.Notes}
	for _, u := range p.Undecided {
		out.Undecided = append(out.Undecided, jsonUndecided(u))
	}
	for _, d := range p.Divergences {
		j := jsonDivergence{Where: d.Where, Steps: d.steps, Was: d.Was, Is: d.Is, BranchWas: d.Guards[0], BranchIs: d.Guards[1],
			Says: d.sentence(), ByTrial: d.ByTrial, Walks: d.Walks}
		for _, s := range d.shown.Shown {
			if name := s.Reading + s.Step; !s.Any {
				j.Answers = append(j.Answers, jsonSaid{name, s.Is})
			}
		}
		for _, x := range d.Ends {
			j.Ends = append(j.Ends, jsonEnd{x.Was, x.Is})
		}
		out.Divergences = append(out.Divergences, j)
	}
	return out
}
