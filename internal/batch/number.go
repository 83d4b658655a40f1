package batch

// A decimal of up to 15 digits and as many places is the quotient of two whole
// numbers that a float64 holds exactly, and one division of two exact numbers
// is rounded correctly: so the value is the float64 nearest to what is written,
// the same as strconv gives.
const exactDigits = 15

var tens = [exactDigits + 1]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// plainNumber reads "12.6", "-0.35" or "640". Everything else (a comma, a unit,
// an exponent, a long row of digits) is not plain and is left to the reader of
// typed input.
func plainNumber(text []byte) (float64, bool) {
	negative := text[0] == '-'
	if negative {
		text = text[1:]
	}
	if len(text) == 0 || len(text) > exactDigits+1 {
		return 0, false
	}
	var whole int64
	digits, point := 0, -1
	for i, c := range text {
		switch {
		case c >= '0' && c <= '9':
			whole = whole*10 + int64(c-'0')
			digits++
		case c == '.' && point < 0 && i > 0 && i < len(text)-1:
			point = digits
		default:
			return 0, false
		}
	}
	if digits > exactDigits {
		return 0, false
	}
	v := float64(whole)
	if point >= 0 {
		v /= tens[digits-point]
	}
	if negative {
		v = -v
	}
	return v, true
}
