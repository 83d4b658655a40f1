// Bareform is the least program that asks one question with a huh form. The
// benchmark of the first question is held against it.
package main

import (
	"fmt"
	"os"

	_ "deadflat/internal/background"

	"github.com/charmbracelet/huh"
)

func main() {
	var answer string
	form := huh.NewForm(huh.NewGroup(huh.NewInput().Title("What kind of battery and system is it?").Value(&answer)))
	if err := form.Run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
