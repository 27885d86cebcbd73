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
	s.handle(mux, "POST /class/{class}/readmit", auth.RunClass, s.owned(s.readmit))
	s.handle(mux, "POST /class/{class}/close", auth.RunClass, s.owned(s.closeClass))
	s.handle(mux, "POST /class/{class}/hint", auth.RunClass, s.owned(s.hint))
	s.handle(mux, "POST /class/{class}/mishap", auth.RunClass, s.owned(s.mishap))

	s.handle(mux, "GET /attempt/{attempt}", auth.SeeTruth, s.attempt)
	s.handle(mux, "GET /attempt/{attempt}/scene.json", auth.SeeTruth, s.scene)

	s.handle(mux, "GET /attempt/{attempt}/sealed.jsonl", auth.SeeTruth, s.sealedFile)
	s.handle(mux, "GET /attempt/{attempt}/report.pdf", auth.SeeTruth, s.reportPDF)
	s.handle(mux, "GET /attempt/{attempt}/record.pdf", auth.SeeTruth, s.recordPDF)
	s.handle(mux, "GET /seal.pub", "", s.publicKey)

	s.handle(mux, "GET /assess", auth.Assess, s.assessments)
	s.handle(mux, "GET /assess/{attempt}", auth.Assess, s.judge)
	s.handle(mux, "POST /assess/{attempt}/mark", auth.Assess, s.mark)
	s.handle(mux, "POST /assess/{attempt}/sign", auth.Assess, s.sign)
	s.handle(mux, "GET /standard/{exercise}", auth.Assess, s.standard)
	s.handle(mux, "POST /standard/{exercise}", auth.Assess, s.setStandard)

	s.handle(mux, "GET /class/{class}/debrief", auth.RunClass, s.owned(s.debrief))
	s.handle(mux, "GET /class/{class}/export.csv", auth.RunClass, s.owned(s.exportCSV))
	s.handle(mux, "GET /class/{class}/export.xlsx", auth.RunClass, s.owned(s.exportXLSX))
	s.handle(mux, "GET /class/{class}/export.pdf", auth.RunClass, s.owned(s.exportPDF))
	s.handle(mux, "GET /class/{class}/xapi.json", auth.RunClass, s.owned(s.exportXAPI))
	s.handle(mux, "POST /class/{class}/forget", auth.RunClass, s.owned(s.forget))

	s.handle(mux, "GET /people", auth.Invite, s.people)
	s.handle(mux, "POST /people", auth.Invite, s.invite)
	s.handle(mux, "POST /people/code", auth.Invite, s.newCode)
	s.handle(mux, "GET /audit", auth.SeeAudit, s.audit)
}
