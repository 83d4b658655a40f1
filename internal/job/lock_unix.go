//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package job

import (
	"errors"
	"os"
	"syscall"
)

// lock takes the file for this program alone, or says at once that another has
// it. The system lets go of it when the program ends, however it ends.
func lock(f *os.File) error {
	err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return ErrBusy
	}
	return err
}
