package trial

import "math"

// Share is a part of a whole, with the range in which the true share lies at 95 %.
type Share struct {
	Of    int     `json:"of"`
	Count int     `json:"count"`
	Share float64 `json:"share"` // 0 when Of is 0
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// tally counts of how many something holds.
type tally struct{ of, count int }

func (t *tally) add(holds bool) {
	t.of++
	if holds {
		t.count++
	}
}

func (t tally) share() Share { return share(t.count, t.of) }

// share works out a share with its Wilson interval. Source: Wilson, Journal of the
// American Statistical Association 22, 1927, with the normal quantile of 95 %.
func share(count, of int) Share {
	s := Share{Of: of, Count: count}
	if of == 0 {
		return s
	}
	const z = 1.959963984540054
	n := float64(of)
	p := float64(count) / n
	middle := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z * math.Sqrt(p*(1-p)/n+z*z/(4*n*n)) / (1 + z*z/n)
	s.Share, s.Low, s.High = round(p), round(max(0, middle-half)), round(min(1, middle+half))
	return s
}

// round keeps six places, so that a report reads the same on every machine.
func round(x float64) float64 { return math.Round(x*1e6) / 1e6 }
