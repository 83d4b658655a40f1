package source

import (
	"fmt"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// open reads a text that must be free of faults of YAML itself.
func open(t require.TestingT, text string) (Reader, *Mapping) {
	faults := &Faults{}
	file := Read("a.yaml", []byte(text), faults)
	require.NotNil(t, file)
	require.Empty(t, printed(faults))
	r := Reader{file, faults}
	return r, r.Map(file.Root)
}

func TestText(t *testing.T) {
	tests := []struct{ raw, want, fault string }{
		{"plain words", "plain words", ""},
		{"2026-11-25", "2026-11-25", ""},
		{"12 V", "12 V", ""},
		{"1.2.3", "1.2.3", ""},
		{"'12'", "12", ""},
		{`"no"`, "no", ""},
		{"|\n  two\n  lines\n", "two\nlines", ""},
		{"12", "", `a.yaml:1:4: 12 is a number here, but a text is wanted: put it in quotes, "12" [yaml-trap]`},
		{"0x1F", "", `a.yaml:1:4: 0x1F is a number here, but a text is wanted: put it in quotes, "0x1F" [yaml-trap]`},
		{"1_000", "", `a.yaml:1:4: 1_000 is a number here, but a text is wanted: put it in quotes, "1_000" [yaml-trap]`},
		{"1e3", "", `a.yaml:1:4: 1e3 is a number here, but a text is wanted: put it in quotes, "1e3" [yaml-trap]`},
		{"12:30", "", `a.yaml:1:4: 12:30 is a number here, but a text is wanted: put it in quotes, "12:30" [yaml-trap]`},
		{"no", "", `a.yaml:1:4: YAML may take no for true, false or nothing: put it in quotes, "no" [yaml-trap]`},
		{"''", "", `a.yaml:1:4: the text is empty: write something or remove the key [empty-text]`},
		{"[a]", "", `a.yaml:1:4: a list stands here, but a text is wanted: put quotes round a text that begins with "{" or "[" [wrong-shape]`},
		{"{a: b}", "", `a.yaml:1:4: a mapping (keys with values) stands here, but a text is wanted: put quotes round a text that begins with "{" or "[" [wrong-shape]`},
		{"\n  Caution: hot", "", `a.yaml:2:3: a mapping (keys with values) stands here, but a text is wanted: put quotes round a text that holds ": " [wrong-shape]`},
		{"\n  a: hot\n  b: cold", "", `a.yaml:2:3: a mapping (keys with values) stands here, but a text is wanted [wrong-shape]`},
	}
	for _, tt := range tests {
		t.Run(tt.raw, func(t *testing.T) {
			r, m := open(t, "k: "+tt.raw)
			assert.Equal(t, tt.want, r.Text(m.Get("k")))
			assertOnly(t, tt.fault, r.Faults)
		})
	}
}

// assertOnly checks the first line of what is printed; nothing wanted, nothing printed.
func assertOnly(t *testing.T, want string, faults *Faults) {
	t.Helper()
	if want == "" {
		assert.Empty(t, printed(faults))
		return
	}
	require.Len(t, faults.Sorted(), 1)
	fault := faults.Sorted()[0]
	assert.Equal(t, want, fmt.Sprintf("%s: %s [%s]", fault.Place, fault.Message, fault.Rule))
}

func TestTruthWordsAreNoTexts(t *testing.T) {
	for _, word := range []string{"yes", "No", "TRUE", "false", "on", "Off", "y", "N"} {
		r, m := open(t, "k: "+word+"\n"+word+": v\nl: ["+word+"]")
		assert.Empty(t, r.Text(m.Get("k")))
		assert.Empty(t, r.Texts(m.Get("l")))
		places := []Place{}
		for _, fault := range r.Faults.Sorted() {
			assert.Equal(t, "yaml-trap", fault.Rule)
			places = append(places, fault.Place)
		}
		assert.Equal(t, []Place{{"a.yaml", 1, 4}, {"a.yaml", 2, 1}, {"a.yaml", 3, 5}}, places)
	}
}

func TestNumber(t *testing.T) {
	tests := []struct {
		raw   string
		want  float64
		rule  string
		whole bool // Int takes it too
	}{
		{"12", 12, "", true},
		{"-15", -15, "", true},
		{"0", 0, "", true},
		{"0.002", 0.002, "", false},
		{"-0.5", -0.5, "", false},
		{"'12'", 0, "yaml-trap", false},
		{"012", 0, "wrong-shape", false},
		{"0x1F", 0, "wrong-shape", false},
		{"1_000", 0, "wrong-shape", false},
		{"1e3", 0, "wrong-shape", false},
		{".5", 0, "wrong-shape", false},
		{"5.", 0, "wrong-shape", false},
		{"+5", 0, "wrong-shape", false},
		{"1,5", 0, "wrong-shape", false},
		{"12 V", 0, "wrong-shape", false},
		{"true", 0, "wrong-shape", false},
		{"[1]", 0, "wrong-shape", false},
		{"{a: 1}", 0, "wrong-shape", false},
	}
	for _, tt := range tests {
		t.Run(tt.raw, func(t *testing.T) {
			r, m := open(t, "k: "+tt.raw)
			got, ok := r.Number(m.Get("k"))
			assert.Equal(t, tt.want, got)
			assert.Equal(t, tt.rule == "", ok)
			if tt.rule != "" {
				require.Len(t, r.Faults.Sorted(), 1)
				assert.Equal(t, tt.rule, r.Faults.Sorted()[0].Rule)
			}
			whole, ok := r.Int(m.Get("k"))
			assert.Equal(t, tt.whole, ok)
			if ok {
				assert.Equal(t, tt.want, float64(whole))
			}
		})
	}
}

func TestNumbersTooLarge(t *testing.T) {
	digits := "1"
	for range 400 {
		digits += "0"
	}
	r, m := open(t, "k: "+digits)
	_, ok := r.Number(m.Get("k"))
	assert.False(t, ok)
	_, ok = r.Int(m.Get("k"))
	assert.False(t, ok)
	assert.Equal(t, 2, r.Faults.Len())
}

// A printed decimal is read back as the same number.
func TestNumberReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(-1e9, 1e9).Draw(t, "number")
		r, m := open(t, "k: "+strconv.FormatFloat(want, 'f', -1, 64))
		got, ok := r.Number(m.Get("k"))
		assert.True(t, ok)
		assert.Equal(t, want, got)
	})
}

func TestBool(t *testing.T) {
	for raw, want := range map[string]bool{"true": true, "false": false} {
		r, m := open(t, "k: "+raw)
		assert.Equal(t, want, r.Bool(m.Get("k")))
		assertOnly(t, "", r.Faults)
	}
	for _, raw := range []string{"yes", "True", "'true'", "1", "[true]"} {
		r, m := open(t, "k: "+raw)
		assert.False(t, r.Bool(m.Get("k")))
		require.Len(t, r.Faults.Sorted(), 1, raw)
		assert.Equal(t, "wrong-shape", r.Faults.Sorted()[0].Rule)
	}
}

func TestLists(t *testing.T) {
	r, m := open(t, "a: [b, c]\nd: e\nf: {g: h}\ni: [j, 1, [k]]\nl: []\n")
	assert.Equal(t, []string{"b", "c"}, r.Texts(m.Get("a")))
	assert.Len(t, r.List(m.Get("a")), 2)
	assert.Empty(t, r.Texts(m.Get("l")))
	assertOnly(t, "", r.Faults)
	assert.Nil(t, r.List(m.Get("d")))
	assert.Nil(t, r.List(m.Get("f")))
	assert.Equal(t, []string{"j"}, r.Texts(m.Get("i")))
	assert.Equal(t, `a.yaml:2:4: a text stands here, but a list is wanted: put it in brackets, as in [e] [wrong-shape]
    2 | d: e
      |    ^
a.yaml:3:4: a mapping (keys with values) stands here, but a list is wanted [wrong-shape]
    3 | f: {g: h}
      |    ^
a.yaml:4:8: 1 is a number here, but a text is wanted: put it in quotes, "1" [yaml-trap]
    4 | i: [j, 1, [k]]
      |        ^
a.yaml:4:11: a list stands here, but a text is wanted: put quotes round a text that begins with "{" or "[" [wrong-shape]
    4 | i: [j, 1, [k]]
      |           ^
`, printed(r.Faults))
}

func TestMapping(t *testing.T) {
	r, m := open(t, "tree: a\ntitel: b\nzzz: c\nedition: 1\n")
	assert.True(t, m.Has("tree"))
	assert.False(t, m.Has("title"))
	assert.Nil(t, m.Get("summary"))
	assert.NotNil(t, m.Get("edition"))
	var keys []string
	for key := range m.All() {
		keys = append(keys, key.Value)
	}
	assert.Equal(t, []string{"tree", "titel", "zzz", "edition"}, keys)
	m.Done()
	assert.Equal(t, `a.yaml:2:1: "titel" is no key that can stand here; did you mean "title"? [unknown-key]
    2 | titel: b
      | ^^^^^
a.yaml:3:1: "zzz" is no key that can stand here: remove it, or use one of summary, title [unknown-key]
    3 | zzz: c
      | ^^^
`, printed(r.Faults))
}

func TestUnknownKeyAmongAllOthers(t *testing.T) {
	r, m := open(t, "tree: a\nzzz: c\n")
	m.Get("tree")
	m.Done()
	assertOnly(t, `a.yaml:2:1: "zzz" is no key that can stand here: remove it [unknown-key]`, r.Faults)
}

func TestMappingOfSomethingElse(t *testing.T) {
	r, m := open(t, "a: text\nb: [c]\nd: 1\ne: true\n")
	for _, key := range []string{"a", "b", "d", "e"} {
		assert.Nil(t, r.Map(m.Get(key)))
	}
	var messages []string
	for _, fault := range r.Faults.Sorted() {
		messages = append(messages, fault.Message)
	}
	const wanted = ` stands here, but a mapping (keys with values) is wanted: write "key: value", and a blank after each colon`
	assert.Equal(t, []string{"a text" + wanted, "a list" + wanted, "a number" + wanted, "true" + wanted}, messages)
}

// Nothing given, nothing said: the caller decides what must be given.
func TestNothingGiven(t *testing.T) {
	r, _ := open(t, "a: b")
	assert.Empty(t, r.Text(nil))
	assert.Empty(t, r.Texts(nil))
	assert.Empty(t, r.List(nil))
	assert.False(t, r.Bool(nil))
	_, ok := r.Number(nil)
	assert.False(t, ok)
	_, ok = r.Int(nil)
	assert.False(t, ok)
	m := r.Map(nil)
	assert.Nil(t, m)
	assert.Nil(t, m.Get("a"))
	assert.False(t, m.Has("a"))
	for range m.All() {
		t.Error("nothing has no keys")
	}
	m.Done()
	assertOnly(t, "", r.Faults)
}

// What Read has refused is not reported a second time.
func TestRefusedOnce(t *testing.T) {
	var faults Faults
	file := Read("a.yaml", []byte("a: *b\nc:\nd: .nan\n<<: {e: f}\nc: g\n~: h\n[i]: j\n"), &faults)
	require.NotNil(t, file)
	before := printed(&faults)
	r := Reader{file, &faults}
	m := r.Map(file.Root)
	for _, key := range []string{"a", "c"} {
		r.Text(m.Get(key))
		r.Number(m.Get(key))
		r.Bool(m.Get(key))
		r.List(m.Get(key))
		r.Map(m.Get(key))
	}
	r.Number(m.Get("d"))
	m.Done()
	assert.Equal(t, before, printed(&faults))
}
