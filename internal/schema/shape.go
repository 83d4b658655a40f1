package schema

import "maps"

// shape is what may stand behind a key, as JSON Schema says it.
type shape map[string]any

// text is a text of at least one character.
func text() shape { return shape{"type": "string", "minLength": 1} }

// name is a word of the author's own: small letters, digits and _.
func name() shape { return shape{"type": "string", "pattern": namePattern, "maxLength": 64} }

const (
	namePattern = "^[a-z_][a-z0-9_]*$"
	filePattern = "^[a-z][a-z0-9_-]*$"
)

// fileName is the name of a tree or a shared file, which may have hyphens.
func fileName() shape { return shape{"type": "string", "pattern": filePattern, "maxLength": 64} }

func whole(least int) shape { return shape{"type": "integer", "minimum": least} }

func decimal() shape { return shape{"type": "number"} }

func truth() shape { return shape{"type": "boolean"} }

// quantity is a number with its unit, or a bare number for a plain count.
func quantity() shape { return shape{"type": []string{"string", "number"}} }

// oneOf is one of a fixed set of words.
func oneOf(words ...string) shape { return shape{"enum": words} }

// usually offers words but takes any text.
func usually(words ...string) shape { return either(shape{"enum": words}, text()) }

func either(shapes ...shape) shape { return shape{"anyOf": shapes} }

// list is a list of one shape.
func list(of shape) shape { return shape{"type": "array", "items": of} }

// words is a list of different texts.
func words() shape { return list(text()) }

// pair is a list of two: lowest and highest, or the two numbers of a point.
func pair(of shape) shape {
	return shape{"type": "array", "items": of, "minItems": 2, "maxItems": 2}
}

// table is keys of the author's own with one shape behind each.
func table(of shape) shape {
	return shape{"type": "object", "propertyNames": shape{"pattern": namePattern, "maxLength": 64}, "additionalProperties": of}
}

// each is one shape for every choice, state or reading that is named.
func each(of shape) shape { return shape{"type": "object", "additionalProperties": of} }

// one is an object of the table of keys.
func one(o string) shape { return shape{"$ref": "#/$defs/" + o} }

// with adds to a shape.
func (s shape) with(key string, value any) shape {
	out := maps.Clone(s)
	out[key] = value
	return out
}
