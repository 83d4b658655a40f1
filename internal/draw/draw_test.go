package draw

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/trees"
)

// forms are all ways in which a plan is written.
var forms = map[string]func(*Plan, io.Writer) error{"svg": (*Plan).SVG, "html": (*Plan).HTML, "dot": (*Plan).Dot, "mermaid": (*Plan).Mermaid, "sheet": (*Plan).Sheet}

func written(t testing.TB, p *Plan, form string) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, forms[form](p, &b))
	return b.String()
}

func load(t testing.TB, sources ...engine.Source) *engine.Library {
	t.Helper()
	lib, faults := engine.Load(sources)
	var b bytes.Buffer
	faults.Print(&b)
	require.True(t, faults.Empty(), b.String())
	return lib
}

// shipped loads the shipped trees.
func shipped(t testing.TB) *engine.Library {
	t.Helper()
	var sources []engine.Source
	for name, text := range trees.All() {
		sources = append(sources, engine.Source{Name: name, Data: text})
	}
	return load(t, sources...)
}

func small(t testing.TB) *engine.Tree {
	t.Helper()
	var sources []engine.Source
	for _, name := range []string{"small.yaml", "fill.yaml"} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		require.NoError(t, err)
		sources = append(sources, engine.Source{Name: name, Data: data})
	}
	return load(t, sources...).Tree("small")
}

func all(t testing.TB) []*engine.Tree { return append(shipped(t).Trees(), small(t)) }

// Every step has a number, every way leads to a higher one, and the steps of a
// sub-tree stand together.
func TestNumbersAscend(t *testing.T) {
	for _, tree := range all(t) {
		p := New(tree, Options{})
		require.Len(t, p.Steps, len(tree.Steps), tree.Name)
		ended := map[string]bool{}
		for i, s := range p.Steps {
			assert.Equal(t, i+1, s.Number)
			for _, r := range s.Rows {
				if r.Step != nil {
					assert.Greater(t, r.Step.Number, s.Number, "%s %s", tree.Name, s.ID)
				}
			}
			assert.False(t, ended[s.Prefix()], "sub-tree %q is torn apart at %s", s.Prefix(), s.ID)
			if i > 0 {
				for q := p.Steps[i-1].Prefix(); q != "" && !strings.HasPrefix(s.Prefix(), q); q = parent(q) {
					ended[q] = true
				}
			}
		}
	}
}

func TestSameBytes(t *testing.T) {
	for _, tree := range all(t) {
		for form := range forms {
			assert.Equal(t, written(t, New(tree, Options{}), form), written(t, New(tree, Options{}), form), "%s as %s", tree.Name, form)
		}
	}
}

// wellFormed reads a text as XML from end to end, and holds what must be true of
// every page and picture.
func wellFormed(t testing.TB, text string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(text))
	d.Strict = true
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err)
		if el, is := token.(xml.StartElement); is {
			assert.NotContains(t, []string{"script", "image", "img", "iframe", "foreignObject", "use", "link", "object"}, el.Name.Local)
			for _, a := range el.Attr {
				assert.NotContains(t, []string{"href", "src", "style"}, a.Name.Local)
				assert.False(t, strings.HasPrefix(a.Name.Local, "on"), "attribute %s", a.Name.Local)
			}
		}
	}
}

func TestWellFormed(t *testing.T) {
	for _, tree := range all(t) {
		for _, form := range []string{"svg", "html", "sheet"} {
			wellFormed(t, written(t, New(tree, Options{}), form))
		}
	}
}

// No card lies on another, no line runs over a card, and no text is wider than
// its card.
func TestNothingOverlaps(t *testing.T) {
	for _, tree := range all(t) {
		pic := New(tree, Options{}).picture()
		for i, col := range pic.columns {
			for j, c := range col {
				if j > 0 {
					assert.GreaterOrEqual(t, c.y, col[j-1].y+col[j-1].height, "%s: cards of column %d", tree.Name, i)
				}
				assert.LessOrEqual(t, c.y+c.height, pic.height)
				assert.LessOrEqual(t, c.x+c.width, pic.width)
				assertFits(t, c)
			}
			g := &pic.gutters[i]
			if i+1 < len(pic.columns) {
				assert.LessOrEqual(t, g.x+g.width(), pic.columns[i+1][0].x+0.01)
			}
			assertLanes(t, g)
		}
	}
}

func assertFits(t *testing.T, c *card) {
	for _, l := range c.title {
		assert.LessOrEqual(t, titleFont.width(l), c.width-pad, l)
	}
	for _, r := range c.rows {
		for _, l := range r.when {
			assert.LessOrEqual(t, bodyFont.width(l), c.width-2*pad, l)
		}
		for _, l := range r.chip {
			assert.LessOrEqual(t, boldFont.width(l)+2*chipSlant+6, c.width-pad, l)
		}
		assert.LessOrEqual(t, r.y+r.h, c.height, "a row of %v", c.title)
	}
}

func assertLanes(t *testing.T, g *gutter) {
	for i, a := range g.trunks {
		assert.Greater(t, g.laneX(a), g.x)
		assert.Less(t, g.laneX(a), g.x+g.width())
		for _, b := range g.trunks[:i] {
			if g.laneX(a) == g.laneX(b) {
				assert.True(t, a.bottom < b.top || b.bottom < a.top, "two lines on one another")
			}
		}
	}
}

// A3 is 1587 by 1123 of the picture's units: what the largest shipped tree is
// made smaller by must leave its small print readable.
func TestFitsTheSheet(t *testing.T) {
	for _, tree := range all(t) {
		pic := New(tree, Options{}).picture()
		scale := min(sheetWidth/pic.width, sheetHeight/pic.height)
		points := bodyFont.size * scale * 72 / 96
		assert.Greater(t, points, 3.7, "%s: type of %.1f points on A3", tree.Name, points)
	}
}

func TestWords(t *testing.T) {
	p := New(small(t), Options{})
	got := map[string][]string{}
	for _, s := range p.Steps {
		for _, r := range s.Rows {
			to := r.name()
			got[s.ID] = append(got[s.ID], r.When+" > "+to)
		}
	}
	assert.Equal(t, []string{"silence > 2", "one click > 2", "turns slowly > 2", "turns well > F1", "not sure > 2"}, got["look"])
	assert.Equal(t, []string{"below 12.00 V > 3", "at least 12.00 V and below 12.40 V > 5", "at least 12.40 V > 7"}, got["rest"])
	assert.Equal(t, []string{"crank voltage below floor and step 8 not done > F2", "otherwise > 9", "cannot be taken > F2", "too close to call > 8"}, got["crank"])
	assert.Equal(t, []string{"crank current known and earth drop above earth allowed > F3", "crank current not known and may run yes > F1", "otherwise > F1"}, got["earth"])
	assert.Equal(t, "case shape is sound", p.Hazards[0].Holds)
}

// The highest, the lowest and the spread of readings are drawn as their author wrote them, not
// as the comparisons that they are made of.
func TestWordsOfExtremes(t *testing.T) {
	tree := load(t, engine.Source{Name: "cells.yaml", Data: []byte(`tree: cells
title: Cells
edition: 1
begin: look
readings:
  cell_1: {ask: Gravity in cell 1, short: c1, unit: "1", span: [1, 1.4]}
  cell_2: {like: cell_1, ask: Gravity in cell 2, short: c2}
  cell_3: {like: cell_1, ask: Gravity in cell 3, short: c3}
values:
  cells_apart: {is: "spread(cell_1, cell_2, cell_3)", unit: "1"}
limits:
  far: {is: 0.05, source: definition}
  full: {is: 1.225, source: definition}
findings:
  bad: {title: Bad, action: a}
  flat: {title: Flat, action: b}
  good: {title: Good, action: c}
steps:
  look:
    kind: inspect
    title: Look
    take: [cell_1, cell_2, cell_3]
    branches:
      - {if: cells_apart > limits.far, to: bad}
      - {if: "cells_apart <= limits.far and not (highest(cell_1, cell_2, cell_3) >= limits.full)", to: flat}
      - {otherwise: good}
`)}).Tree("cells")
	var got []string
	for _, r := range New(tree, Options{}).Steps[0].Rows {
		got = append(got, r.When)
	}
	assert.Equal(t, []string{"cells apart above 0.05", "cells apart at most 0.05 and highest of cell 1, cell 2 and cell 3 below 1.225", "otherwise"}, got)
}

// A hazard rule that guards no step of a tree, and the finding that only it leads
// to, are not part of its picture.
func TestRulesThatGuardNothing(t *testing.T) {
	why := shipped(t).Tree("why-flat")
	require.NotEmpty(t, why.Before)
	p := New(why, Options{})
	assert.Empty(t, p.Hazards)
	for _, f := range p.Findings {
		assert.NotEmpty(t, f.From, f.ID)
	}
}

func TestSubTreeIsDrawnOnce(t *testing.T) {
	svg := written(t, New(small(t), Options{}), "svg")
	assert.Equal(t, 1, strings.Count(svg, ">Charge it overnight<"))
	assert.Contains(t, svg, "the steps 3–4 once more")
	assert.Contains(t, svg, "where 4 goes to F2")
	covered := written(t, New(small(t), Options{Cases: &Coverage{}}), "svg")
	assert.Equal(t, 2, strings.Count(covered, ">Charge it overnight<"), "what is marked must be seen")
}

// A sub-tree that is run once more with other parameters says with which.
func TestASubTreeWithParametersSaysWithWhat(t *testing.T) {
	files, err := filepath.Glob("../engine/testdata/trailer/*.yaml")
	require.NoError(t, err)
	var sources []engine.Source
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		sources = append(sources, engine.Source{Name: name, Data: data})
	}
	p := New(load(t, sources...).Tree("trailer"), Options{})
	svg := strings.Join(strings.Fields(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(written(t, p, "svg"), " ")), " ")
	assert.Contains(t, svg, "once more (tree pin with volts: fog, enough: limits.fog_lamp, pin: pin 2), with the ways out that stand here")
	sheet := written(t, p, "sheet")
	for _, words := range []string{"Volts at the left turn lamp", "No voltage at pin 6", "Do not bridge pin 2 with the probe."} {
		assert.Contains(t, sheet, words)
	}
}

func TestADraftIsDrawnAsOne(t *testing.T) {
	for _, form := range []string{"svg", "sheet"} {
		assert.Contains(t, written(t, New(small(t), Options{}), form), ", draft", form)
	}
}

var begun0 = time.Date(2026, time.March, 3, 8, 0, 0, 0, time.UTC)

// walked walks the small tree to the worn-out battery by way of a charge.
func walked(t *testing.T, tree *engine.Tree) *engine.Record {
	w := engine.NewWalk(tree, engine.FindMeter("workshop"), engine.Kit{})
	for i := 0; w.Next().Result == nil; i++ {
		require.Less(t, i, 20)
		p := w.Next()
		ev := engine.Event{At: begun0, Do: engine.DoDone, Step: p.Step.ID}
		if len(p.Fields) > 0 {
			typed := map[string]string{"complaint": "silence", "may_run": "yes", "rest_voltage": "11.5", "case_shape": "sound", "settled_voltage": "11"}
			r := p.Fields[0].Reading
			a, refusal := r.Parse(typed[r.ID], nil)
			require.Nil(t, refusal, r.ID)
			ev = engine.Event{At: begun0, Do: engine.DoAnswer, Step: p.Step.ID, Reading: r.ID, Answer: &a}
		}
		out, err := w.Answer(ev)
		require.NoError(t, err)
		require.Nil(t, out.Refused)
	}
	return w.Record()
}

func TestWalkIsMarked(t *testing.T) {
	tree := small(t)
	p := New(tree, Options{Walk: walked(t, tree)})
	var way []string
	for _, s := range p.Steps {
		for _, n := range s.Visits {
			way = append(way, fmt.Sprint(n, " ", s.ID))
		}
		for _, r := range s.Rows {
			if r.Taken {
				way = append(way, r.When)
			}
		}
	}
	assert.Equal(t, []string{"1 look", "silence", "2 rest", "below 12.00 V", "3 first_charge/charge", "then", "4 first_charge/after", "below 12.60 V"}, way)
	svg := written(t, p, "svg")
	assert.Equal(t, 4, strings.Count(svg, `class="visit"`))
	assert.Contains(t, svg, `class="line walked"`)
	assert.Contains(t, written(t, p, "dot"), "penwidth=3")
	assert.Contains(t, written(t, p, "mermaid"), " ==>|")
	assert.NotContains(t, written(t, New(tree, Options{}), "svg"), `class="visit"`)
}

func TestCoverageIsMarked(t *testing.T) {
	tree := small(t)
	c := &Coverage{}
	for range 3 {
		c.Add(walked(t, tree))
	}
	p := New(tree, Options{Cases: c})
	svg := written(t, p, "svg")
	assert.Contains(t, svg, "none of the 3 worked cases comes here")
	assert.Contains(t, svg, "one click, turns slowly (no case)")
	assert.NotContains(t, svg, "silence (no case)")
	// The sub-tree was walked where it is laid in first, which counts for both.
	assert.Equal(t, len(p.Steps)-6, strings.Count(svg, `class="card bare"`))
	assert.Equal(t, 3, p.Steps[0].Cases)
	assert.Equal(t, 3, p.findings[tree.Findings[1]].Cases)
	assert.Contains(t, written(t, p, "mermaid"), "class s7,s8,s9 bare")
}

func given(t *testing.T, tree *engine.Tree, name, typed string) Given {
	c, err := tree.Column(name)
	require.NoError(t, err)
	a, refusal := c.Reading.Parse(typed, nil)
	require.Nil(t, refusal)
	return Given{c.Reading, a}
}

// The sheet ends with what is put back, of what its steps change.
func TestSheetListsWhatIsPutBack(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("testdata", "small.yaml"))
	require.NoError(t, err)
	text := strings.Replace(string(data), "readings:", "undone: {fuse_out: Put the fuse back in its slot., plug_out: Not used here.}\n\nreadings:", 1)
	text = strings.Replace(text, "    title: Rest voltage\n", "    title: Rest voltage\n    leaves: [fuse_out]\n", 1)
	fill, err := os.ReadFile(filepath.Join("testdata", "fill.yaml"))
	require.NoError(t, err)
	tree := load(t, engine.Source{Name: "small.yaml", Data: []byte(text)}, engine.Source{Name: "fill.yaml", Data: fill}).Tree("small")
	sheet := written(t, New(tree, Options{}), "sheet")
	assert.Contains(t, sheet, "fuse out, if step 2 was begun: Put the fuse back in its slot.")
	assert.NotContains(t, sheet, "Not used here")
	assert.NotContains(t, written(t, New(small(t), Options{}), "sheet"), "Put back before you leave")
	for _, form := range []string{"svg", "dot", "mermaid"} {
		assert.Contains(t, written(t, New(tree, Options{}), form), "· leaves fuse out", form)
		assert.NotContains(t, written(t, New(small(t), Options{}), form), "· leaves", form)
	}
}

// Every drawing says what the limits come to that its conditions name, and what they
// were worked out for.
func TestNumbersOfLimits(t *testing.T) {
	tree := small(t)
	cold := []Given{given(t, tree, "battery_temp", "0 °C")}
	for _, form := range []string{"svg", "dot", "mermaid"} {
		soft := strings.NewReplacer("\u00a0", " ", "</text>", "", "\n", "")
		tags := regexp.MustCompile(`<text[^>]*>`)
		bare := tags.ReplaceAllString(soft.Replace(written(t, New(tree, Options{}), form)), " ")
		assert.Contains(t, bare, "floor: by battery temp, in straight lines between: -20 °C: 8.50 V, 20 °C: 9.50 V", form)
		assert.Contains(t, bare, "earth allowed: 0.002 V/A × crank current", form)
		assert.NotContains(t, bare, "worked out for", form)
		made := tags.ReplaceAllString(soft.Replace(written(t, New(tree, Options{Given: cold}), form)), " ")
		assert.Contains(t, made, "crank voltage below 9.00 V", form)
		assert.Contains(t, made, "Limits worked out for: Temperature of the battery: 0 °C.", form)
		assert.NotContains(t, made, "floor: by", form)
	}
}

// On the sheet every limit that depends on what is given is worked out, and what
// is not given stands there as a rule to work it out by.
func TestSheet(t *testing.T) {
	tree := small(t)
	soft := strings.NewReplacer("\u00a0", " ") // a hard space reads like any other
	bare := soft.Replace(written(t, New(tree, Options{}), "sheet"))
	assert.Contains(t, bare, "crank voltage below floor (by battery temp)")
	assert.Contains(t, bare, "-20 °C: 8.50 V, 20 °C: 9.50 V")
	cold := soft.Replace(written(t, New(tree, Options{Given: []Given{given(t, tree, "battery_temp", "0 °C")}}), "sheet"))
	assert.Contains(t, cold, "crank voltage below 9.00 V")
	assert.Contains(t, cold, "Limits worked out for: Temperature of the battery: 0 °C.")
	assert.Contains(t, cold, "earth drop above 0.002 V/A × crank current")
	assert.Contains(t, cold, "Read below 12.40 V and it is charged.")
	assert.Contains(t, cold, "go to step 2")
	rule, step := strings.Index(cold, "A swollen battery can burst."), strings.Index(cold, ">Steps<")
	assert.True(t, rule > 0 && rule < step, "cautions stand first")
	caution, do := strings.Index(cold, "Keep metal off both posts."), strings.Index(cold, "Read below 12.40 V")
	assert.Less(t, caution, do)
}
