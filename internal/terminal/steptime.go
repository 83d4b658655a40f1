package terminal

import (
	"strconv"
	"strings"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// stepTime is how long a step takes by itself: "15 s", "2 min", "4 h".
func stepTime(st *engine.Step) (time.Duration, bool) {
	if st == nil {
		return 0, false
	}
	n, name, _ := strings.Cut(st.For, " ")
	v, err := strconv.ParseFloat(n, 64)
	unit, known := map[string]time.Duration{"s": time.Second, "min": time.Minute, "h": time.Hour, "d": 24 * time.Hour}[name]
	if err != nil || !known || v <= 0 {
		return 0, false
	}
	return time.Duration(v * float64(unit)), true
}

// spell says a time in words: "15 seconds", "2 minutes", "4 hours".
func spell(d time.Duration) string {
	switch {
	case d%time.Hour == 0:
		return text.Count(int(d/time.Hour), "hour")
	case d%time.Minute == 0:
		return text.Count(int(d/time.Minute), "minute")
	}
	return text.Count(int(d.Round(time.Second)/time.Second), "second")
}
