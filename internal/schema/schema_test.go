package schema

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/jsonschema-go/jsonschema"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"deadflat/internal/engine"
	"deadflat/internal/prove"
	"deadflat/internal/source"
	"deadflat/trees"
)

// validator is a general validator of JSON Schema, given ours.
func validator(t testing.TB) *jsonschema.Resolved {
	var s jsonschema.Schema
	require.NoError(t, json.Unmarshal(JSON(), &s))
	r, err := s.Resolve(nil)
	require.NoError(t, err)
	return r
}

// plain is a YAML text as a validator of JSON sees it.
func plain(t testing.TB, data []byte) any {
	var v any
	require.NoError(t, yaml.Unmarshal(data, &v), "%s", data)
	text, err := json.Marshal(v)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &v))
	return v
}

func TestShippedFilesPass(t *testing.T) {
	v := validator(t)
	files := 0
	for name, text := range trees.All() {
		assert.NoError(t, v.Validate(plain(t, text)), name)
		files++
	}
	require.Greater(t, files, 5)
}

// Trees that tests of the whole program and of other packages load are right as
// well.
func TestOtherTreesPass(t *testing.T) {
	v := validator(t)
	var paths []string
	for _, pattern := range []string{"../../tests/testdata/trees/*.yaml", "../../cmd/deadflat/starting/*.yaml", "../draw/testdata/*.yaml", "../engine/testdata/small/*.yaml", "../engine/testdata/trailer/*.yaml"} {
		found, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, found, pattern)
		paths = append(paths, found...)
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.NoError(t, v.Validate(plain(t, []byte(strings.ReplaceAll(string(data), "NAME", "name")))), path)
	}
}

const good = `tree: small
title: A small tree
edition: 1
begin: look
readings:
  rest: {ask: At rest, short: rest, unit: V, span: [0, 18], probe: {red: a, black: b}, hold: "at: 15 s"}
  key: {ask: What happens, short: key, choices: [nothing, clunk], unsure: true}
limits:
  low: {is: 12 V, source: from memory}
steps:
  look: {kind: inspect, title: Look, take: [key], by: key, cases: {nothing: read, clunk: {to: read, say: A clunk.}}, unsure: {to: read}}
  read:
    kind: measure
    title: Read
    take: [rest]
    by: rest
    bands: [{below: limits.low, to: flat}, {to: charge}]
  charge: {kind: tree, title: Charge, run: recharge, cases: {full: flat}}
  last: {kind: decide, title: Last, branches: [{if: rest > limits.low, to: flat}, {otherwise: flat}]}
findings:
  flat: {title: Flat, action: charge, then: {tree: small, keep: facts}}
points: [a, b]
`

// Each wrong text is the good one with a slip, and is refused.
func TestWrongFilesFail(t *testing.T) {
	v := validator(t)
	require.NoError(t, v.Validate(plain(t, []byte(good))))
	for slip, swap := range map[string][2]string{
		"a key that is none":            {"title: Read\n", "tittle: Read\n"},
		"no title":                      {"title: A small tree\n", ""},
		"no edition":                    {"edition: 1\n", ""},
		"an edition in words":           {"edition: 1\n", "edition: one\n"},
		"edition nought":                {"edition: 1\n", "edition: 0\n"},
		"no begin":                      {"begin: look\n", ""},
		"no steps":                      {"steps:\n", "staps:\n"},
		"a kind that is none":           {"kind: measure", "kind: measuring"},
		"a limit without source":        {", source: from memory", ""},
		"a limit without number":        {"is: 12 V, ", ""},
		"one choice":                    {"[nothing, clunk]", "[nothing]"},
		"a number as a choice":          {"[nothing, clunk]", "[nothing, 1]"},
		"unit and choices":              {"choices: [nothing, clunk]", "choices: [nothing, clunk], unit: V, span: [0, 1]"},
		"a unit without span":           {", span: [0, 18]", ""},
		"half a span":                   {"span: [0, 18]", "span: [0]"},
		"half a probe":                  {", black: b}", "}"},
		"no short name":                 {", short: rest", ""},
		"a short name of two words":     {"short: rest", "short: at rest"},
		"a hold that is none":           {`"at: 15 s"`, "holding"},
		"two ways of deciding":          {"    by: rest\n", "    by: rest\n    to: flat\n"},
		"no way on":                     {"    bands: [{below: limits.low, to: flat}, {to: charge}]\n", ""},
		"bands without by":              {"    by: rest\n", ""},
		"a band that leads nowhere":     {"{below: limits.low, to: flat}", "{below: limits.low}"},
		"a branch with if only":         {"{if: rest > limits.low, to: flat}", "{if: rest > limits.low}"},
		"an otherwise with a to":        {"{otherwise: flat}", "{otherwise: flat, to: flat}"},
		"a case that leads nowhere":     {"clunk: {to: read, say: A clunk.}", "clunk: {say: A clunk.}"},
		"a run without tree":            {"run: recharge, ", ""},
		"a run with a take":             {"run: recharge, ", "run: recharge, take: [rest], "},
		"a finding without action":      {", action: charge", ""},
		"a next round that keeps all":   {"keep: facts", "keep: all"},
		"a step's name with a capital":  {"  read:\n", "  Read:\n"},
		"points that are no list":       {"points: [a, b]", "points: a"},
		"a fault list's key":            {"points: [a, b]", "faults: []"},
		"neither tree nor shared":       {"tree: small", "tree_: small"},
		"truth in words":                {"unsure: true", "unsure: \"yes\""},
		"a text that is a number":       {"title: Read\n", "title: 12\n"},
		"an empty text":                 {"title: Read\n", "title: \"\"\n"},
		"a tree's name with a capital":  {"tree: small\ntitle", "tree: Small\ntitle"},
		"steps in a list":               {"steps:\n", "steps: []\nstaps:\n"},
		"unable without a step":         {"    by: rest\n", "    by: rest\n    unable: {say: no}\n"},
		"a caution that is no list":     {"    by: rest\n", "    by: rest\n    cautions: Mind the fan.\n"},
		"clears beside bands":           {"    by: rest\n", "    by: rest\n    clears: [flat]\n"},
		"two numbers where one is said": {"is: 12 V", "is: [12 V]"},
	} {
		text := strings.Replace(good, swap[0], swap[1], 1)
		require.NotEqual(t, good, text, slip)
		assert.Error(t, v.Validate(plain(t, []byte(text))), slip)
	}
	assert.Error(t, v.Validate(plain(t, []byte("cases: a\nlist: [{case: a, finding: f}]\n"))), "a case without from")
	assert.Error(t, v.Validate(plain(t, []byte("cases: a\nlist: [{case: a, from: invented, finding: f, certainty: sure}]\n"))))
	assert.Error(t, v.Validate(plain(t, []byte("faults: [{id: a}]\n"))))
	assert.Error(t, v.Validate(plain(t, []byte("[]\n"))))
}

// places put one object of the table of keys into a file: BODY is where its keys
// stand, the bodies are different ways to fill it.
var places = map[string]struct {
	file   string
	bodies []string
}{
	"tree":     {"BODY", []string{"{tree: a, title: a, edition: 1, begin: s, steps: {s: {kind: decide, title: s, to: f}}, findings: {f: {title: f, action: f}}}"}},
	"review":   {"{tree: a, reviewed: BODY}", []string{"{by: a}"}},
	"shared":   {"{tree: a, title: a, edition: 1, begin: s, use: [c], steps: {s: {kind: decide, title: s, to: f}}, findings: {f: {title: f, action: f}}}\n---\nBODY", []string{"{shared: c}"}},
	"reading":  {"{tree: a, readings: {r: BODY}}", []string{"{ask: r, short: r, choices: [a, b]}", "{like: q}"}},
	"picture":  {"{tree: a, steps: {s: {kind: decide, title: s, to: f, picture: BODY}}}", []string{"{file: a.png, text: a}"}},
	"probe":    {"{tree: a, readings: {r: {probe: BODY}}}", []string{"{red: a}"}},
	"odd":      {"{tree: a, readings: {r: {ask: r, short: r, choices: [a, b], odd: [BODY]}}}", []string{"{ask: a}"}},
	"assume":   {"{tree: a, readings: {r: {ask: r, short: r, unit: V, span: [0, 1], assume: BODY}}}", []string{"{by: q, source: s}"}},
	"limit":    {"{tree: a, readings: {q: {ask: q, short: q, choices: [a, b]}}, limits: {l: BODY}}", []string{"{is: 1 V, source: s}", "{table: {}, source: s}", "{by: q, source: s}"}},
	"points":   {"{tree: a, limits: {l: {table: BODY, unit: V, source: s}}}", []string{"{over: q}"}},
	"value":    {"{tree: a, values: {v: BODY}}", []string{"{is: x, unit: V}", "{first_known: [x], unit: V}"}},
	"rule":     {"{tree: a, before: [BODY]}", []string{"{id: x}"}},
	"step":     {"{tree: a, readings: {r: {ask: r, short: r, choices: [a, b]}}, steps: {s: BODY}}", []string{"{kind: decide, title: s, to: f}", "{like: q}", "{kind: decide, title: s, by: r, cases: {}}", "{kind: decide, title: s, by: r, bands: []}", "{kind: decide, title: s, branches: []}"}},
	"run":      {"{tree: a, steps: {s: BODY}}", []string{"{kind: tree, run: b}"}},
	"side_way": {"{tree: a, steps: {s: {kind: decide, title: s, to: f, unable: BODY}}}", []string{"{to: f}"}},
	"band": {"{tree: a, readings: {r: {ask: r, short: r, unit: V, span: [0, 1]}}, limits: {l: {is: 0.5 V, source: s}}, steps: {s: {kind: measure, title: s, by: r, bands: [BODY, {to: f}]}}, findings: {f: {title: f, action: f}}}",
		[]string{"{below: limits.l, to: f}"}},
	"case_way":   {"{tree: a, readings: {r: {ask: r, short: r, choices: [a, b]}}, steps: {s: {kind: measure, title: s, by: r, cases: {a: BODY}}}}", []string{"{to: f}"}},
	"branch":     {"{tree: a, steps: {s: {kind: measure, title: s, branches: [BODY]}}}", []string{"{if: x, to: f}", "{otherwise: f}"}},
	"finding":    {"{tree: a, findings: {f: BODY}}", []string{"{title: f, action: f}"}},
	"any_of":     {"{tree: a, findings: {f: {title: f, action: f, rests_on: [BODY]}}}", []string{"{one_of: [a]}"}},
	"sentence":   {"{tree: a, findings: {f: {title: f, action: f, open: [BODY]}}}", []string{"{when: a, say: b}"}},
	"then":       {"{tree: a, findings: {f: {title: f, action: f, then: BODY}}}", []string{"{tree: a}"}},
	"fault_list": {"BODY", []string{"{faults: []}"}},
	"fault":      {"{faults: [BODY]}", []string{"{id: a, title: a}"}},
}

var offered = regexp.MustCompile(`"qqqqqqqq" is no key that can stand here: remove it(?:, or use one of (.*))?$`)

// The table of keys is what the loader takes, no more and no less. The loader
// itself says what it takes when it is given a key that is none.
func TestKeysAreTheLoaders(t *testing.T) {
	for _, o := range objects {
		if strings.HasPrefix(o.name, "worked_case") {
			continue // the loader passes over them; see below
		}
		place, ok := places[o.name]
		require.True(t, ok, "object %q is not tried", o.name)
		taken := map[string]bool{}
		for _, body := range place.bodies {
			for _, key := range accepted(t, o.name, place.file, body) {
				taken[key] = true
			}
		}
		var got, want []string
		for key := range taken {
			// The loader looks at every file for the key that says what it is.
			if says := slices.ContainsFunc(documents, func(d [2]string) bool { return d[0] == key && d[1] != o.name }); !says || !isDocument(o.name) {
				got = append(got, key)
			}
		}
		for _, k := range o.keys {
			want = append(want, k.name)
		}
		slices.Sort(got)
		slices.Sort(want)
		assert.Equal(t, got, want, "object %q: what the loader takes, and what the table says", o.name)
	}
}

// Worked cases are read by those who walk them.
func TestKeysOfCases(t *testing.T) {
	tree := engine.Source{Name: "tree.yaml", Data: []byte("{tree: a, title: a, edition: 1, begin: s, steps: {s: {kind: decide, title: s, to: f}}, findings: {f: {title: f, action: f}}}")}
	lib, faults := engine.Load([]engine.Source{tree})
	require.True(t, faults.Empty())
	for name, file := range map[string][2]string{
		"worked_cases": {"BODY", "{cases: a}"},
		"worked_case":  {"{cases: a, list: [BODY]}", "{case: c, from: invented, meter: workshop, finding: f}"},
	} {
		text := strings.Replace(file[0], "BODY", strings.TrimSuffix(file[1], "}")+", qqqqqqqq: x}", 1)
		_, faults := prove.WalkCases(lib, lib.Tree("a"), []engine.Source{{Name: "cases.yaml", Data: []byte(text)}})
		got := keysFrom(t, faults, file[1])
		var want []string
		for _, k := range find(name).keys {
			want = append(want, k.name)
		}
		slices.Sort(got)
		slices.Sort(want)
		assert.Equal(t, got, want, name)
	}
}

func isDocument(name string) bool {
	return slices.ContainsFunc(documents, func(d [2]string) bool { return d[1] == name })
}

// accepted are the keys that the loader takes beside those of a body, and those.
func accepted(t *testing.T, object, file, body string) []string {
	text := strings.Replace(file, "BODY", strings.TrimSuffix(body, "}")+", qqqqqqqq: x}", 1)
	var sources []engine.Source
	for i, part := range strings.Split(text, "\n---\n") {
		sources = append(sources, engine.Source{Name: string(rune('a'+i)) + ".yaml", Data: []byte(part)})
	}
	_, faults := engine.Load(sources)
	return keysFrom(t, faults, body)
}

// keysFrom are the keys that a message on a key that is none offers, and those of
// the body that it stands in.
func keysFrom(t *testing.T, faults *source.Faults, body string) []string {
	var own map[string]any
	require.NoError(t, yaml.Unmarshal([]byte(body), &own))
	keys := slices.Collect(maps.Keys(own))
	for _, f := range faults.Sorted() {
		if m := offered.FindStringSubmatch(f.Message); f.Rule == "unknown-key" && m != nil {
			if m[1] != "" {
				keys = append(keys, strings.Split(m[1], ", ")...)
			}
			return keys
		}
	}
	require.Fail(t, "nothing is said of a key that is none", "%s\n%v", body, faults.Sorted())
	return nil
}

// Every key has its meaning, in a sentence.
func TestEveryKeyIsExplained(t *testing.T) {
	for _, o := range objects {
		assert.NotEmpty(t, o.says, o.name)
		seen := map[string]bool{}
		for _, k := range o.keys {
			assert.False(t, seen[k.name], "%s.%s stands twice", o.name, k.name)
			seen[k.name] = true
			assert.Regexp(t, `[.)"\x60]$|\.\.\.`, k.says, "%s.%s", o.name, k.name)
		}
	}
}

func TestSameBytes(t *testing.T) { assert.Equal(t, JSON(), JSON()) }
