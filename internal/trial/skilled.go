package trial

// Way is what it took to the finding that counts.
type Way struct {
	Answers float64 `json:"answers"` // single ones, those to hazard questions as well
	Cranks  float64 `json:"cranks"`
	Minutes float64 `json:"minutes"` // without those of a charge
}

// Skilled is the tree's way to a cause, on average, beside a skilled person's.
type Skilled struct {
	Cause   string `json:"cause"`
	Of      int    `json:"of"` // vehicles with this fault alone on which the tree was right
	Tree    Way    `json:"tree"`
	Skilled Way    `json:"skilled"`
}

// skilled is what a skilled person needs. Source: common practice, no source.
var skilled = [...]struct {
	cause, fault string
	way          Way
}{
	{"lights left on", "user_left_on", Way{4, 1, 10}},
	{"worn battery", "battery_worn_out", Way{8, 1, 6}},
	{"loose clamp", "post_joint_intermittent", Way{2, 0, 1}},
	{"bad positive joint", "positive_joint_high_resistance", Way{4, 1, 3}},
	{"engine strap", "engine_strap_high_resistance", Way{5, 1, 4}},
	{"burnt contact", "solenoid_contact_burnt", Way{6, 2, 8}},
	{"brushes, silent", "starter_armature_open", Way{5, 1, 5}},
	{"slow starter", "starter_brushes_worn", Way{7, 1, 8}},
	{"immobiliser", "immobiliser_lock", Way{2, 0, 1}},
	{"gear switch", "gear_or_clutch_switch_open", Way{2, 1, 1}},
	{"start relay", "start_relay_contact_bad", Way{4, 1, 5}},
	{"locked engine", "engine_seized", Way{4, 1, 5}},
}

// besideSkilled compares the ways on the vehicles on which the tree was right.
func besideSkilled(cases []Case) []Skilled {
	out := []Skilled{}
	for _, s := range skilled {
		row := Skilled{Cause: s.cause, Skilled: s.way}
		for i := range cases {
			if c := &cases[i]; len(c.Faults) == 1 && c.Faults[0] == s.fault && c.Outcome == Right {
				row.Of++
				row.Tree.Answers += float64(c.Questions)
				row.Tree.Cranks += float64(c.Cranks)
				row.Tree.Minutes += c.Minutes - c.Charging
			}
		}
		if n := float64(row.Of); n > 0 {
			row.Tree = Way{round(row.Tree.Answers / n), round(row.Tree.Cranks / n), round(row.Tree.Minutes / n)}
			out = append(out, row)
		}
	}
	return out
}
