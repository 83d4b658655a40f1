package leadacid

import (
	"fmt"
	"strings"
)

// box is the case of a battery by its usual name, in mm.
type box struct {
	name                  string
	length, width, height int
	also                  string // another name of the same case
}

// boxes are the cases the program knows. Source: lengths and widths of L0 to L6
// seen in one trade text (common practice, no source); heights and other names
// from memory; BCI groups 24, 31, 34 and 65 seen in one text, the rest of the BCI
// and JIS rows from memory.
var boxes = []box{
	{"LN0", 175, 175, 190, "H3"}, {"LN1", 207, 175, 190, "H4"}, {"LN2", 242, 175, 190, "H5"}, {"LN3", 278, 175, 190, "H6"},
	{"LN4", 315, 175, 190, "H7"}, {"LN5", 353, 175, 190, "H8"}, {"LN6", 393, 175, 190, "H9"},
	{"LBN1", 207, 175, 175, "T4"}, {"LBN2", 242, 175, 175, "T5"}, {"LBN3", 278, 175, 175, "T6"},
	{"LBN4", 315, 175, 175, "T7"}, {"LBN5", 353, 175, 175, "T8"},
	{"B19", 187, 127, 203, ""}, {"B24", 238, 129, 203, ""}, {"D23", 232, 173, 200, ""}, {"D26", 260, 173, 200, ""}, {"D31", 306, 173, 200, ""},
	{"24", 260, 173, 226, ""}, {"27", 306, 173, 225, ""}, {"31", 330, 173, 239, ""}, {"34", 260, 173, 200, ""},
	{"35", 230, 175, 225, ""}, {"51R", 238, 129, 223, ""}, {"65", 307, 191, 193, ""},
}

// boxNames are all names of cases, the other names last.
var boxNames = func() []string {
	var all []string
	for _, b := range boxes {
		all = append(all, b.name)
	}
	for _, b := range boxes {
		if b.also != "" {
			all = append(all, b.also)
		}
	}
	return all
}()

// boxNamed finds a case by either of its names, in any case of letters.
func boxNamed(name string) (box, bool) {
	for _, b := range boxes {
		if strings.EqualFold(b.name, name) || b.also != "" && strings.EqualFold(b.also, name) {
			return b, true
		}
	}
	return box{}, false
}

func (b box) String() string {
	return fmt.Sprintf("%s (%d x %d x %d mm)", b.name, b.length, b.width, b.height)
}

// holds lists the base hold-downs that also hold a battery which asks for the
// one named: a ledge all round serves where one along two sides is asked for.
// Source: common practice, no source.
var holds = map[string][]string{
	"B00": {"B00"},
	"B01": {"B01", "B03", "B13"}, // ledge of 10.5 mm along the long sides
	"B03": {"B03", "B13"},        // ledge of 10.5 mm all round
	"B04": {"B04"},               // ledge of 19 mm along the long sides
	"B09": {"B09"},               // slots of 29 mm in the short sides
	"B13": {"B13"},               // ledge of 10.5 mm all round, with notches
	"B14": {"B14"},
}

var holdNames = []string{"B00", "B01", "B03", "B04", "B09", "B13", "B14"}
