package source

import (
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// Reader takes values out of the nodes of a file and reports what is of another kind than wanted.
// Every method takes a nil node for "not given": it gives the zero value and reports nothing. Nodes
// that Read has refused already (aliases, values left out) are passed over in silence.
type Reader struct {
	File   *File
	Faults *Faults
}

// Fault reports something about a node: its place, and its first line underlined.
func (r Reader) Fault(rule string, n *yaml.Node, format string, args ...any) *Fault {
	return r.Faults.Add(rule, r.File.At(n), r.File.Width(n), format, args...)
}

// refused tells that there is nothing to read: not given, or reported by Read.
func refused(n *yaml.Node) bool {
	return n == nil || n.Kind == yaml.AliasNode || isNull(n)
}

// wrongShape reports a node of another kind than wanted.
func (r Reader) wrongShape(n *yaml.Node, want, todo string) {
	r.Fault("wrong-shape", n, "%s stands here, but %s is wanted%s", kindOf(n), want, todo)
}

func kindOf(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "a mapping (keys with values)"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case !isPlain(n) || n.Tag == "!!str" || n.Tag == "!!timestamp":
		return "a text"
	case n.Tag == "!!bool":
		return n.Value
	}
	return "a number"
}

// Map gives the keys and values of a mapping, nil if the node is none. Its keys are checked as texts.
func (r Reader) Map(n *yaml.Node) *Mapping {
	if refused(n) {
		return nil
	}
	if n.Kind != yaml.MappingNode {
		r.wrongShape(n, "a mapping (keys with values)", `: write "key: value", and a blank after each colon`)
		return nil
	}
	m := &Mapping{Node: n, reader: r, values: map[string]*yaml.Node{}, asked: map[string]bool{}}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		m.merged = m.merged || key.Tag == "!!merge"
		if key.Kind != yaml.ScalarNode || key.Tag == "!!merge" || isNull(key) || m.values[key.Value] != nil {
			continue // reported by Read
		}
		r.checkText(key)
		m.keys = append(m.keys, key)
		m.values[key.Value] = n.Content[i+1]
	}
	return m
}

// List gives the entries of a list, nil if the node is none.
func (r Reader) List(n *yaml.Node) []*yaml.Node {
	if refused(n) {
		return nil
	}
	if n.Kind != yaml.SequenceNode {
		todo := ""
		if n.Kind == yaml.ScalarNode {
			todo = `: put it in brackets, as in [` + short(n.Value) + `]`
		}
		r.wrongShape(n, "a list", todo)
		return nil
	}
	return n.Content
}

// Texts gives the entries of a list of texts. Entries that are no text are reported and left out.
func (r Reader) Texts(n *yaml.Node) []string {
	var texts []string
	for _, item := range r.List(n) {
		if text := r.Text(item); text != "" {
			texts = append(texts, text)
		}
	}
	return texts
}

// Text gives a text without its closing line breaks and without control codes (Read has reported them
// and put U+FFFD in their place). Numbers and the words that YAML takes for true,
// false or nothing are texts only in quotes. An empty text is reported.
func (r Reader) Text(n *yaml.Node) string {
	if refused(n) {
		return ""
	}
	if n.Kind != yaml.ScalarNode {
		r.wrongShape(n, "a text", r.whyNoText(n))
		return ""
	}
	if !r.checkText(n) {
		return ""
	}
	text := strings.TrimRight(n.Value, "\n")
	if text == "" {
		r.Fault("empty-text", n, "the text is empty: write something or remove the key")
	}
	return text
}

// whyNoText explains the two ways in which a text turns into something else by accident.
func (r Reader) whyNoText(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode && n.Style&yaml.FlowStyle == 0 && len(n.Content) == 2:
		return `: put quotes round a text that holds ": "`
	case n.Style&yaml.FlowStyle != 0:
		return `: put quotes round a text that begins with "{" or "["`
	}
	return ""
}

// truthWord tells whether a word is true or false in some or all versions of YAML, nothing in others.
func truthWord(text string) bool {
	if len(text) > len("false") {
		return false
	}
	switch strings.ToLower(text) {
	case "y", "yes", "n", "no", "true", "false", "on", "off", "null", "~":
		return true
	}
	return false
}

// clockNumber is read as a number to the base of sixty in older versions of YAML.
var clockNumber = regexp.MustCompile(`^[-+]?[0-9][0-9_]*(:[0-5]?[0-9])+(\.[0-9]*)?$`)

// IsNumber tells whether YAML takes a node for a number.
func IsNumber(n *yaml.Node) bool { return n.Tag == "!!int" || n.Tag == "!!float" }

// checkText reports a scalar without quotes that YAML may take for something else than a text.
func (r Reader) checkText(n *yaml.Node) bool {
	switch {
	case !isPlain(n):
		return true
	case truthWord(n.Value):
		r.Fault("yaml-trap", n, `YAML may take %s for true, false or nothing: put it in quotes, "%s"`, short(n.Value), short(n.Value))
		return false
	case IsNumber(n) || strings.Contains(n.Value, ":") && clockNumber.MatchString(n.Value):
		r.Fault("yaml-trap", n, `%s is a number here, but a text is wanted: put it in quotes, "%s"`, short(n.Value), short(n.Value))
		return false
	}
	return true
}

// decimal is the one way to write a number: no exponent, no leading nought, no underscore.
var decimal = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?$`)

var (
	decimalComma = regexp.MustCompile(`^-?(0|[1-9][0-9]*),[0-9]+$`)
	withUnit     = regexp.MustCompile(`^(-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?) ?[°%\pL][\pL/]*$`)
)

// Number gives a number written as plain decimal digits.
func (r Reader) Number(n *yaml.Node) (float64, bool) {
	digits, ok := r.Digits(n)
	value, _ := strconv.ParseFloat(digits, 64)
	return value, ok
}

// Digits gives a number as it is written, which no float64 may hold exactly.
func (r Reader) Digits(n *yaml.Node) (string, bool) {
	digits, ok := r.number(n, "a number")
	if !ok {
		return "", false
	}
	if _, err := strconv.ParseFloat(digits, 64); err != nil {
		r.Fault("wrong-shape", n, "the number is too large to be worked with")
		return "", false
	}
	return digits, true
}

// Int gives a whole number.
func (r Reader) Int(n *yaml.Node) (int, bool) {
	text, ok := r.number(n, "a whole number")
	if !ok {
		return 0, false
	}
	value, err := strconv.Atoi(text)
	if err != nil {
		r.Fault("wrong-shape", n, "%s is no whole number, or too large a one: write digits only", short(text))
		return 0, false
	}
	return value, true
}

// number gives the digits of a number, or reports why there is none.
func (r Reader) number(n *yaml.Node, want string) (string, bool) {
	switch {
	case refused(n) || isPlain(n) && notFinite.MatchString(n.Value):
		return "", false
	case n.Kind != yaml.ScalarNode:
		r.wrongShape(n, want, "")
		return "", false
	case !isPlain(n) && decimal.MatchString(n.Value):
		r.Fault("yaml-trap", n, "%s stands in quotes, which makes it a text, but %s is wanted: remove the quotes", short(n.Value), want)
		return "", false
	case decimalComma.MatchString(n.Value):
		r.Fault("wrong-shape", n, "%q is not %s: write it with a point, %s", short(n.Value), want, strings.Replace(n.Value, ",", ".", 1))
		return "", false
	case withUnit.MatchString(n.Value):
		r.Fault("wrong-shape", n, "%q stands here, but %s is wanted without its unit: write %s", short(n.Value), want, withUnit.FindStringSubmatch(n.Value)[1])
		return "", false
	case !isPlain(n) || !decimal.MatchString(n.Value):
		r.Fault("wrong-shape", n, "%q is not %s: write digits, with a point for decimals, as in 12 or -0.5", short(n.Value), want)
		return "", false
	}
	return n.Value, true
}

// Bool gives true or false, written just so.
func (r Reader) Bool(n *yaml.Node) bool {
	switch {
	case refused(n):
		return false
	case n.Kind != yaml.ScalarNode:
		r.wrongShape(n, "true or false", "")
		return false
	case isPlain(n) && n.Value == "true":
		return true
	case isPlain(n) && n.Value == "false":
		return false
	}
	r.Fault("wrong-shape", n, "%q stands here, but true or false is wanted: write it in small letters and without quotes", short(n.Value))
	return false
}
