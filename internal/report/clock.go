package report

import (
	"time"

	"deadflat/internal/engine"
)

// clock prints the times of a record. It never looks at the time itself.
type clock struct {
	days  bool // the job went over several days
	taken map[int]time.Time
}

// newClock learns when each take was given: a take has the time of the first
// visit that used it.
func newClock(rec *engine.Record) clock {
	c := clock{days: day(rec.Begun) != day(rec.Ended), taken: map[int]time.Time{}}
	for _, round := range rec.Rounds {
		for _, visit := range round.Steps {
			for _, take := range visit.Takes {
				if _, known := c.taken[take.Seq]; !known {
					c.taken[take.Seq] = visit.At
				}
			}
		}
	}
	return c
}

// at prints the time of day, and the day too when the job went over several.
// A time that is not known prints as nothing.
func (c clock) at(t time.Time) string {
	switch {
	case t.IsZero():
		return ""
	case c.days:
		return t.Format("2 Jan, 15:04")
	default:
		return t.Format("15:04")
	}
}

// take prints the time at which a take was given.
func (c clock) take(t engine.Take) string { return c.at(c.taken[t.Seq]) }

func day(t time.Time) string { return t.Format("2 January 2006") }
