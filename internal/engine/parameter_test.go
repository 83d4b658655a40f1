package engine

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadflat/internal/eval"
)

// pins are the runs of the tree "pin" by the trailer's tree, in order.
var pins = []struct{ tree, volts, enough, words, weak string }{
	{"left_turn", "left_turn", "lamp", "the left turn lamp", "left_turn_weak"},
	{"left_tail", "left_tail", "lamp", "the left tail lamp", "left_turn_weak"},
	{"right_turn", "right_turn", "lamp", "the right turn lamp", "shop"},
	{"right_tail", "right_tail", "lamp", "the right tail lamp", "shop"},
	{"brake", "brake", "lamp", "pin 6", "brake_weak"},
	{"fog", "fog", "fog_lamp", "pin 2", "fog_weak"},
}

// writtenOut is the trailer's tree without parameters: the pin's tree once for each pin.
func writtenOut(t *testing.T) *Tree {
	var pin string
	var files []Source
	for _, s := range sources(t, "trailer") {
		switch s.Name {
		case "pin.yaml":
			pin = string(s.Data)
		case "socket.yaml":
			files = append(files, s)
		}
	}
	findings := regexp.MustCompile(`(?m)^  (dead|weak): (.*)$`)
	names := func(text, volts, enough, words string) string {
		text = regexp.MustCompile(`\bvolts\b`).ReplaceAllString(text, volts)
		return strings.NewReplacer("limits.enough", "limits."+enough, "{pin}", words).Replace(text)
	}
	top := "tree: trailer\ntitle: The lamps of a trailer\nedition: 1\nuse: [socket]\nbegin: x1\nsteps:\n"
	ends := "findings:\n  shop: {title: To the workshop, action: hand_over}\n  all_good: {title: All lamps get voltage, action: none}\n"
	for i, p := range pins {
		alone := regexp.MustCompile(`(?s)parameters: .*?\nsteps:`).ReplaceAllString(pin, "steps:")
		alone = strings.Replace(names(alone, p.volts, p.enough, p.words), "tree: pin", "tree: "+p.tree, 1)
		files = append(files, Source{Name: p.tree + ".yaml", Data: []byte(alone)})
		next := fmt.Sprintf("x%d", i+2)
		if i == len(pins)-1 {
			next = "all_good"
		}
		top += fmt.Sprintf("  x%d: {kind: tree, run: %s, cases: {dead: %s_dead, weak: %s, good: %s}}\n", i+1, p.tree, p.tree, p.weak, next)
		for _, m := range findings.FindAllStringSubmatch(pin, -1) {
			if m[1] == "dead" || p.weak == p.tree+"_weak" {
				again := fmt.Sprintf("x%d/again", i+1)
				end := strings.NewReplacer("prove_by: again", "prove_by: "+again, "done(again)", "done("+again+")", "again."+p.volts, p.volts).Replace(names(m[2], p.volts, p.enough, p.words))
				ends += "  " + p.tree + "_" + m[1] + ": " + end + "\n"
			}
		}
	}
	lib, faults := Load(append(files, Source{Name: "trailer.yaml", Data: []byte(top + ends)}))
	var b strings.Builder
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return lib.Tree("trailer")
}

// TestASubTreeWithParametersIsTheTreeWrittenOut says all of both that a person or a proof sees.
func TestASubTreeWithParametersIsTheTreeWrittenOut(t *testing.T) {
	describe := func(tree *Tree) (out []string) {
		env := &eval.Env{Values: make([]eval.Value, tree.slots)}
		for _, s := range tree.Steps {
			out = append(out, fmt.Sprint(s.Kind, s.Title, s.Cautions, s.Do.Over(env), s.Take[0].ID))
			for _, b := range s.Branches {
				to := ""
				if b.To.Step != nil {
					to = b.To.Step.Title
				} else {
					to = b.To.Finding.ID
				}
				out = append(out, fmt.Sprint(b.Text, b.Guard.Text, b.Say.Over(env), to, len(b.Clears)))
				for _, f := range b.Clears {
					out = append(out, f.ID)
				}
			}
			for _, a := range s.prog.Atoms {
				out = append(out, fmt.Sprint(a.Kind, a.Op, a.Text))
			}
		}
		ends := map[string]string{}
		for _, f := range tree.Findings {
			ends[f.ID] = fmt.Sprint(f.Title, f.Action, f.Remedy.Over(env), f.Cautions)
			for _, e := range f.RestsOn {
				ends[f.ID] += e.list(Ground.Title)
			}
			if f.ProveBy != "" {
				ends[f.ID] += tree.Proves(f).Title
			}
		}
		return append(out, fmt.Sprint(ends))
	}
	given, byHand := load(t, "trailer").Tree("trailer"), writtenOut(t)
	require.Equal(t, describe(byHand), describe(given))

	for _, volts := range []string{"0.4", "0.99", "1.02", "10.9", "11.02", "11.3", "11.49", "12.4"} {
		for at := range pins {
			var said [2]string
			for k, tree := range []*Tree{given, byHand} {
				w := NewWalk(tree, FindMeter("workshop"), Kit{})
				for w.Next().Result == nil {
					q, read := w.Next().Fields[0].Reading, "12.6"
					if q.ID == pins[at].volts {
						read = volts
					}
					for _, d := range say(t, w, q.Short+" "+read).Decided {
						said[k] += fmt.Sprint(d.Claim, d.Facts, d.Rules, d.Foil, d.Flip, d.Sure, d.Clears, "\n")
					}
				}
				said[k] += fmt.Sprint(w.Next().Result.Finding.ID, w.Next().Result.Certainty)
			}
			pointer := regexp.MustCompile(`0x[0-9a-f]+`)
			require.Equal(t, pointer.ReplaceAllString(said[1], ""), pointer.ReplaceAllString(said[0], ""))
		}
	}
}

// A tree with parameters stands alone by what it declares itself, and what it declares under
// their names is no part of a tree that runs it.
func TestWhatAParameterStandsFor(t *testing.T) {
	lib := load(t, "trailer")
	alone := lib.Tree("pin")
	require.Equal(t, "Volts at the pin", alone.Steps[0].Title)
	require.Equal(t, "volts", alone.Steps[0].Take[0].ID)
	for _, r := range lib.Tree("trailer").Readings {
		require.NotContains(t, []string{"volts", "turning", "tail"}, r.ID)
	}
	with, at := lib.Tree("trailer").Steps[0].With()
	require.Equal(t, "volts: left_turn, enough: limits.lamp, pin: the left turn lamp", with)
	require.Equal(t, "side.yaml:11:27", at.String())
}

// Every slip in a tree with parameters and in one that runs it is told where it was made,
// and where the other half of it stands.
func TestSlipsWithParameters(t *testing.T) {
	for name, c := range map[string]struct{ file, was, is, says string }{
		"no such reading":                 {"trailer.yaml", "volts: brake", "volts: brakes", `trailer.yaml:9:48: "brakes" is not a declared reading; did you mean "brake"? [unknown-name] pin.yaml:6:14: the parameter is declared here`},
		"another quantity":                {"trailer.yaml", "volts: brake", "volts: amps", `trailer.yaml:9:48: "amps" is a current (A), but parameter "volts" is a voltage (V) [unit-mismatch] pin.yaml:6:14: the parameter is declared here`},
		"a choice":                        {"trailer.yaml", "volts: brake", "volts: lit", `trailer.yaml:9:48: "lit" is a choice, but parameter "volts" is a number [wrong-shape] pin.yaml:6:14: the parameter is declared here`},
		"a limit that is not":             {"trailer.yaml", "enough: limits.fog_lamp", "enough: limits.foglamp", `trailer.yaml:10:64: "foglamp" is not a declared limit; did you mean "fog_lamp"? [unknown-name] pin.yaml:6:30: the parameter is declared here`},
		"a limit without its head":        {"trailer.yaml", "enough: limits.fog_lamp", "enough: fog_lamp", `trailer.yaml:10:64: parameter "enough" of tree "pin" is a limit; write limits.NAME [unknown-name]`},
		"a limit of amperes":              {"trailer.yaml", "enough: limits.fog_lamp", "enough: limits.amp_limit", `pin.yaml:20:53: "read.fog" is a voltage (V), but "limits.amp_limit" is a current (A) [unit-mismatch] trailer.yaml:10:32: the tree is run here with volts: fog, enough: limits.amp_limit, pin: pin 2`},
		"one is left out":                 {"trailer.yaml", ", pin: pin 6", "", `trailer.yaml:9:29: tree "pin" needs to be told what "pin" stands for here: ` + "`with: {pin: ...}`" + ` [missing-key] pin.yaml:6:45: the parameter is declared here`},
		"one too many":                    {"trailer.yaml", "pin: pin 6", "pin: pin 6, pim: pin 6", `trailer.yaml:9:88: "pim" is not a parameter of tree "pin"; did you mean "pin"? [unknown-name]`},
		"words with braces":               {"trailer.yaml", "pin: pin 6", `pin: "pin {six}"`, `trailer.yaml:9:81: the words of a parameter hold no braces, but for words of the tree they stand in [bad-text]`},
		"long words":                      {"trailer.yaml", "pin: pin 6", "pin: " + strings.Repeat("pin ", 60), `trailer.yaml:9:81: the words of a parameter have at most 200 letters [too-large]`},
		"no prefix":                       {"trailer.yaml", ", prefix: fog", "", `trailer.yaml:10:101: finding "weak" of tree "pin" has no way on here [missing-case]`},
		"one prefix twice":                {"trailer.yaml", "prefix: fog", "prefix: brake", `trailer.yaml:10:102: finding "brake_weak" is there already; give this run another prefix [duplicate-name] pin.yaml:25:3: it is declared here`},
		"a prefix that is no name":        {"trailer.yaml", "prefix: fog", "prefix: Fog", `trailer.yaml:10:102: what stands before the names of findings is made of small letters, digits and _ and begins with a letter, not "Fog": write "fog" [bad-name]`},
		"a finding that does not come up": {"trailer.yaml", "turn_weak: shop", "turn_weac: shop", `trailer.yaml:8:135: "turn_weac" is not a finding of tree "side"; did you mean "turn_weak"? [unknown-name]`},
		"a kind that is none":             {"pin.yaml", "volts: reading", "volts: readin", "pin.yaml:6:14: parameter \"volts\" has the name of a reading; write `volts: reading`, or give the words another name [duplicate-name]"},
		"not declared":                    {"pin.yaml", "{volts: reading", "{ampx: reading, volts: reading", `pin.yaml:6:14: parameter "ampx" is no reading of this tree: declare one of that name, which stands here when nobody runs the tree [unknown-name]`},
		"in a value":                      {"pin.yaml", "steps:", "values:\n  lacks: {is: limits.enough - volts, unit: V}\nsteps:", `pin.yaml:12:15: "volts" is a parameter: it may stand in steps and findings only, since this is declared once, however often the tree is run [not-allowed]`},
		"in a table":                      {"pin.yaml", "steps:", "  rising: {table: {over: volts, points: [[0, 1], [9, 2]], outside: hold_end}, unit: V, source: definition}\nsteps:", `pin.yaml:11:26: "volts" is a parameter: it may stand in steps and findings only, since this is declared once, however often the tree is run [not-allowed]`},
		"in a title":                      {"pin.yaml", "title: Volts at {pin}", "title: Volts at {pim}", `pin.yaml:14:12: {pim} is not a parameter with words, and only those stand in braces here [unknown-name]`},
		"a fault of its own":              {"pin.yaml", "read.volts < limits.enough", "read.volts < limits.enogh", `pin.yaml:20:55: "enogh" is not a declared limit; did you mean "enough"? [unknown-name]`},
	} {
		t.Run(name, func(t *testing.T) {
			files := append(sources(t, "trailer"), Source{Name: "amps.yaml", Data: []byte(`shared: amps
readings:
  amps: {ask: Amps, short: current, unit: A, span: [0, 20]}
  lit: {ask: It is lit, short: lit, choices: [bright, dark]}
limits: {amp_limit: {is: 5 A, source: definition}}
`)})
			for i := range files {
				text := strings.Replace(string(files[i].Data), "use: [socket]", "use: [socket, amps]", 1)
				if files[i].Name == c.file {
					require.Contains(t, text, c.was)
					text = strings.Replace(text, c.was, c.is, 1)
				}
				files[i].Data = []byte(text)
			}
			_, faults := Load(files)
			var all []string
			for _, f := range faults.Sorted() {
				one := fmt.Sprintf("%s: %s [%s]", f.Place, f.Message, f.Rule)
				for _, n := range f.Notes {
					one += " " + n.Place.String() + ": " + n.Message
				}
				all = append(all, one)
			}
			require.Contains(t, all, c.says, strings.Join(all, "\n"))
			require.LessOrEqual(t, len(all), 3, strings.Join(all, "\n"))
		})
	}
}

// Findings that come up under a prefix are counted before they are made.
func TestFindingsThatComeUpAreCountedFirst(t *testing.T) {
	require.NotNil(t, doubling(t, "").Tree("t30"))
	require.Nil(t, doubling(t, "").Tree("t20"))
	require.NotNil(t, doubling(t, "{w}").Tree("t35"))
	require.Nil(t, doubling(t, "{w}").Tree("t30"), "the words double as well")
}

// doubling are trees each of which runs the next one twice.
func doubling(t *testing.T, more string) *Library {
	const levels = 40
	var files []Source
	for i := range levels {
		text := fmt.Sprintf("tree: t%d\ntitle: T\nedition: 1\nbegin: a\nparameters: {w: word}\nfindings:\n  good: {title: 'Good {w}', action: none}\n", i)
		if i == levels-1 {
			text += "  bad: {title: 'Bad {w}', action: none}\nreadings: {r: {ask: R, short: r, choices: [one, two]}}\nsteps:\n  a: {kind: inspect, title: A, take: [r], by: r, cases: {one: good, two: bad}}\n"
		} else {
			text += fmt.Sprintf("steps:\n  a: {kind: tree, title: A, run: t%d, prefix: a, with: {w: '{w}%s'}, cases: {good: b}}\n  b: {kind: tree, title: B, run: t%d, with: {w: '{w}'}, prefix: b, cases: {good: good}}\n", i+1, more, i+1)
		}
		files = append(files, Source{Name: fmt.Sprintf("t%d.yaml", i), Data: []byte(text)})
	}
	lib, faults := Load(files)
	require.False(t, faults.Empty())
	for _, x := range faults.Sorted() {
		require.Equal(t, "too-large", x.Rule)
	}
	return lib
}
