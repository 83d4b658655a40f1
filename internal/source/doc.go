// Package source reads a YAML file as text: nodes with exact places, and faults that name them.
//
// It is the one gate through which a file written by a stranger comes in. [Read] refuses what YAML
// allows but a reader of the file would not expect (anchors, tags, a second document, a key given
// twice, a value left out, a text cut short by a comma or by "#"), each as a [Fault] with its place,
// all of them in one run. [Reader] then takes values out of the nodes strictly: a text is a text, a
// number is a number. [File.In] finds the place of any character of a text, however it was quoted or
// folded, so that a fault inside a guard points at the very word.
//
// It knows nothing of trees, steps or units, and it opens no files: the caller brings name and bytes.
// Every package may import it; it imports none of ours.
//
// What always holds: nothing here panics on any input; every place lies inside the text (or just
// behind the end of a line); the same text gives the same faults in the same order; nothing that is
// printed holds a control code.
package source
