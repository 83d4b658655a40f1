package job

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/journal"
)

// Kind is the kind of file a job is kept in.
var Kind = &journal.Kind{Noun: "job", Version: 2, Oldest: 1, Sums: 2}

// Functions is the version of the functions that a tree's expressions may call: it
// goes up by one when one of them is added or gives another result than before.
const Functions = 1

// Header is the first line of a job file: everything but the answers that the
// walk depends on, so that it can be replayed without the trees of that day.
type Header struct {
	Format    string     `json:"format"`
	Version   int        `json:"version"`
	Tree      string     `json:"tree"`
	Title     string     `json:"title,omitempty"` // of the tree, for lists
	Edition   int        `json:"edition"`
	Hash      string     `json:"hash"`      // engine.Tree.Hash: fits Sources, or the file is refused
	Functions int        `json:"functions"` // a job of a newer version than ours is refused
	Begun     time.Time  `json:"begun"`
	Kit       engine.Kit `json:"kit"`
	Meter     Text       `json:"meter"`   // version 1, and early files of version 2, only name a shipped one
	Sources   []Text     `json:"sources"` // every file the tree, and those of later rounds, are resolved from
}

// Text is one file carried by a job: YAML as Text, a picture as Data.
type Text struct {
	Name string `json:"name"`
	Text string `json:"text"`
	Data []byte `json:"data,omitempty"` // in base64
	Hash string `json:"hash,omitempty"` // "sha256:..." over Text or Data; none where both are empty, and none in version 1
}

// carried is a text as a job carries it.
func carried(name, text string) Text { return Text{Name: name, Text: text}.summed() }

// summed is a file with its hash.
func (t Text) summed() Text {
	if t.Hash = ""; len(t.Text)+len(t.Data) > 0 {
		t.Hash = fmt.Sprintf("sha256:%x", sha256.Sum256(append([]byte(t.Text), t.Data...)))
	}
	return t
}

// fits holds every text that is carried against its hash.
func (h *Header) fits() error {
	if h.Version == 1 {
		return nil
	}
	for _, t := range append([]Text{h.Meter}, h.Sources...) {
		if want := t.summed().Hash; t.Hash != want {
			return fmt.Errorf("%w: the text of %q has the hash %q and %q is written beside it: one of them was changed afterwards", ErrTree, t.Name, want, t.Hash)
		}
	}
	return nil
}

// workedCases marks a file that loading passes over.
func workedCases(text []byte) bool {
	return bytes.HasPrefix(text, []byte("cases:")) || bytes.Contains(text, []byte("\ncases:"))
}

// texts turns what the engine was loaded from into what a file carries.
func texts(sources []engine.Source) []Text {
	var out []Text
	for _, s := range sources {
		switch {
		case engine.IsPicture(s.Name):
			out = append(out, Text{Name: s.Name, Data: s.Data}.summed())
		case !workedCases(s.Data):
			out = append(out, carried(s.Name, string(s.Data)))
		}
	}
	return out
}

// sources is the way back.
func (h *Header) sources() []engine.Source {
	out := make([]engine.Source, len(h.Sources))
	for i, s := range h.Sources {
		out[i] = engine.Source{Name: s.Name, Data: append([]byte(s.Text), s.Data...)}
	}
	return out
}
