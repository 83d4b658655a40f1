package leadacid

import "strings"

// Standard is the standard that a cold-crank rating is given in.
type Standard string

// The standards, as their short names stand on labels, in small letters.
const (
	SAE Standard = "sae" // SAE J537, "CCA"
	EN  Standard = "en"  // EN 50342-1, level EN1
	EN2 Standard = "en2" // EN 50342-1, level EN2
	IEC Standard = "iec" // IEC 60095-1 as it was until 2006
	DIN Standard = "din" // DIN 43539-2
	JIS Standard = "jis" // JIS D 5301
	CA  Standard = "ca"  // cranking amperes at 0 °C, also "MCA"
	HCA Standard = "hca" // hot cranking amperes
)

var standardNames = []string{string(SAE), string(EN), string(EN2), string(IEC), string(DIN), string(JIS), string(CA), string(HCA)}

// RatingTest is what the laboratory does to find a cold-crank rating.
type RatingTest struct {
	Standard Standard
	Title    string
	Temp     float64 // °C of the battery
	Seconds  float64 // of the stage that sets the rating; 0 where the current is not the rating
	Volts    float64 // V that are left at its end, at least; 0 likewise
	Test     string  // the whole test in a sentence
	Source   Source
}

// ratingTests are the tests, in the order of [standardNames].
var ratingTests = []RatingTest{
	{SAE, "SAE J537 (CCA)", -18, 30, 7.2, "At -18 °C the battery gives the rated current for 30 s and still shows 7.2 V (1.2 V a cell).", Source{"SAE J537, as notes on it print it", SeenTwice}},
	{EN, "EN 50342-1, level EN1", -18, 10, 7.5, "At -18 °C it gives the rated current for 10 s and still shows 7.5 V; after 10 s of rest it gives six tenths of it down to 6.0 V for 73 s or more.", Source{"EN 50342-1, as notes on it print it", Seen}},
	{EN2, "EN 50342-1, level EN2", -18, 10, 7.5, "As EN1, but the second stage lasts 133 s or more.", Source{"EN 50342-1, as notes on it print it", SeenTwice}},
	{IEC, "IEC 60095-1, as it was until 2006", -18, 60, 8.4, "At -18 °C it gives the rated current for 60 s and still shows 8.4 V. Later editions are tested like EN.", Source{"IEC 60095-1, as notes on it print it", Seen}},
	{DIN, "DIN 43539-2", -18, 30, 9.0, "At -18 °C it gives the rated current for 30 s and still shows 9.0 V, and after 150 s 6 V.", Source{"DIN 43539-2, as notes on it print it", SeenTwice}},
	{JIS, "JIS D 5301", -15, 0, 0, "At -15 °C it gives a fixed 150 or 300 A: the voltages and the time down to 6 V are given, not the current.", Source{"JIS D 5301, as notes on it print it", Seen}},
	{CA, "cranking amperes (CA, MCA)", 0, 30, 7.2, "At 0 °C it gives the rated current for 30 s and still shows 7.2 V.", practiced(Seen)},
	{HCA, "hot cranking amperes (HCA)", 26.7, 30, 7.2, "At 26.7 °C it gives the rated current for 30 s and still shows 7.2 V.", fromMemory},
}

// RatingTestOf gives the test behind a standard. An unknown standard is Impossible.
func RatingTestOf(s Standard) (RatingTest, error) {
	for _, t := range ratingTests {
		if t.Standard == s {
			return t, nil
		}
	}
	return RatingTest{}, impossible("the rating standard %q is unknown: expected one of %s", string(s), strings.Join(standardNames, ", "))
}

var ratingTestFunction = &Function{
	Name: "rating_test", Title: "What a cold-crank rating means", Topic: topicRating,
	Doc: "The test behind the number on the label. A number without its standard says little.",
	Params: []Param{
		choice("standard", "standard of the rating", standardNames...),
	},
	Formula: "the definition in the standard", Source: Source{"the standard, as notes on it print it; no clause was read", Seen},
	work: func(a Args) (Result, error) {
		t, err := RatingTestOf(Standard(a.word("standard")))
		if err != nil {
			return Result{}, err
		}
		return Result{
			Values: []Value{{"test_temp", "temperature of the battery", "°C", Exactly(t.Temp), 1}},
			Says:   []string{t.Title + ": " + t.Test, "Source: " + t.Source.Text + " (" + string(t.Source.Confidence) + ")."},
		}, nil
	},
}
