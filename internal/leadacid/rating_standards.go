package leadacid

import (
	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

// The standards of a cold-crank rating that the arithmetic knows apart.
const (
	sae = "sae"
	en  = "en"
	jis = "jis"
)

// ratingTest is what the laboratory does to find a cold-crank rating.
type ratingTest struct {
	standard string // as its short name stands on labels, in small letters
	title    string
	temp     float64 // °C of the battery
	volts    float64 // V left at the end of the stage that sets the rating, at least; 0 where the current is not the rating
	test     string
	source   calc.Source
}

var ratingTests = []ratingTest{
	{sae, "SAE J537 (CCA)", -18, 7.2, "At -18 °C the battery gives the rated current for 30 s and still shows 7.2 V (1.2 V a cell).", source("SAE J537, as notes on it print it", seenTwice)},
	{en, "EN 50342-1, level EN1", -18, 7.5, "At -18 °C it gives the rated current for 10 s and still shows 7.5 V; after 10 s of rest it gives six tenths of it down to 6.0 V for 73 s or more.", source("EN 50342-1, as notes on it print it", seen)},
	{"en2", "EN 50342-1, level EN2", -18, 7.5, "As EN1, but the second stage lasts 133 s or more.", source("EN 50342-1, as notes on it print it", seenTwice)},
	{"iec", "IEC 60095-1, as it was until 2006", -18, 8.4, "At -18 °C it gives the rated current for 60 s and still shows 8.4 V. Later editions are tested like EN.", source("IEC 60095-1, as notes on it print it", seen)},
	{"din", "DIN 43539-2", -18, 9.0, "At -18 °C it gives the rated current for 30 s and still shows 9.0 V, and after 150 s 6 V.", source("DIN 43539-2, as notes on it print it", seenTwice)},
	{jis, "JIS D 5301", -15, 0, "At -15 °C it gives a fixed 150 or 300 A: the voltages and the time down to 6 V are given, not the current.", source("JIS D 5301, as notes on it print it", seen)},
	{"ca", "cranking amperes (CA, MCA)", 0, 7.2, "At 0 °C it gives the rated current for 30 s and still shows 7.2 V.", practiced(seen)},
	{"hca", "hot cranking amperes (HCA)", 26.7, 7.2, "At 26.7 °C it gives the rated current for 30 s and still shows 7.2 V.", fromMemory},
}

// standardNames are the standards, in the order of their tests.
var standardNames = func() []string {
	var all []string
	for _, t := range ratingTests {
		all = append(all, t.standard)
	}
	return all
}()

func testOf(standard string) ratingTest {
	for _, t := range ratingTests {
		if t.standard == standard {
			return t
		}
	}
	panic("leadacid: there is no rating standard " + standard)
}

func standardParam(name, doc string) calc.Param { return words(name, doc, standardNames...) }

var ratingTestFunction = &calc.Function{
	Name: "rating_test", Title: "What a cold-crank rating means", Topic: topicRating,
	Doc:     "The test behind the number on the label. A number without its standard says little.",
	Params:  []calc.Param{standardParam("standard", "standard of the rating")},
	Formula: "the definition in the standard", Source: source("the standard, as notes on it print it; no clause was read", seen),
	Work: func(a calc.Args) (calc.Result, error) {
		t := testOf(a.Word("standard"))
		r := single("test_temp", "temperature of the battery", "°C", unit.Exactly(t.temp), 1)
		r.Says = []string{t.title + ": " + t.test, "Source: " + t.source.Text + " (" + string(t.source.Confidence) + ")."}
		return r, nil
	},
}
