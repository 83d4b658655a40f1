package job

import (
	"time"

	"deadflat/internal/engine"
)

// Format and Version mark the first line of every job file. Functions is the
// version of the functions that a tree's expressions may call: there are none
// yet.
const (
	Format    = "deadflat job"
	Version   = 1
	Functions = 0
)

// Header is the first line of a job file: everything but the answers that the
// walk depends on, so that it can be replayed without the trees of that day.
type Header struct {
	Format    string     `json:"format"`
	Version   int        `json:"version"`
	Tree      string     `json:"tree"`
	Edition   int        `json:"edition"`
	Hash      string     `json:"hash"`      // engine.Tree.Hash: fits Sources, or the file is refused
	Functions int        `json:"functions"` // a job of a newer version than ours is refused
	Begun     time.Time  `json:"begun"`
	Kit       engine.Kit `json:"kit"`
	Meter     Text       `json:"meter"`   // a shipped meter is only named
	Sources   []Text     `json:"sources"` // every file the tree is resolved from
}

// Text is one YAML file carried by a job.
type Text struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// texts turns what the engine was loaded from into what a file carries.
func texts(sources []engine.Source) []Text {
	out := make([]Text, len(sources))
	for i, s := range sources {
		out[i] = Text{Name: s.Name, Text: string(s.Data)}
	}
	return out
}

// sources is the way back.
func (h *Header) sources() []engine.Source {
	out := make([]engine.Source, len(h.Sources))
	for i, s := range h.Sources {
		out[i] = engine.Source{Name: s.Name, Data: []byte(s.Text)}
	}
	return out
}
