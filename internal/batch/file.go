package batch

import (
	"bytes"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadflat/internal/source"
)

// ReadFile fills a row from the YAML or JSON file of one vehicle:
//
//	rest_voltage: 12.6 V
//	engine_turned: slowly
//	recheck: {rest_voltage: 12.55}
//
// A value is what a person would type. Everything wrong with the file is told
// at once, with its place.
func (r *Row) ReadFile(name string, data []byte) *source.Faults {
	faults := &source.Faults{}
	if strings.HasSuffix(name, ".json") {
		r.readJSONFile(name, data, faults)
		return faults
	}
	file := source.Read(name, data, faults)
	if file == nil {
		return faults
	}
	if file.Root == nil || file.Root.Kind != yaml.MappingNode {
		faults.Add("readings-file", file.At(file.Root), 1, `expected a reading a line, such as "rest_voltage: 12.6"`)
		return faults
	}
	r.readMapping(file, file.Root, "", faults)
	return faults
}

// readJSONFile reads the file as one row of JSON, whatever its line breaks.
func (r *Row) readJSONFile(name string, data []byte, faults *source.Faults) {
	data = bytes.TrimPrefix(data, byteOrderMark)
	if err := (jsonReader{}).read(data, r); err != nil {
		faults.Add("readings-file", source.Place{File: name}, 1, "%s", err)
	}
}

// readMapping reads the pairs of the file or, with a prefix, of one step in it.
func (r *Row) readMapping(file *source.File, m *yaml.Node, prefix string, faults *source.Faults) {
	for i := 0; i+1 < len(m.Content); i += 2 {
		key, value := m.Content[i], m.Content[i+1]
		switch {
		case value.Kind == yaml.MappingNode && prefix == "":
			r.readMapping(file, value, key.Value+".", faults)
		case value.Kind == yaml.SequenceNode && !slices.ContainsFunc(value.Content, func(n *yaml.Node) bool { return n.Kind != yaml.ScalarNode }):
			words := make([]string, len(value.Content))
			for i, n := range value.Content {
				words[i] = n.Value
			}
			r.readValue(file, key, prefix, several(words), faults)
		case value.Kind != yaml.ScalarNode:
			faults.Add("readings-file", file.At(value), 1, "%q: one value was expected, such as 12.6 V", prefix+key.Value)
		default:
			r.readValue(file, key, prefix, []byte(value.Value), faults)
		}
	}
}

func (r *Row) readValue(file *source.File, key *yaml.Node, prefix string, text []byte, faults *source.Faults) {
	if err := r.put(prefix+key.Value, text); err != nil {
		faults.Add("readings-file", file.At(key), file.Width(key), "%s", err)
	}
}
