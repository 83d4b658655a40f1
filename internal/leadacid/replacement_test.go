package leadacid

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/calc"
	"deadflat/internal/unit"
)

var wanted = battery{chemistry: efb, box: "LN3", layout: "right", post: "standard", holdDown: "B13", capacity: 70, rating: 720, standard: en}

// like is what is wanted, with one thing changed.
func like(change func(*battery)) battery {
	b := wanted
	b.name = "one"
	change(&b)
	return b
}

func TestOneThingWrongDecides(t *testing.T) {
	for _, c := range []struct {
		change func(*battery)
		fits   unit.Verdict
		what   string
		why    string
	}{
		{func(b *battery) {}, unit.Yes, "", ""},
		{func(b *battery) { b.box = "h6" }, unit.Yes, "", ""},
		{func(b *battery) { b.box = "LN4" }, unit.No, "box", "box LN4 (315 x 175 x 190 mm) does not go where LN3 (278 x 175 x 190 mm) belongs"},
		{func(b *battery) { b.box = "X9" }, unit.Open, "box", "box X9 is unknown here: measure it against LN3 (278 x 175 x 190 mm)"},
		{func(b *battery) { b.layout = "left" }, unit.No, "layout", "positive post on the left, not right"},
		{func(b *battery) { b.post = "thin" }, unit.No, "posts", "thin posts, not standard"},
		{func(b *battery) { b.holdDown = "B03" }, unit.No, "hold-down", "hold-down B03 does not hold in place of B13"},
		{func(b *battery) { b.capacity = 69 }, unit.No, "capacity", "only 69 Ah for 70 Ah asked for"},
		{func(b *battery) { b.capacity = 80.5 }, unit.Yes, "", ""},
		{func(b *battery) { b.rating = 719 }, unit.No, "rating", "only 719 A EN for 720 A EN asked for"},
		{func(b *battery) { b.rating, b.standard = 740, sae }, unit.Open, "rating", "740 A SAE for 720 A EN asked for: inside the spread of the conversion, so ask for its rating in EN"},
		{func(b *battery) { b.rating, b.standard = 500, sae }, unit.No, "rating", "only 500 A SAE for 720 A EN asked for"},
		{func(b *battery) { b.rating, b.standard = 900, sae }, unit.Yes, "", ""},
		{func(b *battery) { b.rating, b.standard = 900, jis }, unit.Open, "rating", "900 A JIS for 720 A EN asked for: nothing published leads to or from a JIS rating: look the size code up in its maker's list, or go by the capacity"},
		{func(b *battery) { b.chemistry = agm }, unit.Yes, "", ""},
		{func(b *battery) { b.chemistry = flooded }, unit.No, "type", "flooded is a lesser type than EFB"},
		{func(b *battery) { b.chemistry = gel }, unit.No, "type", "gel in place of EFB: gel needs its own, lower charging voltage"},
	} {
		got := chooseReplacement(wanted, []battery{like(c.change)})
		require.Len(t, got, 1)
		assert.Equal(t, c.fits, got[0].Fits, c.why)
		for _, check := range got[0].Checks {
			if check.What == c.what {
				assert.Equal(t, c.why, check.Why)
			} else {
				assert.Equal(t, unit.Yes, check.Fits, check.Why)
			}
		}
	}
}

func TestALedgeAllRoundServesForOneAlongTwoSides(t *testing.T) {
	w := wanted
	w.holdDown = "B01"
	for _, h := range holdNames {
		got := chooseReplacement(w, []battery{like(func(b *battery) { b.holdDown = h })})
		assert.Equal(t, h == "B01" || h == "B03" || h == "B13", got[0].Fits == unit.Yes, h)
	}
}

// A type is never replaced by a lesser one, whatever else is offered with it.
func TestTypesNeverGetLesser(t *testing.T) {
	order := []string{flooded, efb, agm}
	for i, asked := range order {
		for j, offered := range order {
			w := wanted
			w.chemistry = asked
			got := chooseReplacement(w, []battery{like(func(b *battery) { b.chemistry, b.capacity, b.rating = offered, 75, 900 })})
			assert.Equal(t, j >= i, got[0].Fits == unit.Yes, "%s for %s", offered, asked)
		}
	}
}

// The order in which a list has its batteries does not change the ranking, and
// no unfit one comes before a fit one.
func TestRankingDoesNotDependOnTheList(t *testing.T) {
	list, err := readBatteries(exampleList)
	require.NoError(t, err)
	first := chooseReplacement(wanted, list)
	for i := 1; i < len(first); i++ {
		order := map[unit.Verdict]int{unit.Yes: 0, unit.Open: 1, unit.No: 2}
		assert.LessOrEqual(t, order[first[i-1].Fits], order[first[i].Fits])
	}
	rapid.Check(t, func(t *rapid.T) {
		shuffled := rapid.Permutation(list).Draw(t, "list")
		again := chooseReplacement(wanted, shuffled)
		require.Equal(t, first, again)
	})
}

const header = "name,chemistry,box,layout,post,hold_down,capacity,rating,standard\n"

func TestReadBatteries(t *testing.T) {
	got, err := readBatteries("\ufeffStandard,name,chemistry,box,layout,post,hold_down,rating,capacity\r\nEN,\"One, large\",AGM,LN5,Right,standard,b13,850 A,\"95,5 Ah\"\r\n\r\n")
	require.NoError(t, err)
	assert.Equal(t, []battery{{name: "One, large", chemistry: agm, box: "LN5", layout: "right", post: "standard", holdDown: "B13", capacity: 95.5, rating: 850, standard: en}}, got)
}

func TestReadBatteriesNamesEveryFault(t *testing.T) {
	row := "one,agm,LN3,right,standard,B13,70,760,en\n"
	for text, want := range map[string]string{
		"":                     "line 1: the header line is missing: expected the columns name, chemistry, box, layout, post, hold_down, capacity, rating, standard",
		header:                 "line 1: there is no battery in the list",
		"name;box\n":           "line 1: the columns are parted by semicolons: save the list with commas",
		"name,price\n":         "line 1: \"price\" is not a column: expected name, chemistry, box, layout, post, hold_down, capacity, rating, standard\nline 1: the column \"chemistry\" is missing\nline 1: the column \"box\" is missing\nline 1: the column \"layout\" is missing\nline 1: the column \"post\" is missing\nline 1: the column \"hold_down\" is missing\nline 1: the column \"capacity\" is missing\nline 1: the column \"rating\" is missing\nline 1: the column \"standard\" is missing",
		"name," + header:       `line 1: the column "name" stands there twice`,
		header + row + row:     `line 3: "one" stands in line 2 already`,
		header + "one,agm\n":   "line 2: the line has 2 fields, the header 9",
		header + "\"one,agm\n": "line 2: a quotation mark is not closed, or something stands behind it",
		header + "o\"ne,agm\n": "line 2: a quotation mark stands inside a field: put the whole field in quotation marks, and write it twice",
		header + "\x1b[2J,lead,,up,,B99,1000,x,abc\n":    "line 2: chemistry is \"lead\": expected one of flooded, efb, agm, gel\nline 2: layout is \"up\": expected one of right, left\nline 2: post is \"\": expected one of standard, thin\nline 2: hold_down is \"B99\": expected one of B00, B01, B03, B04, B09, B13, B14\nline 2: standard is \"abc\": expected one of sae, en, en2, iec, din, jis, ca, hca\nline 2: name holds a character that cannot be printed: \"\\x1b[2J\"\nline 2: box is missing\nline 2: capacity: 20-hour capacity is 1000 Ah, expected 1 Ah to 300 Ah\nline 2: rating: \"x\" is not a number: type one such as 12.55",
		header + strings.Replace(row, "70", "60..70", 1): "line 2: capacity: expected one number",
		header + "\xff\n":                          "line 1: the list is not in UTF-8: save it again as UTF-8",
		strings.Repeat("x", mostListBytes+1):       "line 1: the list is longer than 1 MB",
		header + strings.Repeat("a", 81) + row[3:]: "line 2: name is longer than 80 characters",
	} {
		_, err := readBatteries(text)
		var faults ListFaults
		require.ErrorAs(t, err, &faults)
		if strings.Contains(want, "chemistry is") {
			assert.ElementsMatch(t, strings.Split(want, "\n"), strings.Split(err.Error(), "\n"))
			continue
		}
		assert.Equal(t, want, err.Error())
	}
}

func TestReplacementSays(t *testing.T) {
	j := func(all ...unit.Verdict) []calc.Candidate {
		var out []calc.Candidate
		for _, v := range all {
			out = append(out, calc.Candidate{Fits: v})
		}
		return out
	}
	assert.Contains(t, replacementSays(j(unit.Yes, unit.Open, unit.No)), "1 of 3 may be fitted")
	assert.Equal(t, "None of 2 is certain to fit; of 1 it cannot be told.", replacementSays(j(unit.Open, unit.No)))
	assert.Equal(t, "None of 1 may be fitted.", replacementSays(j(unit.No)))
}

// Whatever a list holds, it is read or refused with places inside it.
func FuzzReadBatteries(f *testing.F) {
	f.Add(exampleList)
	f.Add(header + "one,agm,LN3,right,standard,B13,70,760,en\n")
	f.Add("name;box\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := readBatteries(text)
		if err != nil {
			var faults ListFaults
			require.ErrorAs(t, err, &faults)
			require.NotEmpty(t, faults)
			for _, fault := range faults {
				require.GreaterOrEqual(t, fault.Line, 1)
				require.LessOrEqual(t, fault.Line, 1+strings.Count(text, "\n")+strings.Count(text, "\r"))
				require.NotRegexp(t, `[\x00-\x1f]`, fault.Message)
			}
			return
		}
		require.NotEmpty(t, got)
		for _, b := range got {
			require.NotRegexp(t, `[\x00-\x1f]`, b.name+b.box)
			require.NoError(t, capacity.Check(unit.Exactly(b.capacity)))
			require.NoError(t, ratingAmps.Check(unit.Exactly(b.rating)))
		}
		judged := chooseReplacement(wanted, got)
		require.Len(t, judged, len(got))
	})
}
