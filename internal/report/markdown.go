package report

import (
	"bytes"
	"io"
	"regexp"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/text"
)

// drawingWidth is how wide a drawing in a Markdown report may be, in
// characters: what a page of A4 or a repository's page shows without a scroll
// bar.
const drawingWidth = 72

// Markdown writes the report as CommonMark with the tables of GitHub's dialect.
// It holds no HTML: drawings are in characters, in code blocks. The only error
// is w's.
func Markdown(w io.Writer, rec *engine.Record) error {
	m := &markdownForm{}
	m.outline(lay(rec))
	return emit(w, m.Bytes())
}

// markdownForm prints an outline as Markdown.
type markdownForm struct{ bytes.Buffer }

func (m *markdownForm) outline(o *outline) {
	m.WriteString("# " + escapeMarkdown(o.title) + "\n\n" + escapeMarkdown(o.subtitle) + "\n")
	for _, s := range o.sections {
		m.WriteString("\n## " + escapeMarkdown(s.title) + "\n")
		for _, p := range s.parts {
			m.WriteByte('\n')
			m.part(p)
		}
	}
}

func (m *markdownForm) part(p part) {
	switch p := p.(type) {
	case heading:
		m.WriteString(strings.Repeat("#", p.level) + " " + escapeMarkdown(p.text) + "\n")
	case para:
		m.WriteString(strings.TrimSpace(strong(p.lead)+" "+escapeMarkdown(p.text)) + "\n")
	case *engine.Picture:
		m.part(pictured(p))
	case list:
		m.list(p)
	case facts:
		// Another mark than a list's, so that the two stay apart.
		for _, f := range p.pairs {
			m.WriteString("* " + strong(f[0]+":") + " " + escapeMarkdown(f[1]) + "\n")
		}
	case table:
		m.table(p)
	case *scale:
		m.drawing(p.title+": "+p.value, p.lines(drawingWidth))
	case *circuit:
		m.drawing(p.words(), p.lines(drawingWidth))
	}
}

func (m *markdownForm) list(l list) {
	lead := l.lead
	if l.warning {
		lead = "Caution. " + lead
	}
	if lead != "" {
		m.WriteString(strong(lead) + "\n\n")
	}
	for _, i := range l.items {
		m.WriteString("- " + escapeMarkdown(i.inline()) + "\n")
	}
}

func (m *markdownForm) table(t table) {
	m.WriteString(strong(t.caption) + "\n\n|")
	for _, h := range t.head {
		m.WriteString(" " + escapeMarkdown(h) + " |")
	}
	m.WriteString("\n|" + strings.Repeat(" --- |", len(t.head)) + "\n")
	for _, row := range t.rows {
		m.WriteByte('|')
		for _, c := range row {
			m.WriteString(" " + escapeMarkdown(c.inline()) + " |")
		}
		m.WriteByte('\n')
	}
}

// drawing writes a drawing in characters as an indented code block, which no
// text inside it can end.
func (m *markdownForm) drawing(words string, lines []string) {
	m.WriteString(escapeMarkdown(words) + "\n\n")
	for _, l := range lines {
		m.WriteString("    " + strings.TrimRight(l, " ") + "\n")
	}
}

// strong sets a text in heavy type; nothing stays nothing.
func strong(s string) string {
	if s = escapeMarkdown(s); s == "" {
		return ""
	}
	return "**" + s + "**"
}

var (
	markdownMarks = strings.NewReplacer(
		`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", `\<`, ">", `\>`,
		"|", `\|`, "~", `\~`, "&", `\&`, "#", `\#`, "$", `\$`, "://", `\://`, "www.", `www\.`,
	)
	// markdownStart finds what would begin a list, a rule or an underline of a
	// title at the start of a text.
	markdownStart = regexp.MustCompile(`^(=|--|[-+]( |$)|[0-9]+[.)]( |$))`)
)

// escapeMarkdown makes a text safe as a run of words in a paragraph, a list
// point, a title or a table's cell: it can open no markup, no HTML, no link and
// no further cell or block.
func escapeMarkdown(s string) string {
	s = markdownMarks.Replace(text.Clean(s))
	if markdownStart.MatchString(s) {
		mark := strings.IndexAny(s, "=-+.)")
		s = s[:mark] + `\` + s[mark:]
	}
	return s
}
