// Command foilwright is the training bench: a window on desktops, a page in browsers.
package main

import (
	"context"
	crand "crypto/rand"
	"encoding/binary"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"foilwright/internal/class/link"
	"foilwright/internal/library"
	"foilwright/internal/screens"
	"foilwright/internal/store"
	"foilwright/internal/widgets/gallery"
	"foilwright/internal/window"
	"foilwright/scenarios"
	"foilwright/sim/bench"
)

func main() {
	size := flag.String("size", "1280x800", "window size in logical pixels, WIDTHxHEIGHT")
	full := flag.Bool("full", false, "start in full screen")
	shot := flag.String("shot", "", "save a picture of the window to this PNG file and quit")
	frame := flag.Int("shotframe", 10, "after how many frames the picture is taken")
	kit := flag.Bool("gallery", false, "show the widgets of the kit instead of the bench")
	data := flag.String("data", "", "folder to keep attempts and settings in; empty: this user's own")
	exercises := flag.String("exercises", "", "exercise files, folders of them, or packs, joined by commas, to offer beside the shipped ones; read anew when they change")
	seed := flag.Uint64("seed", 0, "seed of new attempts, to repeat one with the same hidden truth; 0: a fresh one each time")
	class := flag.String("class", "", "WebSocket address of the class this bench belongs to; the page of a class server fills it in")
	only := flag.String("only", "", "offer this exercise alone, by its id; a page that is launched for one fills it in")
	language := flag.String("language", "", "language of the bench by its code; empty: English; \"stretched\" is English with longer words, to find what has no room")
	flag.Parse()

	o := window.Options{Title: "Foilwright", Fullscreen: *full, ShotPath: *shot, ShotFrame: *frame}
	if _, err := fmt.Sscanf(*size, "%dx%d", &o.W, &o.H); err != nil || o.W < 1 || o.H < 1 {
		fail(fmt.Errorf("-size %q is no size: give it as WIDTHxHEIGHT, such as 1280x800", *size))
	}
	app, err := app(*kit, *data, *exercises, *class, *only, *language, *seed)
	if err == nil {
		err = window.Run(app, o)
	}
	if err != nil {
		fail(err)
	}
}

// app is the one place that says what the window shows.
func app(kit bool, data, exercises, class, only, language string, seed uint64) (window.App, error) {
	if kit {
		return gallery.New(), nil
	}
	st, err := store.Open(data)
	if err != nil {
		return nil, err
	}
	var names []string
	if exercises != "" {
		names = strings.Split(exercises, ",")
	}
	lib, err := library.Open(st, names)
	if lib == nil {
		return nil, err
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "foilwright:", err) // a kept pack that is left out
	}
	own, err := given()
	if err != nil {
		return nil, err
	}
	offered := func() []*bench.Exercise {
		if own != nil {
			return []*bench.Exercise{own}
		}
		return alone(lib.Exercises(), only)
	}
	var room *link.Link
	if class != "" {
		room = link.Dial(context.Background(), class)
	}
	return screens.New(screens.Config{
		Class: room, Store: st, Language: language, Exercises: offered(), Whole: scenarios.Whole, Clock: time.Now, Export: export, Finished: finished,
		Fresh: func() ([]*bench.Exercise, error) {
			if changed, err := lib.Fresh(); err != nil || !changed {
				return nil, err
			}
			return offered(), nil
		},
		AddPack: func(name string, data []byte) ([]*bench.Exercise, error) {
			if _, err := lib.AddPack(name, data); err != nil {
				return nil, err
			}
			return offered(), nil
		},
		Seed: func() uint64 {
			if seed != 0 {
				return seed
			}
			return freshSeed()
		},
	}), nil
}

// alone leaves only the exercise of an id, or all when the id is empty.
func alone(all []*bench.Exercise, id string) []*bench.Exercise {
	if id == "" {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(e *bench.Exercise) bool { return e.ID != id })
}

// freshSeed draws the seed of a new attempt: it must not be guessable from the
// attempts before it.
func freshSeed() uint64 {
	var b [8]byte
	if _, err := crand.Read(b[:]); err != nil {
		return uint64(time.Now().UnixNano())
	}
	return binary.LittleEndian.Uint64(b[:])
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, "foilwright:", err)
	os.Exit(1)
}
