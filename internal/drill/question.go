package drill

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
)

// Question is one question of a level that asks.
type Question struct {
	Text    []string // paragraphs
	Choices []string // one of which is the answer; nil when it is typed
	Typed   string   // what was answered
	Right   bool
	Comment string // on the answer: why it is so

	answer string // in the words of the class sheet
	bay    *bay   // the vehicle that it is about
	// judge takes an answer. What cannot be understood is an error.
	judge func(words []string) (right bool, comment string, err error)
}

// question makes the questions of the level, each on a vehicle of its own.
func (d *Drill) question() error {
	level, asked := Levels[d.Level-1], map[string]bool{}
	for i := uint64(0); len(d.Questions) < level.questions; i++ {
		if i == draws {
			return fmt.Errorf("no question of level %d can be made of the trees: they are not those that ship", d.Level)
		}
		q := level.ask(d, rand.New(rand.NewPCG(d.Seed, uint64(d.Level)<<32+i)))
		if q == nil || asked[q.answer] {
			continue // no question in that vehicle, or one like it before
		}
		asked[q.answer] = true
		d.Questions = append(d.Questions, q)
	}
	return nil
}

// open is the question to be answered now, nil when there is none.
func (d *Drill) open() *Question {
	if d.at < len(d.Questions) {
		return d.Questions[d.at]
	}
	return nil
}

// Asked is the open question and its number; nil at a level that asks none, and
// when all are answered.
func (d *Drill) Asked() (q *Question, number int) { return d.open(), d.at + 1 }

// answer takes the answer to the open question.
func (d *Drill) answer(line string, words []string) (Reply, error) {
	q := d.open()
	if q == nil {
		return Reply{}, fmt.Errorf("every question has been answered")
	}
	right, comment, err := q.judge(words)
	if err != nil {
		return Reply{}, err
	}
	q.Typed, q.Right, q.Comment = line, right, comment
	d.at++
	d.Done = d.at == len(d.Questions)
	return Reply{Text: verdict(right) + " " + comment}, nil
}

func verdict(right bool) string {
	if right {
		return "Right."
	}
	return "Not so."
}

// choose finds which of some choices is meant: by its number, or by the first
// letters of it.
func choose(words, choices []string) (int, error) {
	typed := strings.Join(words, " ")
	if n, err := strconv.Atoi(typed); err == nil {
		if n >= 1 && n <= len(choices) {
			return n - 1, nil
		}
		return 0, fmt.Errorf("%q is none of the choices: expected 1 to %d", typed, len(choices))
	}
	at := -1
	for i, c := range choices {
		if !strings.HasPrefix(strings.Join(wordsOf(c), " "), typed) {
			continue
		}
		if at >= 0 {
			return 0, fmt.Errorf("%q can be choice %d or %d: type a letter more, or the number", typed, at+1, i+1)
		}
		at = i
	}
	if at < 0 {
		return 0, fmt.Errorf("%q is none of the choices: type the number of one, 1 to %d, or its first letters", typed, len(choices))
	}
	return at, nil
}
