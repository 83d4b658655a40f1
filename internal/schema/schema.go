package schema

import (
	"encoding/json"
	"slices"
)

// documents are the objects that a file can be, by the key that says so.
var documents = [][2]string{{"tree", "tree"}, {"shared", "shared"}, {"faults", "fault_list"}, {"cases", "worked_cases"}}

// JSON is the schema of all files that a trainer writes. The same program gives
// the same bytes.
func JSON() []byte {
	defs := shape{"any_step": anyStep()}
	for _, o := range objects {
		defs[o.name] = o.schema()
	}
	open := shape{}
	var begins, thens []shape
	for _, d := range documents {
		open[d[0]] = shape{"description": find(d[1]).says + " " + find(d[1]).key(d[0]).says}
		begins = append(begins, shape{"required": []string{d[0]}})
		thens = append(thens, shape{"if": shape{"required": []string{d[0]}}, "then": one(d[1])})
	}
	root := shape{
		"$schema":     "https://json-schema.org/draft/2020-12/schema",
		"title":       "deadflat: trees, shared declarations, faults and worked cases",
		"description": "A file holds a tree, shared declarations, the list of faults, or the worked cases of a tree. Its first key says which.",
		"type":        "object",
		"properties":  open,
		"anyOf":       begins,
		"allOf":       thens,
		"$defs":       defs,
	}
	// Every value here is a plain one that JSON can hold.
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		panic(err)
	}
	return append(out, '\n')
}

// anyStep is a step that runs another tree, or any other.
func anyStep() shape {
	runs := shape{"anyOf": []shape{{"properties": shape{"kind": shape{"const": "tree"}}, "required": []string{"kind"}}, {"required": []string{"run"}}}}
	return shape{"if": runs, "then": one("run"), "else": one("step")}
}

func find(name string) object {
	return objects[slices.IndexFunc(objects, func(o object) bool { return o.name == name })]
}

func (o object) key(name string) key {
	return o.keys[slices.IndexFunc(o.keys, func(k key) bool { return k.name == name })]
}

// schema is an object as JSON Schema says it: its keys and no others.
func (o object) schema() shape {
	properties := shape{}
	var required []string
	for _, k := range o.keys {
		properties[k.name] = k.of.with("description", k.says)
		if k.need {
			required = append(required, k.name)
		}
	}
	s := shape{"description": o.says, "type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		s["required"] = required
	}
	if len(o.rules) > 0 {
		s["allOf"] = o.rules
	}
	return s
}
