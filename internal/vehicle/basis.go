package vehicle

// Basis says what a part of the model rests on, for whatever reports what the model
// found.
type Basis struct{ Part, Source string }

// Bases lists the parts. Nothing in the model is identified from one real vehicle:
// what it shows of a tree is how the tree fares against the model.
func Bases() []Basis {
	return []Basis{
		{"cold-cranking ratings", "EN 50342-1, SAE J537, DIN 43539-2, as restated in public; met by construction"},
		{"load test over health", "fitted so that TM 5-4210-230-14&P-1, Table 5, fails a battery of health 0.57"},
		{"rest voltage over charge", "common practice, no source; within 0.1 V of TM 5-3805-262-20, p. 5-142"},
		{"freezing of the acid", "TM 10-6140-200-14, para 1-9; under a quarter charged, from memory"},
		{"discharge curve, polarisation, acceptance and taper of a charge", "modelling choice"},
		{"self-discharge", "TM 9-6140-200-14, para 4-8"},
		{"cables", "IEC 60228, class 5; usual lengths"},
		{"joints, contacts, coils and windings", "from memory; the windings meet TM 5-2420-230-24-2, p. 13-33"},
		{"starter motor", "fitted to published bench tests: common practice, no source"},
		{"what an engine takes to turn", "from memory and modelling choice"},
		{"consumers and the draw with the key off", "from memory"},
		{"alternator", "common practice, no source; when smart charging lets the voltage down is partly a modelling choice"},
		{"meters", "form of a data sheet; how errors spread within it is a modelling choice"},
		{"how far each fault goes", "modelling choice"},
		{"how common each fault is, how many have two, how often a probing goes wrong, the seasons", "guess"},
		{"what people hear, feel and say", "guess"},
	}
}
