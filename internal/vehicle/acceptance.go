package vehicle

import "math"

// charging gives the voltage at the posts at a charging current and its slope:
// the higher of what resistance asks for and what the plates accept.
func (s *source) charging(i float64) (v, slope float64) {
	x := i / s.twoIx
	ohm := s.ohm
	if s.link > 0 {
		ohm += s.linkOhm
	}
	v = s.emf - s.sag + i*ohm + chargeActivation*math.Asinh(x)
	slope = ohm + chargeActivation/(s.twoIx*math.Sqrt(1+x*x))
	if s.gas > 0 {
		const soft = 1e-3
		y := i/s.gasAmps + soft
		p := math.Pow(y, 0.3)
		v += s.gas * (p - softGas)
		slope += s.gas * 0.3 * p / y / s.gasAmps
	}
	if i > 0 {
		if a := s.acceptAt + acceptSlope*math.Log(i/s.accept); a > v {
			return a, acceptSlope / i
		}
	}
	return v, slope
}

// softGas takes off what the softened start of the gassing law adds at no current.
var softGas = math.Pow(1e-3, 0.3)
