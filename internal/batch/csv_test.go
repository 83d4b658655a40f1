package batch

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// given lists what a row says, by name.
func given(r *Row) map[string]string {
	said := map[string]string{}
	for at, k := range r.keys {
		if text := r.value(at); len(text) > 0 {
			said[k.Name] = string(text)
		}
	}
	return said
}

func TestCSVRows(t *testing.T) {
	d := smallDecider(t)
	const header = "vehicle,complaint,rest_voltage,recheck.rest_voltage"
	for _, c := range []struct {
		name, header, line string
		want               map[string]string
		wrong              string
	}{
		{"plain", header, "van,silence,12.6,12.5", map[string]string{"vehicle": "van", "complaint": "silence", "rest_voltage": "12.6", "recheck.rest_voltage": "12.5"}, ""},
		{"empty fields say nothing", header, ",silence,,", map[string]string{"complaint": "silence"}, ""},
		{"blanks round a field", header, " van , silence ,\t12.6 ,", map[string]string{"vehicle": "van", "complaint": "silence", "rest_voltage": "12.6"}, ""},
		{"quotes", header, `"a ""red"" van, big",silence,"12.6 V",`, map[string]string{"vehicle": `a "red" van, big`, "complaint": "silence", "rest_voltage": "12.6 V"}, ""},
		{"a quote inside a field", header, `6" lamp,silence,12.6,`, map[string]string{"vehicle": `6" lamp`, "complaint": "silence", "rest_voltage": "12.6"}, ""},
		{"semicolons with a decimal comma", "vehicle;rest_voltage", "van;12,6", map[string]string{"vehicle": "van", "rest_voltage": "12,6"}, ""},
		{"tabs", "vehicle\trest_voltage", "van\t12.6", map[string]string{"vehicle": "van", "rest_voltage": "12.6"}, ""},
		{"one column", "rest_voltage", "12.6", map[string]string{"rest_voltage": "12.6"}, ""},
		{"too few fields", header, "van,silence", nil, "it has 2 fields where the header has 4"},
		{"too few fields with quotes", header, `"van",silence`, nil, "it has 2 fields where the header has 4"},
		{"too many fields", header, "van,silence,12.6,,", nil, "it has more fields than the 4 of the header"},
		{"too many fields with quotes", header, `"van",silence,12.6,,`, nil, "it has more fields than the 4 of the header"},
		{"an open quote", header, `"van,silence,12.6,`, nil, "field 1: its quote is not closed on the same line"},
		{"text behind a quote", header, `"van"x,silence,12.6,`, nil, "field 1: something follows the closing quote"},
		{"not UTF-8", header, "van\xff,silence,12.6,", nil, "the text is not UTF-8: save the file as UTF-8"},
	} {
		t.Run(c.name, func(t *testing.T) {
			row := NewRow(d.Tree)
			reader, err := newCSV(row, []byte(c.header))
			require.NoError(t, err)
			err = reader.read([]byte(c.line), row)
			if c.wrong != "" {
				assert.EqualError(t, err, c.wrong)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, c.want, given(row))
			row.clear()
			assert.Empty(t, given(row))
		})
	}
}

func TestCSVHeaderTellsAllThatIsWrong(t *testing.T) {
	d := smallDecider(t)
	_, err := newCSV(NewRow(d.Tree), []byte("vehicle,rest_voltag,vehicle,erth.earth_drop,earth.rest_voltage,,rest_voltage,rest"))
	assert.EqualError(t, err, `column 2: "rest_voltag" is not a reading of tree "small"; did you mean "rest_voltage"?
column 3: "vehicle" stands in column 1 already
column 4: "erth" is not a step of tree "small"; did you mean "earth"?
column 5: step "earth" takes no reading "rest_voltage"
column 6: "" is not a reading of tree "small"
column 8: "rest_voltage" stands in column 7 already`)
}
