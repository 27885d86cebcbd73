package screens

import "foilwright/internal/paint"

type debriefState struct{ name string }

func (a *App) openDebrief(name string) {
	a.debrief = &debriefState{name: name}
	a.goTo(pageDebrief)
}

func (a *App) drawDebrief(screen paint.Rect) {}
