package engine

// Suppose says what would come of events without taking them over: the walk is
// folded once more, on the side. Errors and refusals are those of Answer.
func (w *Walk) Suppose(events ...Event) (*Outcome, error) {
	side := NewWalk(w.first, w.meter, w.kit0)
	if _, err := side.Answer(w.events...); err != nil {
		return nil, err
	}
	return side.Answer(events...)
}
