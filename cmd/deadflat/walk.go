package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"deadflat/internal/engine"
	"deadflat/internal/job"
	"deadflat/internal/journal"
	"deadflat/internal/terminal"
)

const walkHelp = `Walk through a tree at the vehicle: each step says what to do, where red and
black go, and what a good reading is; you type what the meter shows, and see what
that means. "help" or "?" lists the words you may type in place of an answer.

Every answer is on disk before the next question shows. Leave with "pause", with
Ctrl-C or by the end of the input, and go on later with --resume.

Without a terminal, with TERM=dumb or with ACCESSIBLE set, plain lines take the
place of forms.`

const walkExamples = `  deadflat walk
  deadflat walk no-start --detail full --meter basic
  deadflat walk --resume last
  deadflat walk --job ./van.job
  deadflat walk --tree my-tree.yaml
  deadflat walk --plain < answers.txt`

// firstTree is walked when none is named.
const firstTree = "no-start"

// The levels of --detail.
const (
	detailFull  = "full"
	detailBrief = "brief"
)

// walkFlags are the choices of one walk.
type walkFlags struct {
	tree   string
	own    string
	job    string
	resume string
	plain  bool
	detail string
	kit    string
	meter  string

	notes []string // told on the first page
}

func newWalk(s streams) *cobra.Command {
	var f walkFlags
	c := &cobra.Command{
		Use:               "walk [TREE]",
		Short:             "Walk a vehicle from the first reading to an explained finding",
		Long:              walkHelp + "\n\n" + exitHelp,
		Example:           walkExamples,
		Args:              words(0, 1, "[TREE]"),
		ValidArgsFunction: completeTrees,
		RunE: func(c *cobra.Command, args []string) error {
			// A job has its tree, its kit and its meter with it.
			if err := apart(c, "resume", "job", "tree", "kit", "meter"); err != nil {
				return err
			}
			f.tree = strings.Join(args, "")
			return f.run(s)
		},
	}
	c.Flags().StringVar(&f.job, "job", "", "keep the job in this new `FILE`")
	c.Flags().StringVar(&f.resume, "resume", "", "go on with a `JOB`: a name, the beginning of one, last, or a file")
	c.Flags().BoolVar(&f.plain, "plain", false, "ask in plain lines in place of forms")
	c.Flags().StringVar(&f.detail, "detail", "", "how much to say: full, or brief for a `LEVEL` of number, Enter, next. It is\nremembered (default: the one remembered, else full)")
	c.Flags().StringVar(&f.kit, "kit", "", kitHelp)
	c.Flags().StringVar(&f.meter, "meter", "", meterHelp)
	c.Flags().StringVar(&f.own, "tree", "", ownHelp)
	completeFlag(c, "detail", []string{detailFull, detailBrief})
	return c
}

func (f *walkFlags) run(s streams) error {
	if f.detail != "" && f.detail != detailFull && f.detail != detailBrief {
		return usage("--detail is %q: expected full or brief", f.detail)
	}
	// Little is thrown away before the first question shows, so looking for it
	// would only hold that up. Four times the memory in use: common practice, no
	// source.
	debug.SetGCPercent(400)
	// A signal pauses the walk; whatever was answered is on disk by then.
	ctx, stop := untilSignal(syscall.SIGHUP)
	defer stop()
	file, walk, err := f.open(ctx, s)
	if err != nil {
		return err
	}
	kept := file.Path
	end, err := terminal.Run(ctx, walk, f.options(s, file))
	if closed := file.Close(); err == nil {
		err = closed
	}
	switch {
	case err != nil && !errors.Is(err, journal.ErrLost):
		return fmt.Errorf("%w; go on with: %s", err, file.resume())
	case err != nil:
		return err
	case file.Path != kept:
		fmt.Fprintf(s.err, "The job is kept in another file: %q\n", file.Path)
	}
	if end.Paused {
		return errFaults
	}
	return nil
}

func (f *walkFlags) open(ctx context.Context, s streams) (*jobFile, *engine.Walk, error) {
	known := recall()
	if f.resume != "" {
		f.detail = cmp.Or(f.detail, known.detail)
		f.remember(account{kit: known.kit, detail: f.detail}, known)
		return f.takeUp()
	}
	return f.begin(ctx, s, known)
}

// remember keeps an account, and says where when there was none of a kit yet. Where it
// cannot be kept the walk goes on all the same.
func (f *walkFlags) remember(a, before account) {
	if err := remember(a, before); err != nil {
		f.notes = append(f.notes, fmt.Sprintf("what is at hand, and how much is said, could not be kept for the next time: %s", plainPath(err)))
	} else if path, err := kitFile(); err == nil && f.kit == "" && a.namesKit() && !before.namesKit() {
		f.notes = append(f.notes, fmt.Sprintf("what is at hand is kept in %s. To change it later: deadflat walk --kit clamp,charger", path))
	}
}

// faces says which face of the wizard is shown, and where.
func (f *walkFlags) faces(s streams) terminal.Options {
	return terminal.Options{
		In: s.in, Out: s.out, Err: s.err,
		Plain: f.plain || terminal.WantsPlain(s.in, s.err, os.Getenv),
		Brief: f.detail == detailBrief,
	}
}

// options ties the wizard to a job.
func (f *walkFlags) options(s streams, file *jobFile) terminal.Options {
	o := f.faces(s)
	o.Resume = file.resume()
	o.Notes = f.notes
	o.Clock = time.Now
	o.Save, o.Another = file.save, file.another
	return o
}

// begin starts a new job.
func (f *walkFlags) begin(ctx context.Context, s streams, known account) (*jobFile, *engine.Walk, error) {
	lib, tree, err := loadTree(f.tree, f.own, firstTree, s.err)
	if err != nil {
		return nil, nil, err
	}
	mine, said, err := f.chooseKit(ctx, s, tree, known)
	if err != nil {
		return nil, nil, err
	}
	meter, err := chooseMeter(f.meter, &mine.kit)
	if err != nil {
		return nil, nil, err
	}
	if tree.Review.Draft() {
		f.notes = append(f.notes, fmt.Sprintf("tree %s is a draft: nobody has reviewed it", tree.Name))
	}
	f.detail = cmp.Or(f.detail, mine.detail, known.detail)
	kept := account{kit: mine.kit, detail: f.detail}
	if !said {
		kept.kit = known.kit
	}
	f.remember(kept, known)
	walk := engine.NewWalk(tree, meter, mine.kit)
	begin := job.Begin{Library: lib, Tree: tree, Meter: meter, Kit: mine.kit, At: time.Now()}
	file, err := createKept(job.Kind, f.job, tree.Name, begin.At, begin.Lines(nil)...)
	return &jobFile{job.File{File: file}, walk, begin}, walk, err
}

// chooseKit takes the kit from the flag, else the remembered one, else asks. Said
// is false where nobody is there to be asked: then everything is taken to be at
// hand, which is told and not remembered.
func (f *walkFlags) chooseKit(ctx context.Context, s streams, tree *engine.Tree, known account) (mine account, said bool, err error) {
	switch {
	case f.kit != "":
		mine, err = kitFrom(f.kit, tree)
		return mine, true, err
	case known.namesKit():
		return known, true, nil
	}
	if !term.IsTerminal(int(s.in.Fd())) {
		why := "nobody has said yet what is at hand"
		if known.lost != nil {
			why = known.lost.Error()
		}
		f.notes = append(f.notes, why+", so everything is taken to be. To say otherwise: deadflat walk --kit clamp,charger (or all, or none, or a file)")
		return account{}, false, nil
	}
	if known.lost != nil {
		f.notes = append(f.notes, known.lost.Error())
	}
	meters := engine.Meters()
	if f.meter != "" {
		meters = nil // it has been named
	}
	mine.kit, err = terminal.AskKit(ctx, meters, tree, f.faces(s))
	if errors.Is(err, terminal.ErrLeft) {
		fmt.Fprintln(s.err, err)
		err = errFaults
	}
	return mine, true, err
}

// takeUp goes on with a job.
func (f *walkFlags) takeUp() (*jobFile, *engine.Walk, error) {
	path, err := find(job.Kind, f.resume)
	if err != nil {
		return nil, nil, err
	}
	file, j, err := job.Open(path, tradeFunctions()...)
	if err != nil {
		return nil, nil, err
	}
	walk, err := f.replay(file, j)
	if err != nil {
		return nil, nil, errors.Join(err, file.Close())
	}
	begin := job.Begin{Library: j.Library, Tree: j.Tree, Meter: j.Meter, Kit: j.Header.Kit, At: j.Header.Begun}
	return &jobFile{file, walk, begin}, walk, nil
}

func (f *walkFlags) replay(file job.File, j *job.Job) (*engine.Walk, error) {
	if f.tree != "" && f.tree != j.Tree.Name {
		return nil, usage("the job walks %q, not %q", j.Tree.Name, f.tree)
	}
	if j.Torn > 0 {
		f.notes = append(f.notes, fmt.Sprintf("the last line of the job was cut off in the middle and has been taken out; the %d lines before it are whole", len(j.Events)+1))
	}
	if !j.Summed {
		f.notes = append(f.notes, noChecksums(job.Kind, j.Path))
	}
	walk, err := j.Replay()
	if err != nil {
		return nil, err
	}
	now := time.Now()
	away := max(now.Sub(j.Last()), 0).Round(time.Second)
	out, err := walk.Answer(engine.Event{At: now, Do: engine.DoResume, Away: away.String()})
	if err != nil {
		return nil, err
	}
	f.notes = append(f.notes, out.Said...)
	return walk, file.Append(walk.Next(), walk.Events()[len(j.Events):]...)
}
