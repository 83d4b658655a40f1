package report

import (
	"time"

	"deadflat/internal/engine"
)

// clock prints the times of a record. It never looks at the time itself.
type clock struct {
	days bool // the job went over several days
}

func newClock(rec *engine.Record) clock { return clock{days: day(rec.Begun) != day(rec.Ended)} }

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

func day(t time.Time) string { return t.Format("2 January 2006") }
