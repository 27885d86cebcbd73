package window

import (
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"foilwright/internal/paint"
	"foilwright/internal/widgets"
	_ "foilwright/internal/window/display" // first, for its message
)

// App is a program in a window. Frame gets what came in since the last call, leaves the picture in the list, which it
// resets itself (widgets.UI.Frame does), and answers what it wants of the window.
type App interface {
	Frame(in widgets.Input, l *paint.List) widgets.Reply
}

// Options of a window. The zero value opens 1280 by 800 logical pixels.
type Options struct {
	Title      string
	W, H       int
	Fullscreen bool

	ShotPath  string // save the window's own pixels as PNG to this file and quit
	ShotFrame int    // after so many frames
}

// least is the smallest window, in logical pixels. Screens are laid out for 1024 by 768 and stay usable below.
const leastW, leastH = 720, 540

// Run shows the app until it quits or the window is closed.
func Run(app App, o Options) error {
	if o.W == 0 || o.H == 0 {
		o.W, o.H = 1280, 800
	}
	ebiten.SetWindowTitle(o.Title)
	ebiten.SetWindowSize(o.W, o.H)
	ebiten.SetWindowSizeLimits(leastW, leastH, -1, -1)
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetFullscreen(o.Fullscreen)
	ebiten.SetScreenClearedEveryFrame(false)
	ebiten.SetTPS(ebiten.SyncWithFPS)
	g := &game{app: app, o: o, painter: paint.NewPainter(), start: time.Now()}
	g.gather.listen()
	err := ebiten.RunGameWithOptions(g, &ebiten.RunGameOptions{X11ClassName: "foilwright", X11InstanceName: "foilwright"})
	if g.err != nil {
		return g.err
	}
	if err != nil && !errors.Is(err, ebiten.Termination) {
		return fmt.Errorf("the window could not be shown: %w", err)
	}
	return nil
}

type game struct {
	app     App
	o       Options
	gather  gatherer
	painter *paint.Painter
	card    card
	list    paint.List
	start   time.Time
	scale   float64
	w, h    float64 // logical pixels

	painted  uint64 // hash of the list on the screen
	size     image.Point
	frames   int
	lastDraw time.Time
	drawn    time.Time // when the picture was last painted
	calm     bool
	cursor   widgets.Cursor
	speaker  speaker
	quit     bool
	err      error
}

// LayoutF makes the surface as large as the device's pixels.
func (g *game) LayoutF(w, h float64) (float64, float64) {
	g.scale = ebiten.Monitor().DeviceScaleFactor()
	g.w, g.h = w, h
	return w * g.scale, h * g.scale
}

// Layout is required by ebiten and not called beside LayoutF.
func (g *game) Layout(w, h int) (int, int) { return w, h }

func (g *game) Update() error {
	if g.quit {
		return ebiten.Termination
	}
	in := widgets.Input{W: g.w, H: g.h, Scale: g.scale, NowMs: g.now()}
	in.Events = g.gather.take(in.NowMs, g.scale)
	in.Dropped = dropped()
	for i := range in.Events {
		if e := &in.Events[i]; e.Kind == widgets.KeyDown && e.Key == "F11" && !e.Repeat {
			ebiten.SetFullscreen(!ebiten.IsFullscreen())
		}
	}
	reply := g.app.Frame(in, &g.list)
	g.quit, g.calm = reply.Quit, reply.Calm
	g.gather.editing(reply.Editing)
	g.speaker.give(reply.Cue)
	if reply.Cursor != g.cursor {
		g.cursor = reply.Cursor
		setCursor(g.cursor)
	}
	return nil
}

func (g *game) Draw(screen *ebiten.Image) {
	if g.frames++; g.frames == 2 {
		firstFrame() // the one before has been shown
	}
	size := screen.Bounds().Size()
	hash := g.list.Hash()
	shot := g.o.ShotPath != "" && !g.quit && g.frames >= max(g.o.ShotFrame, 2)
	waits := g.calm && size == g.size && time.Since(g.drawn) < calmFrame
	if hash != g.painted && !waits || size != g.size || shot {
		g.painted, g.size, g.drawn = hash, size, time.Now()
		g.card.paint(screen, g.painter, &g.list, g.scale)
		if shot {
			g.err = save(screen, g.o.ShotPath)
			g.quit = true
		}
		g.pace(busyFrame)
		return
	}
	g.pace(idleFrame)
}

// now is the clock of the input's time stamps, in milliseconds.
func (g *game) now() float64 { return clock(g.start) }

// Shortest times of a frame where the display does not set the pace.
const (
	busyFrame = 4 * time.Millisecond
	idleFrame = 10 * time.Millisecond
)

// calmFrame is the least time between pictures that are in no hurry. Input is
// still looked at in every frame, and ends the calm.
const calmFrame = 80 * time.Millisecond

// pace sleeps where the display's own rhythm does not hold the loop back, so that an idle window leaves the processor
// alone. Browsers pace by themselves.
func (g *game) pace(least time.Duration) {
	if selfPaced {
		return
	}
	if wait := least - time.Since(g.lastDraw); wait > 0 && wait <= least {
		time.Sleep(wait)
	}
	g.lastDraw = time.Now()
}

func save(screen *ebiten.Image, name string) error {
	b := screen.Bounds()
	img := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	screen.ReadPixels(img.Pix)
	f, err := os.Create(filepath.Clean(name))
	if err != nil {
		return fmt.Errorf("the picture cannot be saved: %w", err)
	}
	if err := png.Encode(f, img); err != nil {
		f.Close()
		return fmt.Errorf("the picture cannot be saved: %w", err)
	}
	return f.Close()
}

func setCursor(c widgets.Cursor) {
	shapes := map[widgets.Cursor]ebiten.CursorShapeType{
		widgets.CursorArrow: ebiten.CursorShapeDefault, widgets.CursorHand: ebiten.CursorShapePointer,
		widgets.CursorText: ebiten.CursorShapeText, widgets.CursorCross: ebiten.CursorShapeCrosshair,
		widgets.CursorMove: ebiten.CursorShapeMove,
	}
	if c == widgets.CursorNone {
		ebiten.SetCursorMode(ebiten.CursorModeHidden)
		return
	}
	ebiten.SetCursorMode(ebiten.CursorModeVisible)
	ebiten.SetCursorShape(shapes[c])
}
