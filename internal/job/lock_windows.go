package job

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// lock takes the file for this program alone, or says at once that another has
// it. The byte that is locked lies far behind any job, because Windows keeps
// readers out of locked bytes and a report may be read while a walk goes on.
func lock(f *os.File) error {
	farBehind := &windows.Overlapped{OffsetHigh: 1 << 30}
	err := windows.LockFileEx(windows.Handle(f.Fd()),
		windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, farBehind)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return ErrBusy
	}
	return err
}
