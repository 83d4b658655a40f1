package leadacid

import (
	"fmt"

	"deadflat/internal/unit"
)

// ReadRange reads a quantity as a person types it, with or without its doubt (see
// unit.ParseDoubt), in the unit wanted (its name) or in another of the same kind. The
// range is in the unit wanted. The error says what cannot be read.
func ReadRange(s, wanted string) (Range, error) {
	t, err := unit.ParseDoubt(s, unitNamed(wanted))
	if err == nil && t.Rest != "" {
		err = fmt.Errorf("%s: the words %s after the number mean nothing here", quote(s), quote(t.Rest))
	}
	if err != nil {
		return Range{}, err
	}
	in := func(v float64) float64 {
		if t.Unit.Name == wanted {
			return v
		}
		return unitNamed(wanted).From(t.Unit.Base(v))
	}
	return Range{in(t.Value - t.OutBy), in(t.Value), in(t.Value + t.OutBy)}, nil
}
