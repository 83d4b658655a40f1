package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"deadflat/internal/engine"
	"deadflat/internal/prove"
	"deadflat/internal/text"
)

const tryHelp = `Try a tree while you write it: load it, prove it, and walk its worked cases
(NAME.cases.yaml beside NAME.yaml). What is wrong comes first, and all of it
fits one screen.

With --watch it is tried again at every save, until you press ctrl-c.`

const tryExamples = `  deadflat try left-on.yaml --watch
  deadflat try my-trees`

func newTry(s streams) *cobra.Command {
	var watch bool
	c := &cobra.Command{
		Use:     "try FILE|FOLDER",
		Short:   "Prove a tree and walk its cases, once or at every save",
		Long:    tryHelp + "\n\n" + exitHelp,
		Example: tryExamples,
		Args:    words(1, 1, "FILE|FOLDER"),
		RunE: func(_ *cobra.Command, args []string) error {
			if !watch {
				return tryOnce(s, args[0])
			}
			ctx, stop := untilSignal()
			defer stop()
			ticks := time.NewTicker(lookEvery)
			defer ticks.Stop()
			return watchTree(ctx, s, args[0], ticks.C)
		},
	}
	c.Flags().BoolVar(&watch, "watch", false, "try it again at every save, until ctrl-c")
	return c
}

// lookEvery is how often a watched tree is looked at.
const lookEvery = 300 * time.Millisecond

func tryOnce(s streams, path string) error {
	tried, err := readTry(path)
	if err != nil {
		return err
	}
	text, sound := tried.verdict()
	if _, err := io.WriteString(s.out, text); err != nil {
		return err
	}
	if !sound {
		return errFaults
	}
	return nil
}

// watchTree tries a tree whenever the text of its files has changed at a tick,
// until the context ends.
func watchTree(ctx context.Context, s streams, path string, ticks <-chan time.Time) error {
	last := ""
	for {
		tried, err := readTry(path)
		switch {
		case err != nil && last == "":
			return err
		case err != nil:
			// An editor may put a file in the place of another: it is looked for again.
			tried = &try{sum: err.Error(), err: err}
		}
		if tried.sum != last {
			last = tried.sum
			text, _ := tried.verdict()
			if err := screen(s.out, text); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return nil
		case <-ticks:
		}
	}
}

// try is the text of the files at one moment.
type try struct {
	sources []engine.Source
	names   []string // of the trees to try
	sum     string   // changes with any byte of them
	err     error    // why there is nothing to try
}

func readTry(path string) (*try, error) {
	sources, names, err := gatherWithCases(path)
	if err != nil {
		return nil, err
	}
	h := sha256.New()
	for _, s := range sources {
		fmt.Fprintf(h, "%d %s %d ", len(s.Name), s.Name, len(s.Data))
		h.Write(s.Data)
	}
	return &try{sources: sources, names: names, sum: string(h.Sum(nil))}, nil
}

// verdict says what is wrong, or that nothing is.
func (t *try) verdict() (says string, sound bool) {
	if t.err != nil {
		return plainPath(t.err).Error() + "\n", false
	}
	var b bytes.Buffer
	lib, faults := engine.Load(t.sources, tradeFunctions()...)
	if !faults.Empty() {
		fmt.Fprintf(&b, "%s: it cannot be walked\n\n", text.Count(faults.Len(), "fault"))
		faults.Print(&b)
		return b.String(), false
	}
	if len(t.names) == 0 {
		return "no tree here: shared declarations without a fault\n", true
	}
	report := prove.Library(lib, t.names, prove.Options{})
	fmt.Fprintf(&b, "%s\n\n", howItStands(report))
	// A buffer takes whatever is written.
	_ = report.Print(&b)
	return b.String(), report.Sound()
}

// howItStands is the first line: how it stands, in short.
func howItStands(r *prove.Report) string {
	cases, failed := 0, 0
	for _, t := range r.Trees {
		if t.Cases != nil {
			cases, failed = cases+t.Cases.Total, failed+t.Cases.Failed
		}
	}
	what := "sound"
	if !r.Sound() {
		what = text.Count(r.Faults.Len(), "fault")
	}
	switch {
	case cases == 0:
		return what + "; there are no worked cases beside it"
	case failed > 0:
		return fmt.Sprintf("%s; %d of %s come out otherwise", what, failed, text.Count(cases, "worked case"))
	}
	says := "come out as they say"
	if cases == 1 {
		says = "comes out as it says"
	}
	return fmt.Sprintf("%s; %s %s", what, text.Count(cases, "worked case"), says)
}

// screen shows a text on a cleared terminal, as much of it as fits; anywhere else
// it writes the whole, with a line before it.
func screen(out *os.File, text string) error {
	_, height, err := term.GetSize(int(out.Fd()))
	if err != nil || os.Getenv("TERM") == "dumb" {
		_, err := io.WriteString(out, strings.Repeat("-", 40)+"\n"+text)
		return err
	}
	const clear = "\x1b[H\x1b[2J"
	_, err = io.WriteString(out, clear+firstLines(text, max(height-1, 3)))
	return err
}

// firstLines cuts a text to so many lines, and says how many are left.
func firstLines(text string, most int) string {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	if len(lines) <= most {
		return text
	}
	left := len(lines) - most + 1
	return strings.Join(lines[:most-1], "\n") + fmt.Sprintf("\nand %d more lines: deadflat prove shows them all", left)
}
