package leadacid

// Chemistry is the type of a 12 V lead-acid battery, as its label gives it.
// Lithium is none of them.
type Chemistry string

// The types, and Unsure for a label that cannot be read: then what is worked out
// covers all of them.
const (
	Flooded Chemistry = "flooded" // plain lead-acid, with liquid acid
	EFB     Chemistry = "efb"     // enhanced flooded battery
	AGM     Chemistry = "agm"     // absorbed in glass mat, valve-regulated
	Gel     Chemistry = "gel"     // gelled acid, valve-regulated
	Unsure  Chemistry = "unsure"
)

var chemistryNames = []string{string(Flooded), string(EFB), string(AGM), string(Gel), string(Unsure)}

// kinds lists the types that c may be.
func (c Chemistry) kinds() ([]Chemistry, error) {
	switch c {
	case Unsure:
		return []Chemistry{Flooded, EFB, AGM, Gel}, nil
	case Flooded, EFB, AGM, Gel:
		return []Chemistry{c}, nil
	}
	return nil, impossible("the battery type %q is unknown: expected flooded, efb, agm, gel or unsure", string(c))
}
