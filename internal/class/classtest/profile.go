package classtest

import (
	"os"
	"testing"
	"time"
)

// Profile returns a new folder for a browser's profile. The browser's helpers
// outlive it for a moment and still write there, so that the folder is removed
// with patience, and left behind rather than failing a test.
func Profile(t testing.TB) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "foilwright-profile-*")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		for range 50 {
			if os.RemoveAll(folder) == nil {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
	})
	return folder
}
