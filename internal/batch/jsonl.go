package batch

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// jsonReader reads one JSON object a line.
type jsonReader struct{}

// read takes an object such as
//
//	{"vehicle": "van 3", "rest_voltage": 12.6, "engine_turned": "slowly",
//	 "battery_temp": {"value": 68, "unit": "°F"}, "recheck": {"rest_voltage": 12.5}}
//
// Numbers keep the digits they were written with; true and false are yes and
// no; null says nothing.
func (jsonReader) read(line []byte, r *Row) error {
	if !utf8.Valid(line) {
		return errNoUTF8
	}
	d := json.NewDecoder(bytes.NewReader(line))
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return errors.New(`it is not a JSON object such as {"rest_voltage": 12.6}`)
	}
	if err := readObject(d, r, ""); err != nil {
		return err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("something follows the end of the object")
	}
	return nil
}

// readObject reads the pairs of an object whose brace is open. prefix is "" or
// the step the object belongs to, with its dot.
func readObject(d *json.Decoder, r *Row, prefix string) error {
	for d.More() {
		name, err := d.Token()
		if err != nil {
			return badJSON(err)
		}
		var value json.RawMessage
		if err := d.Decode(&value); err != nil {
			return badJSON(err)
		}
		if err := readPair(r, prefix, name.(string), value); err != nil {
			return err
		}
	}
	_, err := d.Token()
	return badJSON(err)
}

func readPair(r *Row, prefix, name string, value json.RawMessage) error {
	if value[0] == '{' && prefix == "" && !isQuantity(value) {
		d := json.NewDecoder(bytes.NewReader(value))
		if _, err := d.Token(); err != nil {
			return badJSON(err)
		}
		return readObject(d, r, name+".")
	}
	text, err := valueText(value)
	if err != nil {
		return fmt.Errorf("%q: %w", prefix+name, err)
	}
	return r.put(prefix+name, text)
}

// quantityJSON is a reading with its unit.
type quantityJSON struct {
	Value *json.Number `json:"value"`
	Unit  string       `json:"unit"`
}

// isQuantity reports whether an object is one reading and not those of a step.
func isQuantity(object json.RawMessage) bool {
	var keys map[string]json.RawMessage
	if json.Unmarshal(object, &keys) != nil {
		return false
	}
	_, value := keys["value"]
	_, unit := keys["unit"]
	return value || unit
}

// valueText is what a person would have typed for a JSON value.
func valueText(value json.RawMessage) ([]byte, error) {
	switch value[0] {
	case 'n':
		return nil, nil
	case 't':
		return []byte("yes"), nil
	case 'f':
		return []byte("no"), nil
	case '"':
		var s string
		err := json.Unmarshal(value, &s)
		return []byte(s), err
	case '{':
		return quantityText(value)
	case '[':
		return listText(value)
	}
	return value, nil
}

func listText(value json.RawMessage) ([]byte, error) {
	var words []string
	if json.Unmarshal(value, &words) != nil {
		return nil, errors.New("a list stands where one value was expected")
	}
	return several(words), nil
}

// several is what a person would have typed for some choices.
func several(words []string) []byte {
	if len(words) == 0 {
		return []byte("none")
	}
	return []byte(strings.Join(words, ", "))
}

func quantityText(value json.RawMessage) ([]byte, error) {
	var q quantityJSON
	d := json.NewDecoder(bytes.NewReader(value))
	d.DisallowUnknownFields()
	if err := d.Decode(&q); err != nil || q.Value == nil {
		return nil, errors.New(`expected {"value": 12.6, "unit": "V"}`)
	}
	return []byte(q.Value.String() + " " + q.Unit), nil
}

func badJSON(err error) error {
	if err == nil {
		return nil
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errors.New("the JSON ends too early")
	}
	return fmt.Errorf("it is not JSON: %w", err)
}
