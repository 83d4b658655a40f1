package batch

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestJSONRows(t *testing.T) {
	d := smallDecider(t)
	for _, c := range []struct {
		name, line string
		want       map[string]string
		wrong      string
	}{
		{"scalars", `{"vehicle":"van 3","rest_voltage":12.60,"odometer":123456,"charge.done":true}`,
			map[string]string{"vehicle": "van 3", "rest_voltage": "12.60", "odometer": "123456", "charge.done": "yes"}, ""},
		{"a quantity", `{"rest_voltage":{"value":12550,"unit":"mV"}}`, map[string]string{"rest_voltage": "12550 mV"}, ""},
		{"a quantity in the usual unit", `{"rest_voltage":{"value":12.55}}`, map[string]string{"rest_voltage": "12.55"}, ""},
		{"a step of its own", `{"recheck":{"rest_voltage":12.5},"earth":{"unable":"no room"}}`,
			map[string]string{"recheck.rest_voltage": "12.5", "earth.unable": "no room"}, ""},
		{"null says nothing", `{"rest_voltage":null}`, map[string]string{}, ""},
		{"empty", `{}`, map[string]string{}, ""},
		{"unknown", `{"rest_voltag":12.6}`, nil, `"rest_voltag" is not a reading of tree "small"; did you mean "rest_voltage"?`},
		{"twice", `{"rest_voltage":12.6,"rest_voltage":12.7}`, nil, `"rest_voltage" is given twice`},
		{"a list", `{"rest_voltage":[12.6]}`, nil, `"rest_voltage": a list stands where one value was expected`},
		{"a number", `12.6`, nil, `it is not a JSON object such as {"rest_voltage": 12.6}`},
		{"two objects", `{} {}`, nil, "something follows the end of the object"},
		{"cut off", `{"rest_voltage":12.6`, nil, "the JSON ends too early"},
		{"a wrong quantity", `{"rest_voltage":{"volts":12.6}}`, nil, `"rest_voltage" is not a step of tree "small"`},
		{"a quantity without its value", `{"rest_voltage":{"unit":"V"}}`, nil, `"rest_voltage": expected {"value": 12.6, "unit": "V"}`},
		{"a quantity with more", `{"rest_voltage":{"value":12.6,"volts":"V"}}`, nil, `"rest_voltage": expected {"value": 12.6, "unit": "V"}`},
		{"two steps deep", `{"recheck":{"rest_voltage":{"odd":1}}}`, nil, `"recheck.rest_voltage": expected {"value": 12.6, "unit": "V"}`},
		{"not UTF-8", "{\"vehicle\":\"\xff\"}", nil, "the text is not UTF-8: save the file as UTF-8"},
	} {
		t.Run(c.name, func(t *testing.T) {
			row := NewRow(d.Tree)
			err := (jsonReader{}).read([]byte(c.line), row)
			if c.wrong != "" {
				assert.EqualError(t, err, c.wrong)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, c.want, given(row))
		})
	}
}
