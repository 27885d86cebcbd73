package web

import (
	"net/http"

	"foilwright/internal/class/auth"
)

// routes is every address the server answers, with the right it needs.
func (s *Server) routes(mux *http.ServeMux) {
	mux.Handle("GET /look/", http.StripPrefix("/look", static()))

	s.handle(mux, "GET /{$}", "", s.front)
	s.handle(mux, "POST /join", "", s.join)
	s.handle(mux, "GET /join/{code}", "", s.front)
	s.handle(mux, "GET /setup", "", s.setupPage)
	s.handle(mux, "POST /setup", "", s.setup)
	s.handle(mux, "GET /signin", "", s.signInPage)
	s.handle(mux, "POST /signin", "", s.signIn)
	s.handle(mux, "POST /signout", "", s.signOut)

	s.handle(mux, "GET /bench/link", auth.Work, s.link)
	s.handle(mux, "GET /bench/", auth.Work, s.bench)
	s.handle(mux, "POST /leave", auth.Work, s.leave)

	s.handle(mux, "GET /classes", auth.RunClass, s.classes)
	s.handle(mux, "POST /classes", auth.RunClass, s.addClass)
	s.handle(mux, "GET /class/{class}", auth.RunClass, s.owned(s.class))
	s.handle(mux, "GET /class/{class}/board.json", auth.RunClass, s.owned(s.board))
	s.handle(mux, "GET /class/{class}/qr.svg", auth.RunClass, s.owned(s.qr))
	s.handle(mux, "POST /class/{class}/handout", auth.RunClass, s.owned(s.handOut))
	s.handle(mux, "POST /class/{class}/close-handout", auth.RunClass, s.owned(s.closeHandout))
	s.handle(mux, "POST /class/{class}/pause", auth.RunClass, s.owned(s.pause))
	s.handle(mux, "POST /class/{class}/identity", auth.RunClass, s.owned(s.identity))
	s.handle(mux, "POST /class/{class}/close", auth.RunClass, s.owned(s.closeClass))
	s.handle(mux, "POST /class/{class}/hint", auth.RunClass, s.owned(s.hint))
	s.handle(mux, "POST /class/{class}/mishap", auth.RunClass, s.owned(s.mishap))

	s.handle(mux, "GET /attempt/{attempt}", auth.SeeTruth, s.attempt)
	s.handle(mux, "GET /attempt/{attempt}/scene.json", auth.SeeTruth, s.scene)

	s.handle(mux, "GET /people", auth.Invite, s.people)
	s.handle(mux, "POST /people", auth.Invite, s.invite)
	s.handle(mux, "GET /audit", auth.SeeAudit, s.audit)
}
