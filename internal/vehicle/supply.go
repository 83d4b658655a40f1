package vehicle

// supply is a source with a set voltage, an inner resistance and a current that
// it cannot pass and never takes back: an alternator or a charger.
type supply struct {
	volts, ohm, most float64
	mode             supplyMode
}

type supplyMode uint8

const (
	atVolts supplyMode = iota // it holds its voltage
	atMost                    // it gives all it can
	idle                      // what it feeds stands higher
)

// companion gives conductance and current in the mode, as a device: a current given
// out is negative.
func (s *supply) companion(v float64) (g, i float64) {
	switch s.mode {
	case atMost:
		return 0, -s.most
	case idle:
		return 0, 0
	}
	return 1 / s.ohm, (v - s.volts) / s.ohm
}

// follow changes the mode by one step if the voltage found does not agree with it,
// and reports whether it did. One step at a time, so that it cannot swing between
// all and nothing.
func (s *supply) follow(v float64) bool {
	want := (s.volts - v) / s.ohm
	was := s.mode
	switch s.mode {
	case atVolts:
		if want > s.most {
			s.mode = atMost
		} else if want < 0 {
			s.mode = idle
		}
	case atMost:
		if want < s.most {
			s.mode = atVolts
		}
	case idle:
		if want > 0 {
			s.mode = atVolts
		}
	}
	return s.mode != was
}
