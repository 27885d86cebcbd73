package window

import (
	"io"
	"io/fs"

	"github.com/hajimehoshi/ebiten/v2"

	"foilwright/internal/widgets"
)

// mostDropped bounds what is read of a file let go over the window, and how
// many files are.
const (
	mostDropped      = 32 << 20
	mostDroppedFiles = 16
)

// dropped reads the files let go over the window since the last frame; a
// folder, or what cannot be read, comes without data.
func dropped() []widgets.DroppedFile {
	folder := ebiten.DroppedFiles()
	if folder == nil {
		return nil
	}
	entries, err := fs.ReadDir(folder, ".")
	if err != nil {
		return nil
	}
	var files []widgets.DroppedFile
	for _, e := range entries[:min(len(entries), mostDroppedFiles)] {
		f := widgets.DroppedFile{Name: e.Name()}
		if file, err := folder.Open(e.Name()); err == nil {
			if data, err := io.ReadAll(io.LimitReader(file, mostDropped)); err == nil {
				f.Data = data
			}
			_ = file.Close()
		}
		files = append(files, f)
	}
	return files
}
