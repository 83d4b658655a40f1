package report

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/markup"
	"deadflat/internal/text"
)

// attacks are texts that try to be something else in one of the forms.
var attacks = []string{
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `' onload='x`, `</title></style></svg><b>`, `<!-- --> ]]> <![CDATA[`,
	"a | b \\| c", "`code` ``` fence", "[text](javascript:alert(1))", "![pic](https://example.invalid/x.png)", "<https://example.invalid>",
	"https://example.invalid/bare www.example.invalid", "# title", "- point", "1. point", "1) point", "+ point", "* point", "===", "---", "> quote",
	"**strong** _slanted_ ~~struck~~", "&lt;b&gt; &#60;", "$x$", "    indented", "line\n# two\n\n<b>three</b>\r\n| a |",
	"\x1b[31mred\x1b[0m\x07\x08\x9b2J", "\u009b2J\u0090", "\u202edesrever\u2066", "\ufeff\u200b\u2028\u2029", "\xff\xfe broken \xc3", "\x00\uffff\U000e0041",
	strings.Repeat("long", 200), strings.Repeat("w ", 300), "", "é ü 漢字 🔋",
}

func render(t require.TestingT, form func(io.Writer, *engine.Record) error, rec *engine.Record) string {
	var b bytes.Buffer
	require.NoError(t, form(&b, rec))
	return b.String()
}

func TestHostileTextInHTML(t *testing.T) {
	for _, a := range attacks {
		checkHTML(t, render(t, HTML, hostile(a)))
	}
}

// checkHTML holds a page to what every page must be: well-formed, without
// script or anything from outside, drawings and tables named.
func checkHTML(t require.TestingT, page string) {
	d := xml.NewDecoder(strings.NewReader(page))
	ids, open := map[string]bool{}, []string{}
	children := map[string]int{}
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			name := token.Name.Local
			require.Contains(t, pageElements, name)
			if len(open) > 0 {
				children[open[len(open)-1]+">"+name]++
			}
			open = append(open, name)
			for _, a := range token.Attr {
				require.Contains(t, pageAttributes, a.Name.Local, "attribute of %s", name)
				if a.Name.Local == "id" {
					require.False(t, ids[a.Value], "id %q is there twice", a.Value)
					ids[a.Value] = true
				}
			}
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			require.False(t, strings.ContainsFunc(string(token), func(r rune) bool { return r != '\n' && unicode.IsControl(r) }))
		}
	}
	require.Equal(t, strings.Count(page, "<svg"), children["svg>title"])
	require.Equal(t, strings.Count(page, "<svg"), children["svg>desc"])
	require.Equal(t, strings.Count(page, "<table"), children["table>caption"])
	for _, m := range regexp.MustCompile(`aria-labelledby="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		for _, id := range strings.Fields(m[1]) {
			require.True(t, ids[id], "no element %q", id)
		}
	}
}

// pageElements and pageAttributes are all that a page may hold.
var (
	pageElements = strings.Fields("html head meta title style body header main section h1 h2 h3 h4 p strong small ul li dl div dt dd " +
		"table caption thead tbody tr th td figure figcaption svg desc text line rect path circle")
	pageAttributes = strings.Fields("xmlns lang charset http-equiv content name class id scope role aria-labelledby viewBox font-family font-size font-weight font-style " +
		"fill fill-opacity stroke stroke-width stroke-dasharray x y x1 y1 x2 y2 width height d cx cy r text-anchor")
)

func TestHTMLAsksForNothingFromOutside(t *testing.T) {
	page := render(t, HTML, finished())
	checkHTML(t, page)
	for _, word := range []string{"<script", "<link", "<img", "<a ", "url(", "@import", "javascript:", "https:"} {
		assert.NotContains(t, page, word)
	}
	assert.Equal(t, strings.Count(page, "http:"), strings.Count(page, `xmlns="http://www.w3.org/`), "only the names of HTML and SVG")
	assert.Contains(t, page, `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'sha256-`)
	assert.Contains(t, page, `lang="en-GB"`)
	assert.Contains(t, page, "@page { size: A4")
	assert.NotContains(t, style, "<", "the style must not end its element")
	assert.NotContains(t, style, "&")
}

func TestHostileTextOnATerminal(t *testing.T) {
	for _, a := range attacks {
		for _, width := range []int{40, 80, 100} {
			text := render(t, func(w io.Writer, r *engine.Record) error { return Text(w, r, width) }, hostile(a))
			checkText(t, text, width)
		}
	}
}

// checkText holds a text to what may be sent to a terminal.
func checkText(t require.TestingT, report string, width int) {
	require.True(t, utf8.ValidString(report))
	for _, line := range strings.Split(report, "\n") {
		require.LessOrEqual(t, text.Width(line), width, line)
		require.False(t, strings.ContainsFunc(line, text.Hidden), "%q", line)
	}
}

func TestHostileTextInMarkdown(t *testing.T) {
	plain := shape(render(t, Markdown, hostile("word")))
	for _, a := range attacks {
		if text.Clean(a) == "" {
			continue // what has nothing to say is left out
		}
		said := render(t, Markdown, hostile(a))
		checkMarkdown(t, said)
		assert.Equal(t, plain, shape(said), "the blocks are those of harmless text, whatever the text: %q", a)
	}
}

// shape is what each line of a Markdown report opens: a title, a point, a row
// with its cells, a paragraph. Code blocks are left out: a drawing's height
// depends on its labels.
func shape(report string) []string {
	var out []string
	for _, line := range strings.Split(report, "\n") {
		bare := regexp.MustCompile(`\\.`).ReplaceAllString(line, "x")
		switch {
		case strings.HasPrefix(line, "    "):
		case strings.HasPrefix(bare, "#"):
			out = append(out, strings.SplitN(bare, " ", 2)[0])
		case strings.HasPrefix(bare, "- "), strings.HasPrefix(bare, "* "):
			out = append(out, bare[:1])
		case strings.HasPrefix(bare, "|"):
			out = append(out, strings.Repeat("|", strings.Count(bare, "|")))
		case bare == "":
			out = append(out, "")
		default:
			out = append(out, "words")
		}
	}
	return out
}

// checkMarkdown looks for markup that the report itself never writes.
func checkMarkdown(t require.TestingT, report string) {
	require.False(t, strings.ContainsFunc(report, func(r rune) bool { return r != '\n' && text.Hidden(r) }))
	for _, line := range strings.Split(report, "\n") {
		if strings.HasPrefix(line, "    ") {
			continue
		}
		bare := regexp.MustCompile(`\\.`).ReplaceAllString(line, "x")
		bare = strings.TrimPrefix(strings.TrimPrefix(strings.ReplaceAll(bare, "**", ""), "- "), "* ")
		require.False(t, strings.ContainsAny(bare, "<>`[]*_~&$\\"), line)
		require.NotContains(t, bare, "://")
		require.NotContains(t, bare, "www.")
		require.NotRegexp(t, `^([-+]( |$)|[0-9]+[.)]( |$)|=+$|-+$)`, bare)
	}
}

func TestHostileTextInJSON(t *testing.T) {
	for _, a := range attacks {
		said := render(t, JSON, hostile(a))
		require.False(t, strings.ContainsFunc(said, func(r rune) bool { return r != '\n' && text.Hidden(r) }), "%q", a)
		var doc Document
		require.NoError(t, json.Unmarshal([]byte(said), &doc))
		assert.Equal(t, strings.ToValidUTF8(a, "\ufffd"), strings.ReplaceAll(doc.Title, "\ufffd\ufffd", "\ufffd"), "a text is kept as it is")
	}
}

// FuzzEscape gives every form a record whose every text is the same stranger's.
func FuzzEscape(f *testing.F) {
	for _, a := range attacks {
		f.Add(a)
	}
	f.Fuzz(func(t *testing.T, s string) {
		rec := hostile(s)
		checkHTML(t, render(t, HTML, rec))
		checkText(t, render(t, func(w io.Writer, r *engine.Record) error { return Text(w, r, 40) }, rec), 40)
		checkMarkdown(t, render(t, Markdown, rec))
		said := render(t, JSON, rec)
		require.True(t, json.Valid([]byte(said)))
		require.False(t, strings.ContainsFunc(said, func(r rune) bool { return r != '\n' && text.Hidden(r) }))

		var back string
		require.NoError(t, xml.Unmarshal([]byte("<t>"+markup.Escape(s)+"</t>"), &back))
		require.Equal(t, text.Clean(s), back, "what is escaped reads the same")
	})
}
